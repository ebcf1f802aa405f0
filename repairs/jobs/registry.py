"""Names of jobs and the functions behind them; rooms below may start a job above by its name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from repairs.jobs.models import Job


class Progress(Protocol):
    """How a job tells how far it is."""

    def __call__(self, done: int, total: int) -> None: ...


JobFunction = Callable[..., dict[str, Any] | None]
_JOBS: dict[str, JobFunction] = {}


def job(name: str) -> Callable[[JobFunction], JobFunction]:
    """Register the function as the job of that name.

    It is called with the arguments it was queued with, and ``progress``; what it returns is kept
    as the job's result. It may be called twice when a worker dies, and must bear that.
    """

    def keep(function: JobFunction) -> JobFunction:
        """Register the function; two of one name are a mistake in the code."""
        if name in _JOBS and _JOBS[name] is not function:
            raise RuntimeError(f"two jobs are called {name}")
        _JOBS[name] = function
        return function

    return keep


def function_of(row: Job) -> JobFunction:
    """The function of the job's name. Raises KeyError for one that is not known."""
    return _JOBS[row.name]


def is_known(name: str) -> bool:
    """Whether this release knows how to do a job of that name."""
    return name in _JOBS
