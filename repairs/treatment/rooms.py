"""The rooms of a work as lines: what stands in each, with a sign and one figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from repairs.language.durations import duration_words
from repairs.screens.fields import air_words
from repairs.treatment.held import Held
from repairs.treatment.models import Intervention

DONE, PARTLY, OPEN = "●", "◐", "○"
FEW_WORDS = 60
Facts = Mapping[str, Any]


@dataclass(frozen=True)
class RoomLine:
    """One room of the work: its name, a sign, what to know of it, one figure.

    ``is_open`` where something that was typed there must be mended.
    """

    name: str
    sign: str
    state: str
    figure: str = ""
    is_open: bool = False

    @property
    def colour(self) -> str:
        """The class of the sign's colour; the sign says the same without it."""
        return "moss" if self.sign == DONE else ""


def rooms_of(facts: Facts) -> dict[str, RoomLine]:
    """The lines by the anchor of their room."""
    return {
        "clock": _time(facts),
        "materials": _things(
            _("Materials"),
            [one.name for one in facts["materials"]],
            wrong=facts["material_form"],
        ),
        "removed": _things(
            _("Taken off"), [one.description for one in facts["removed"]], facts["removed_form"]
        ),
        "new_parts": _things(_("Put in"), [one.description for one in facts["new_parts"]]),
        "followed": _followed(facts["follows"]),
        "told": _told(facts["work"], facts["describe_form"]),
        "held": _held(facts["held"]),
    }


def _time(facts: Facts) -> RoomLine:
    sign = PARTLY if facts["clocks"] else DONE if facts["minutes"] else OPEN
    who = ", ".join(str(one.person) for one in facts["people"] if one.minutes)
    running = ngettext("%(count)s clock runs", "%(count)s clocks run", len(facts["clocks"]))
    state = running % {"count": len(facts["clocks"])} if facts["clocks"] else who
    figure = duration_words(facts["minutes"])
    return RoomLine(pgettext("time worked", "Time"), sign, state or _("nothing yet"), figure)


def _things(name: str, named: Sequence[str], wrong: Any = None) -> RoomLine:
    state = Truncator(", ".join(named)).chars(FEW_WORDS) if named else _("nothing yet")
    figure = str(len(named)) if named else ""
    return RoomLine(name, DONE if named else OPEN, state, figure, bool(wrong and wrong.errors))


def _followed(lines: Sequence[Any]) -> RoomLine:
    done = sum(1 for one in lines if one.done is not None)
    sign = DONE if lines and done == len(lines) else PARTLY if done else OPEN
    state = _("how far each was followed")
    wrong = any(one.form.is_bound and one.form.errors for one in lines)
    return RoomLine(_("Prescriptions followed"), sign, state, f"{done} / {len(lines)}", wrong)


def _told(work: Intervention, form: Any) -> RoomLine:
    state = Truncator(work.words).chars(FEW_WORDS) or air_words(work.room_t_c, work.room_rh_pct)
    sign = DONE if state else OPEN
    said = state or _("nothing yet")
    return RoomLine(_("In words, and the room"), sign, said, is_open=bool(form.errors))


def _held(held: Sequence[Held]) -> RoomLine:
    lacking = [one.label for one in held if one.blocks or one.asks]
    good = len(held) - len(lacking)
    if lacking:
        what = Truncator(", ".join(str(one) for one in lacking)).chars(FEW_WORDS)
        state = _("still: %(what)s") % {"what": what}
    else:
        state = _("all of it is there")
    figure = f"{good} / {len(held)}" if held else ""
    return RoomLine(_("What its proof needs"), OPEN if lacking else DONE, state, figure)
