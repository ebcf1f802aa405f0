"""What a measured child process says at its end: one JSON object on standard output."""

from __future__ import annotations

import json
import resource
import sys
from pathlib import Path
from typing import Any

STATUS = Path("/proc/self/status")


def tell(facts: dict[str, Any]) -> None:
    """Print the facts with this process's peak memory."""
    sys.stdout.write(json.dumps({**facts, "peak_mb": peak_mb()}) + "\n")
    sys.stdout.flush()


def peak_mb() -> float:
    """The most memory this program held at once.

    Linux's ru_maxrss also counts the parent as it was when it started this process, so a lean
    child of a large parent looks large; VmHWM starts anew with the program.
    """
    if STATUS.exists():
        for line in STATUS.read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1024**2 if sys.platform == "darwin" else 1024)
