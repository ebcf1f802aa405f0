"""How many small wrong changes of the code the tests notice.

The tool lives with the tests (``tests/mutants``), as it needs their packages; this only starts it
and says what came of it.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from typing import Any

from repairs.measures.harness import HOUSE, Figure, MeasureError, Plan, Say

NOTICED = ("killed", "timed out")
GOAL = ">= 90"


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """The share of drawn mutants that some test notices, in all, and by group of rooms, in %.

    Raises MeasureError when the tool cannot run, as when the test tools are not installed yet.
    """
    verdicts = _verdicts(plan)
    for one in verdicts:
        if one["verdict"] not in NOTICED:
            place = f"{one['file']}:{one['line']}"
            say(f"{one['verdict']}: {place}: {one['before']}  →  {one['after']}")
    return {"noticed": _figure(verdicts, GOAL)} | {
        f"noticed in {room}": _figure([one for one in verdicts if one["room"] == room])
        for room in sorted({one["room"] for one in verdicts})
    }


def _figure(verdicts: Sequence[dict[str, Any]], goal: str | None = None) -> Figure:
    noticed = sum(1 for one in verdicts if one["verdict"] in NOTICED)
    share = 100.0 * noticed / len(verdicts) if verdicts else 0.0
    return Figure(share, "%", goal, f"{noticed} of {len(verdicts)} tried")


def _verdicts(plan: Plan) -> list[dict[str, Any]]:
    words = [*([plan.room] if plan.room else []), f"--seed={plan.seed}", f"--count={plan.count}"]
    words += [f"--tests={plan.tests}"] if plan.tests else []
    line = [sys.executable, "-m", "tests.mutants.run", *words]
    done = subprocess.run(  # noqa: S603 - our own module
        line, cwd=HOUSE, stdout=subprocess.PIPE, text=True, check=False
    )
    if done.returncode:
        raise MeasureError(
            "The mutants could not be judged; what stands above says why. The test tools must be "
            "there: run manage.py test once."
        )
    said: list[dict[str, Any]] = json.loads(done.stdout)
    return said
