"""Draws mutants, has them judged on all cores, and prints one JSON object.

    python -m tests.mutants.run [ROOM] [--seed N] [--count N]

What the tests reach is found out once and kept for as long as neither code nor tests change.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.mutants import covering, judging
from tests.mutants.draw import HOUSE, ROOMS, Mutant, draw

# They drive a browser, other programs or the benchmarks: none of them judges a figure.
LEFT_OUT = ("browser", "outside", "measures", "demo", "mutants")
MOST_TESTS, MOST_S = 150, 60.0
UNREACHED = "reached by no test"


def main(words: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="tests.mutants.run")
    parser.add_argument("room", nargs="?", choices=sorted(ROOMS))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--tests", default="", help="a folder, in place of nearly all")
    said = parser.parse_args(words)
    rooms = [said.room] if said.room else list(ROOMS)
    every = ["--whole", *(f"--ignore=tests/{name}" for name in LEFT_OUT)]
    asked = [said.tests] if said.tests else every
    verdicts = judged(draw(rooms, said.count, said.seed), reach(asked), asked)
    sys.stdout.write(json.dumps(verdicts, ensure_ascii=False) + "\n")


def reach(asked: Sequence[str]) -> dict[str, Any]:
    """For each line of the rooms the tests that run it, and how long each test takes in s."""
    folder = Path(tempfile.gettempdir()) / f"sautereau-mutants-{_fingerprint(asked)}"
    if not list(folder.glob("cover-*.json")):
        folder.mkdir(exist_ok=True)
        sys.stderr.write("· finding out which tests reach which line: some minutes\n")
        line = ["-n", "auto", "-p", "tests.mutants.covering", *asked]
        _pytest(line, {covering.FOLDER: str(folder)})
    found: dict[str, Any] = {"took_s": {}, "lines": {}}
    for file in sorted(folder.glob("cover-*.json")):
        part = json.loads(file.read_text())
        found["took_s"] |= part["took_s"]
        for name, lines in part["lines"].items():
            kept = found["lines"].setdefault(Path(name).relative_to(HOUSE).as_posix(), {})
            for number, tests in lines.items():
                kept.setdefault(int(number), set()).update(tests)
    return found


def _fingerprint(asked: Sequence[str]) -> str:
    sums = hashlib.sha256(" ".join([str(HOUSE), *asked]).encode())
    for folder in ("repairs", "tests", "templates", "fixtures", "workshop"):
        for file in sorted((HOUSE / folder).rglob("*")):
            if file.suffix in {".py", ".html", ".json"}:
                sums.update(file.read_bytes())
    return sums.hexdigest()[:16]


def judged(
    mutants: Sequence[Mutant], found: Mapping[str, Any], asked: Sequence[str]
) -> list[dict[str, Any]]:
    """Every mutant with its verdict and the number of tests that were asked."""
    tasks = [_task(mutant, found) for mutant in mutants]
    unreached = [{**task, "verdict": UNREACHED, "tests": 0} for task in tasks if not task["tests"]]
    reached = [task for task in tasks if task["tests"]]
    with tempfile.TemporaryDirectory() as folder:
        return unreached + list(_in_shares(reached, Path(folder), asked))


def _task(mutant: Mutant, found: Mapping[str, Any]) -> dict[str, Any]:
    """The mutant with the tests to ask: those of its own room first, the quickest first.

    Tests of one module stay together: what they share is dear to set up again.
    """
    took_s = found["took_s"]
    tests = found["lines"].get(mutant.file, {}).get(mutant.line, ())
    own = f"tests/{mutant.file.split('/')[1]}/"
    quickest: dict[str, float] = {}
    for test in tests:
        module = test.partition("::")[0]
        quickest[module] = min(took_s[test], quickest.get(module, took_s[test]))

    def turn(test: str) -> tuple[bool, float, str, float]:
        module = test.partition("::")[0]
        return not test.startswith(own), quickest[module], module, took_s[test]

    ordered = sorted(tests, key=turn)
    chosen: list[str] = []
    spent_s = 0.0
    for test in ordered[:MOST_TESTS]:
        if chosen and spent_s + took_s[test] > MOST_S:
            continue
        chosen.append(test)
        spent_s += took_s[test]
    return {**asdict(mutant), "tests": chosen, "took_s": spent_s}


def _in_shares(
    tasks: Sequence[dict[str, Any]], folder: Path, asked: Sequence[str]
) -> Iterator[dict[str, Any]]:
    """One process a core, each with every so many-th of the mutants."""
    cores = os.cpu_count() or 1
    running = []
    for share in range(cores):
        file = folder / f"task-{share}.json"
        file.write_text(json.dumps({"mutants": tasks[share::cores]}))
        line = ["-p", "tests.mutants.judging", "-p", "no:xdist", "-p", "no:cacheprovider", *asked]
        running.append((file, _start(line, {judging.TASK: str(file)})))
    for file, process in running:
        complaint = process.communicate()[0]
        if not file.with_suffix(".out").exists():
            raise SystemExit(f"The mutants could not be judged:\n{complaint[-2000:]}")
        yield from json.loads(file.with_suffix(".out").read_text())


def _start(words: Sequence[str], said: Mapping[str, str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "pytest", "-q", *words],
        cwd=HOUSE,
        env={**os.environ, **said, "PYTHONPATH": str(HOUSE)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def _pytest(words: Sequence[str], said: Mapping[str, str]) -> None:
    complaint = (process := _start(words, said)).communicate()[0]
    if process.returncode not in (0, 1):
        raise SystemExit(f"The tests did not run:\n{complaint[-2000:]}")


def summary(verdicts: Sequence[Mapping[str, Any]]) -> Counter[str]:
    return Counter(one["verdict"] for one in verdicts)


if __name__ == "__main__":
    main()
