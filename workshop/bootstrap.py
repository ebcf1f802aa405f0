"""Makes the house habitable: a .venv with the pinned requirements, and this process inside it.

Only the standard library is used here, since nothing else may be there yet; the lock needs a
POSIX system. Set
``SAUTEREAU_NO_BOOTSTRAP=1`` where packages are installed by other means (an image, a distribution).
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

HOUSE = Path(__file__).resolve().parent.parent
VENV = HOUSE / ".venv"
PYTHON = VENV / "bin" / "python"
COMPILED = VENV / "compiled"
RUN_TIME = HOUSE / "requirements.txt"
TEST_TOOLS = HOUSE / "tests" / "requirements.txt"


def ensure_environment(argv: Sequence[str]) -> None:
    """Install what is missing into .venv, then go on inside it; return when already there.

    Raises SystemExit with a sentence when the machine lacks something that pip cannot bring.
    """
    if os.environ.get("SAUTEREAU_NO_BOOTSTRAP"):
        return
    if sys.version_info < (3, 11):  # noqa: UP036 - this very check must run on older ones
        sys.exit("Sautereau needs Python 3.11 or newer; this is " + sys.version.split()[0] + ".")
    for_tests = len(argv) > 1 and argv[1] == "test"
    _install("run", RUN_TIME)
    if for_tests:
        _install("test", TEST_TOOLS)
    _keep_what_is_compiled()
    if Path(sys.prefix).resolve() != VENV.resolve():
        os.execv(PYTHON, [str(PYTHON), str(HOUSE / "manage.py"), *argv[1:]])  # noqa: S606


def _keep_what_is_compiled() -> None:
    """Let Python keep compiled modules in .venv where it may not leave them beside the code.

    Containers often forbid that. Each command, and every photo and test tool has a process of its
    own, would then compile Django and all the rest anew: seconds each.
    """
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
        sys.pycache_prefix = os.environ.setdefault("PYTHONPYCACHEPREFIX", str(COMPILED))
        sys.dont_write_bytecode = False


def _install(purpose: str, requirements: Path) -> None:
    stamp = VENV / f".installed-{purpose}"
    wanted = hashlib.sha256(requirements.read_bytes() + sys.version.encode()).hexdigest()
    if _is_installed(stamp, wanted):
        return
    with _only_one_at_a_time():
        if _is_installed(stamp, wanted):
            return
        if not PYTHON.exists():
            _make_venv()
        _say(f"installing the packages of {requirements.relative_to(HOUSE)} into .venv …")
        pip = [str(PYTHON), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        # Python compiles what is imported, and most of what is installed never is.
        # No wheel is taken but those that were looked at when they were pinned (.ci/pin), nor any
        # that is not pinned at all.
        exact = ["--require-hashes", "--only-binary=:all:"]
        command = [*pip, *exact, "--no-compile", "-r", str(requirements)]
        if subprocess.run(command, check=False).returncode:  # noqa: S603
            sys.exit(
                "The packages could not be installed. Check the connection to the package index, "
                "then run the same command again: it goes on where it stopped."
            )
        # Last of all, so that an interrupted installation is done again.
        stamp.write_text(wanted)


def _is_installed(stamp: Path, wanted: str) -> bool:
    return PYTHON.exists() and stamp.exists() and stamp.read_text() == wanted


def _make_venv() -> None:
    _say("first start: making .venv …")
    if subprocess.run([sys.executable, "-m", "venv", str(VENV)], check=False).returncode:  # noqa: S603
        sys.exit(
            "Python's venv module is incomplete on this machine. "
            "On Debian: apt-get install python3-venv, then run the same command again."
        )


@contextlib.contextmanager
def _only_one_at_a_time() -> Iterator[None]:
    """Hold a lock file while installing: two first starts at once must not mix."""
    with (HOUSE / ".bootstrap.lock").open("w") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _say(words: str) -> None:
    sys.stderr.write(f"sautereau: {words}\n")
    sys.stderr.flush()
