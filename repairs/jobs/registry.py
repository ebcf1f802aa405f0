"""Names of jobs and the functions behind them; rooms below may start a job above by its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from django.utils.functional import Promise

from repairs.jobs.models import Job

Arguments = Mapping[str, Any]


class Progress(Protocol):
    """How a job tells how far it is."""

    def __call__(self, done: int, total: int) -> None: ...


JobFunction = Callable[..., dict[str, Any] | None]


@dataclass(frozen=True)
class About:
    """What a job is about, for the list of those that failed: words, and where it is seen."""

    words: str
    address: str


@dataclass(frozen=True)
class JobKind:
    """A kind of job, and what becomes of its subject when it cannot be done.

    ``given_up`` is called in the transaction that ends the job as failed, with its arguments and
    the key of the trouble: nothing is left waiting for a job that no longer comes. ``again`` and
    ``let_go`` are called in the transaction in which a person says so. ``deed`` is that of whoever
    may say so for a job that somebody else asked for; empty: only that person. ``about`` says of
    many jobs at once what each is about.
    """

    function: JobFunction
    label: str | Promise
    deed: str = "house"
    given_up: Callable[[Arguments, str], None] | None = None
    again: Callable[[Arguments], None] | None = None
    let_go: Callable[..., None] | None = None
    about: Callable[[Sequence[Arguments]], Sequence[About | None]] | None = None


_JOBS: dict[str, JobKind] = {}
_TROUBLES: dict[str, str | Promise] = {}


def job(
    name: str, *, label: str | Promise = "", **ends: Any
) -> Callable[[JobFunction], JobFunction]:
    """Register the function as the job of that name; ``ends`` are further fields of ``JobKind``.

    It is called with the arguments it was queued with, and ``progress``; what it returns is kept
    as the job's result. It may be called twice when a worker dies, and must bear that.
    """

    def keep(function: JobFunction) -> JobFunction:
        """Register the function; two of one name are a mistake in the code."""
        if name in _JOBS and _JOBS[name].function is not function:
            raise RuntimeError(f"two jobs are called {name}")
        _JOBS[name] = JobKind(function, label or name, **ends)
        return function

    return keep


def function_of(row: Job) -> JobFunction:
    """The function of the job's name. Raises KeyError for one that is not known."""
    return _JOBS[row.name].function


def kind_of(name: str) -> JobKind | None:
    """What is known of jobs of that name; None for one of another release."""
    return _JOBS.get(name)


def is_known(name: str) -> bool:
    """Whether this release knows how to do a job of that name."""
    return name in _JOBS


def known_names() -> tuple[str, ...]:
    """The names of all jobs, in alphabetical order."""
    return tuple(sorted(_JOBS))


def name_troubles(words: Mapping[str, str | Promise]) -> None:
    """Say what keys of trouble mean, so that a failure is told in the language of its reader."""
    _TROUBLES.update(words)


def trouble_words(key: str, message: str) -> str:
    """Why a job failed: the words of the key; else the sentence that was kept; else empty."""
    return str(_TROUBLES.get(key, "")) or message
