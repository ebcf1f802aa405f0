"""Install, renew, undo: what a plan says, and what is remembered of it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from repairs.keep.install.plan import Plan
from repairs.keep.install.refusals import NotInstalledError, StepFailedError
from repairs.keep.install.steps import FORMER, File, Step, said_by
from repairs.keep.install.wishes import Wishes, as_remembered, remembered

Say = Callable[[str], object]


@dataclass
class Doing:
    """What was done so far; what follows on it is done again."""

    say: Say
    done_n: int = 0
    has_written: bool = False

    def take(self, step: Step) -> None:
        """One step. Raises StepFailedError."""
        if step.is_done() and not (step.follows and self.has_written):
            return
        self.say(f"· {step.words}")
        try:
            step.do()
        except OSError as fault:
            raise StepFailedError(step=step.words, why=fault.strerror or str(fault)) from fault
        self.done_n += 1
        self.has_written |= not step.follows


def install(plan: Plan, say: Say) -> int:
    """Do what is not done yet; say how much that was. Raises StepFailedError."""
    doing = Doing(say)
    before = remembered(plan.wishes.record).get("files", {})
    for step in plan.first_steps():
        doing.take(step)
    # Asked only now: packages brought files whose text goes on in ours.
    files = plan.files()
    for file in files:
        if str(file.place) not in before:
            file.set_aside()
    # Remembered first: whatever stops the rest, an undoing knows what is ours.
    known = {str(file.place): file.sha256 for file in files}
    _remember(plan, {**before, **known})
    for step in plan.steps():
        doing.take(step)
    # Such as the site of the other proxy, which would stand in the way of this one.
    for place in sorted(set(before) - set(known)):
        doing.done_n += 1
        say(_("· removes %(place)s") % {"place": place})
        _take_away(Path(place), str(before[place]), Undone())
    _remember(plan, known)
    return doing.done_n


def _remember(plan: Plan, files: dict[str, str]) -> None:
    record = File(plan.wishes.record, as_remembered(plan.wishes, files))
    if not record.is_done():
        record.do()


def renew(plan: Plan, say: Say) -> bool:
    """A new certificate when the present one ends soon; says whether there is one."""
    doing = Doing(say)
    doing.take(plan.certificates())
    if doing.done_n and plan.has_systemd and plan.is_real:
        for step in plan.reloads():
            doing.take(step)
    return bool(doing.done_n)


@dataclass
class Undone:
    """What went, and what stays and why."""

    gone: list[str] = field(default_factory=list)
    stays: list[str] = field(default_factory=list)


def undo(plan: Plan, say: Say) -> Undone:
    """Take services and files away again. What people made stays, and is named."""
    files = remembered(plan.wishes.record).get("files", {})
    undone = Undone()
    is_run = plan.has_systemd and plan.is_real
    if is_run:
        for service in plan.own_services():
            said_by(("systemctl", "disable", "--now", service))
    for place, digest in files.items():
        _take_away(Path(place), str(digest), undone)
    for place in undone.gone:
        say(f"· {place}")
    plan.wishes.record.unlink()
    if is_run:
        said_by(("systemctl", "daemon-reload"))
        said_by(("systemctl", "reload-or-restart", plan.wishes.proxy))
    undone.stays += plan.left()
    return undone


def _take_away(place: Path, digest: str, undone: Undone) -> None:
    if not place.exists():
        return
    if hashlib.sha256(place.read_bytes()).hexdigest() != digest:
        undone.stays.append(_("%(place)s: somebody changed it since") % {"place": place})
        return
    place.unlink()
    undone.gone.append(str(place))
    former = place.with_name(f"{place.name}{FORMER}")
    if former.exists():
        former.replace(place)


def of_last_time(root: str) -> Wishes:
    """The wishes of the last time. Raises NotInstalledError."""
    record = Wishes.record_in(root)
    known = remembered(record).get("wishes")
    if not isinstance(known, dict):
        raise NotInstalledError(place=str(record))
    return Wishes(**{**of_wishes(known), "root": root})


def of_wishes(known: dict[str, Any]) -> dict[str, Any]:
    """Those words of a record that this release knows."""
    return {name: known[name] for name in known if name in Wishes.__dataclass_fields__}
