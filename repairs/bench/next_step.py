"""The one thing to do now in a case, as its page says it in rosin."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from repairs.bench.docket import next_action
from repairs.cases.models import Case
from repairs.people.access import Deed
from repairs.treatment.show import Plan

Docket = Mapping[str, Any]
May = Callable[[Deed], bool]


@dataclass(frozen=True)
class NextStep:
    """What to do now, why, and the key that leads there; ``is_deed`` when the key does it."""

    title: str
    note: str
    key: str
    address: str
    is_deed: bool = False


def next_step(docket: Docket, may: May) -> NextStep | None:
    """What this reader may do now to bring the case on; None when it is nobody's or another's."""
    told = _STEPS.get(next_action(docket, docket["plan"]))
    return told(docket, may) if told else None


def _address(name: str, case: Case, *more: object) -> str:
    return reverse(name, args=[case.number, *more])


def _photos(docket: Docket, may: May) -> NextStep | None:
    if not may("record"):
        return None
    address = _address("photos:add", docket["case"])
    note = _("the standard views first, with a scale and the colour card")
    return NextStep(_("Take the photos"), note, _("Add photos"), address)


def _findings(docket: Docket, may: May) -> NextStep | None:
    if not may("record"):
        return None
    note = _("tap on a photo where you see something; what is sound counts as looked at too")
    address = docket["face"].get_absolute_url()
    return NextStep(_("Look the instrument over"), note, _("Look over the photos"), address)


def _look(docket: Docket, may: May) -> NextStep | None:
    case = docket["case"]
    if not docket["examination"]:
        if not may("record"):
            return None
        address = _address("findings:look_over", case)
        note = _("how it is as a whole, and what you advise")
        return NextStep(_("Judge the whole"), note, _("General judgement"), address)
    if not (may("examine") and docket["looked"]):
        return None
    address = _address("findings:finish", case)
    note = _("what was not examined is written down as such")
    title = _("End the looking over")
    return NextStep(title, note, _("It is looked over"), address, is_deed=True)


def _report(docket: Docket, _may: May) -> NextStep | None:
    for offer in docket["offers"]:
        if offer.kind == "condition_report" and offer.is_ready:
            note = _("you see it before it is issued")
            return NextStep(_("Write the report"), note, offer.label, offer.url)
    return None


def _agree(docket: Docket, may: May) -> NextStep | None:
    if not may("agree"):
        return None
    is_house = docket["case"].reason == "house"
    key = _("Agree to work") if is_house else _("Emergency work")
    note = _("work starts when it is agreed to")
    return NextStep(_("Say what is done"), note, key, _address("treatment:agree", docket["case"]))


def _estimate(docket: Docket, may: May) -> NextStep | None:
    if not may("estimate"):
        return None
    note = _("the options side by side; the owner agrees to one of them")
    address = _address("estimates:new", docket["case"])
    return NextStep(_("Write an estimate"), note, _("Begin the estimate"), address, is_deed=True)


def _decide(docket: Docket, may: May) -> NextStep | None:
    if not may("see_prices"):
        return None
    note = docket["estimate"].state.label
    address = _address("estimates:list", docket["case"])
    return NextStep(_("Have the owner decide"), note, _("Show the estimate"), address)


def _work(docket: Docket, may: May) -> NextStep | None:
    plan: Plan = docket["plan"]
    going = next((one for one in plan.begun if one.work and one.work.ended_at is None), None)
    if going is not None and going.work is not None:
        address = going.work.get_absolute_url()
        return NextStep(str(going.agreed), _("in work"), _("Go on"), address)
    line = plan.next_to_begin
    if line is None or not may("record"):
        return None
    address = _address("treatment:begin", docket["case"], line.agreed.number)
    return NextStep(str(line.agreed), _("agreed, not begun"), _("Begin"), address)


def _proof(docket: Docket, may: May) -> NextStep | None:
    line = docket["plan"].next_to_prove
    if line is None or line.work is None or not may("sign_off"):
        return None
    address = _address("treatment:proof", docket["case"], line.work.number)
    return NextStep(str(line.agreed), _("done, to be proved"), _("Prove and sign off"), address)


def _return(docket: Docket, may: May) -> NextStep | None:
    if not may("receipt"):
        return None
    note = _("with its papers and what was taken out of it")
    address = _address("papers:return", docket["case"])
    return NextStep(_("Hand it back"), note, _("To the return"), address)


_STEPS: Mapping[str, Callable[[Docket, May], NextStep | None]] = {
    "photos": _photos,
    "findings": _findings,
    "look": _look,
    "report": _report,
    "agree": _agree,
    "estimate": _estimate,
    "decide": _decide,
    "work": _work,
    "proof": _proof,
    "return": _return,
}
