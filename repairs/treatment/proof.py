"""Is the work proved? Looks at the readings, photos and steps themselves, never at a tick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import Any, Literal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.gauges.verdict import Limit, judge
from repairs.photos.models import Photo
from repairs.readings.models import Reading, Verdict
from repairs.readings.sheets.catalogue import sheet_of, sheets_for
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import figure_rows
from repairs.treatment.actions import latest_notes
from repairs.treatment.models import Intervention, StepNote
from repairs.treatment.procedure import WantedReading

State = Literal["fine", "not_permitted", "not_judged", "doubtful", "outside", "missing"]
GRAVEST_FIRST: tuple[State, ...] = ("missing", "outside", "doubtful", "not_judged", "fine")
STATE_SIGNS = {"fine": "●", "not_permitted": "○", "missing": "✕", **SIGNS}
STATE_WORDS = {
    "fine": gettext_lazy("as it must be"),
    "not_permitted": gettext_lazy("not done: not permitted"),
    "not_judged": gettext_lazy("on record; nothing in it is judged"),
    "doubtful": gettext_lazy("too close to a limit to be sure"),
    "outside": gettext_lazy("outside its limits"),
    "missing": gettext_lazy("missing"),
}
PHOTO_PHASES = {
    "before": (Photo.Phase.ARRIVAL, Photo.Phase.BEFORE),
    "during": (Photo.Phase.DURING,),
    "after": (Photo.Phase.AFTER, Photo.Phase.RETURN),
}


@dataclass(frozen=True, kw_only=True)
class Held:
    """One thing that the procedure asks for, and how it stands.

    ``blocks`` means that nothing but the thing itself helps; ``asks`` that a stated reason does.
    """

    key: str
    label: str
    state: State
    details: tuple[str, ...] = ()
    readings: tuple[int, ...] = ()
    blocks: bool = False
    asks: bool = False
    gauge: str = ""

    @property
    def sign(self) -> str:
        return STATE_SIGNS[self.state]

    @property
    def words(self) -> str:
        return str(STATE_WORDS[self.state])

    def plain(self) -> dict[str, Any]:
        return asdict(self)


def proof_of(work: Intervention) -> list[Held]:
    """Everything that the work's procedure asks for, in the order of the work."""
    procedure = work.version.procedure
    return [
        *_readings(work, procedure.readings),
        *_photos(work, procedure.photos),
        *_conditions(work, procedure.asks),
        *_steps(work),
    ]


def _readings(work: Intervention, wanted: Iterable[WantedReading]) -> Iterator[Held]:
    fitting = {sheet.gauge for sheet in sheets_for(work.case)}
    rows = list(
        work.case.readings.present().prefetch_related("results__verdicts").order_by("taken_at")
    )
    for one in wanted:
        if one.gauge in fitting:
            yield _held(work, one, [row for row in rows if _answers(work, one, row)])


def _answers(work: Intervention, wanted: WantedReading, row: Reading) -> bool:
    """A reading after the work must have been taken since it was begun, marked as such."""
    if row.gauge != wanted.gauge:
        return False
    if wanted.phase == Reading.Phase.BEFORE:
        return row.phase == Reading.Phase.BEFORE
    return row.phase == Reading.Phase.AFTER and row.taken_at >= work.opened_at


def _held(work: Intervention, wanted: WantedReading, rows: list[Reading]) -> Held:
    """The last reading of each subject counts; the gravest of them speaks for all."""
    label = _("%(gauge)s, %(phase)s") % {
        "gauge": capfirst(str(sheet_of(wanted.gauge).label)),
        "phase": Reading.Phase(wanted.phase).label,
    }
    last = {row.subject: row for row in rows}
    if not last:
        return Held(key=wanted.key, label=label, state="missing", blocks=True, gauge=wanted.gauge)
    numbers = tuple(row.number for row in last.values())
    done = [row for row in last.values() if not row.not_permitted]
    if not done:
        why = tuple(row.not_permitted for row in last.values())
        return Held(
            key=wanted.key, label=label, state="not_permitted", details=why, readings=numbers
        )
    if wanted.phase == Reading.Phase.BEFORE:  # it is there: how bad it was is what is mended
        return Held(key=wanted.key, label=label, state="fine", readings=numbers)
    judged = [_judged(wanted, row) for row in done]
    state = next(s for s in GRAVEST_FIRST if s in {word for word, _figures in judged})
    figures = tuple(one for word, found in judged if word == state for one in found)
    return Held(
        key=wanted.key,
        label=label,
        state=state,
        details=figures if state in ("outside", "doubtful") else (),
        readings=numbers,
        asks=state == "outside",
    )


def _judged(wanted: WantedReading, row: Reading) -> tuple[State, list[str]]:
    """The gravest word over the figures that the procedure looks at, and the figures it is of."""
    limits = {
        one.figure: Limit(one.lower, one.upper, one.unit, one.source) for one in wanted.limits
    }
    found: dict[str, list[str]] = {}
    for figure in figure_rows(row):
        name = figure.key.partition(":")[0]
        if wanted.figures and name not in wanted.figures:
            continue
        limit = limits.get(name)
        word = judge(figure.raw, figure.raw_u, limit).word if limit else figure.word
        said = f"{figure.label} {figure.value}"
        found.setdefault(word, []).append(f"{row.subject}, {said}" if row.subject else said)
    for word in (Verdict.Word.OUTSIDE, Verdict.Word.DOUBTFUL):
        if word in found:
            return word.value, found[word]  # type: ignore[return-value] # two words of State
    return ("fine", []) if Verdict.Word.INSIDE in found else ("not_judged", [])


def _photos(work: Intervention, phases: Iterable[str]) -> Iterator[Held]:
    shot = set(work.case.photos.ready().values_list("phase", flat=True))
    for phase in phases:
        is_there = bool(shot & set(PHOTO_PHASES[phase]))
        yield Held(
            key=f"photos.{phase}",
            label=_("Photo, %(phase)s") % {"phase": Photo.Phase(phase).label},
            state="fine" if is_there else "missing",
            asks=not is_there,
        )


def _conditions(work: Intervention, asks: Iterable[str]) -> Iterator[Held]:
    """What the procedure wants written down: the glue's temperature, the room's climate."""
    for asked in asks:
        if asked == "climate":
            is_there = work.room_rh_pct is not None and work.room_t_c is not None
            label = _("Climate of the room")
        else:
            present = [one for one in work.materials.all() if one.withdrawn_at is None]
            is_there = any(one.glue_t_c is not None for one in present)
            label = _("Temperature of the glue")
        state: State = "fine" if is_there else "missing"
        yield Held(key=f"asks.{asked}", label=label, state=state, asks=not is_there)


def _steps(work: Intervention) -> Iterator[Held]:
    notes = latest_notes(work)
    still = [
        str(step)
        for step in work.version.procedure.steps
        if step.key not in notes or notes[step.key].state == StepNote.State.OPEN
    ]
    yield Held(
        key="steps",
        label=_("Steps with what really happened"),
        state="missing" if still else "fine",
        details=tuple(still),
        asks=bool(still),
    )
