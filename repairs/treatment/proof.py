"""Is the work proved? Looks at the readings, photos and steps themselves, never at a tick."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.gauges.base.verdict import Limit, judge
from repairs.language.text import decimal_words, semicolons
from repairs.photos.models import Photo
from repairs.procedures.procedure import WantedReading
from repairs.readings.models import Reading, Verdict
from repairs.readings.sheets.catalogue import sheet_of, sheets_for
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import figure_rows
from repairs.treatment.actions import latest_notes
from repairs.treatment.models import Intervention, StepNote
from repairs.treatment.part_models import MaterialUse

State = Literal["fine", "not_permitted", "not_judged", "doubtful", "outside", "late", "missing"]
GRAVEST_FIRST: tuple[State, ...] = ("missing", "outside", "doubtful", "not_judged", "fine")
STATE_SIGNS = {"fine": "●", "not_permitted": "○", "missing": "✕", "late": "◐", **SIGNS}
STATE_WORDS = {
    "fine": gettext_lazy("as it must be"),
    "not_permitted": gettext_lazy("not done: not permitted"),
    "not_judged": gettext_lazy("on record; nothing in it is judged"),
    "doubtful": gettext_lazy("too close to a limit to be sure"),
    "outside": gettext_lazy("outside its limits"),
    "late": gettext_lazy("taken after the work was begun"),
    "missing": gettext_lazy("missing"),
}
GLUE_MOST_C = 60
GLUE_ASKED = "glue_temperature"
WITHIN_THE_WORK = "as_found"  # the step under which a reading before is taken within the work
MOST_SAID = 4
PHOTO_PHASES = {
    "before": (Photo.Phase.ARRIVAL, Photo.Phase.BEFORE),
    "during": (Photo.Phase.DURING,),
    "after": (Photo.Phase.AFTER, Photo.Phase.RETURN),
}


@dataclass(frozen=True, kw_only=True)
class Held:
    """One thing that the procedure asks for, and how it stands.

    ``blocks`` means that nothing but the thing itself helps; ``asks`` that a stated reason does.
    ``reason`` is what was stated when the work was signed off.
    """

    key: str
    state: State
    details: tuple[str, ...] = ()
    readings: tuple[int, ...] = ()
    blocks: bool = False
    asks: bool = False
    gauge: str = ""
    reason: str = ""

    @property
    def label(self) -> str:
        """What is asked for, in the reader's language; the signer's may have been another."""
        kind, _dot, name = self.key.partition(".")
        if kind in (Reading.Phase.BEFORE, Reading.Phase.AFTER):
            gauge = capfirst(str(sheet_of(name).label))
            return _("%(gauge)s, %(phase)s") % {"gauge": gauge, "phase": Reading.Phase(kind).label}
        if kind == "photos":
            return _("Photo, %(phase)s") % {"phase": Photo.Phase(name).label}
        if kind == "asks":
            return _("Climate of the room") if name == "climate" else _("Temperature of the glue")
        return _("Steps with what really happened")

    @property
    def sign(self) -> str:
        return STATE_SIGNS[self.state]

    @property
    def details_words(self) -> str:
        """The first few of them, and how many more there are."""
        more = len(self.details) - MOST_SAID
        words = semicolons(self.details[:MOST_SAID])
        if more <= 0:
            return words
        told = {"words": words, "more": more}
        return ngettext("%(words)s and %(more)s more", "%(words)s and %(more)s more", more) % told

    @property
    def phase(self) -> str:
        """Of a reading, before or after the work; of anything else its sort."""
        return self.key.partition(".")[0]

    @property
    def is_photo_missing(self) -> bool:
        return self.phase == "photos" and self.state == "missing"

    @property
    def photo_phase(self) -> str:
        """Of which phase a photo is wanted; empty for anything else."""
        return self.key.partition(".")[2] if self.phase == "photos" else ""

    @property
    def words(self) -> str:
        return str(STATE_WORDS[self.state])

    @property
    def is_weak(self) -> bool:
        """Whether it is not simply as it must be: not done, not judged, or held by a reason."""
        return self.state != "fine"

    def plain(self) -> dict[str, Any]:
        return asdict(self) | {"label": self.label}


def held_at_sign_off(work: Intervention) -> list[Held]:
    """How everything stood when the work was signed off, with the reasons that were stated."""
    return [
        Held(
            **{name: value for name, value in row.items() if name != "label"}
            | {name: tuple(row[name]) for name in ("details", "readings")}
        )
        for row in work.sign_off.rows
    ]


@dataclass(frozen=True)
class Evidence:
    """What is on record of a case: its readings in their order, and phase and day of its photos."""

    readings: Sequence[Reading]
    photos: Sequence[tuple[str, dt.datetime]]


def evidence_of(case: Case) -> Evidence:
    """Asked once for all works of the case."""
    rows = case.readings.present().prefetch_related("results__verdicts")
    return Evidence(
        list(rows.order_by("taken_at", "number")),
        list(case.photos.ready().values_list("phase", "sent_at")),
    )


def proof_of(work: Intervention, evidence: Evidence | None = None) -> list[Held]:
    """Everything that the work's procedure asks for, in the order of the work."""
    procedure = work.version.procedure
    evidence = evidence or evidence_of(work.case)
    return [
        *_readings(work, procedure.readings, evidence),
        *_photos(work, procedure.photos, evidence),
        *_conditions(work, procedure.asks),
        *_steps(work),
    ]


def is_since(work: Intervention, moment: dt.datetime) -> bool:
    """Whether it was after the work was begun; moments of readings are typed to the minute."""
    return moment >= work.opened_at.replace(second=0, microsecond=0)


def is_after(work: Intervention, row: Reading) -> bool:
    """A reading after this work was taken and kept since it was begun, and is marked as such."""
    is_marked = row.phase == Reading.Phase.AFTER
    return is_marked and is_since(work, row.taken_at) and row.saved_at >= work.opened_at


def _readings(
    work: Intervention, wanted: Iterable[WantedReading], evidence: Evidence
) -> Iterator[Held]:
    fitting = {sheet.gauge for sheet in sheets_for(work.case)}
    for one in wanted:
        if one.gauge in fitting:
            yield _held(work, one, [row for row in evidence.readings if _answers(work, one, row)])


def _answers(work: Intervention, wanted: WantedReading, row: Reading) -> bool:
    if row.gauge != wanted.gauge:
        return False
    if wanted.phase == Reading.Phase.BEFORE:
        return row.phase == Reading.Phase.BEFORE
    return is_after(work, row)


def _held(work: Intervention, wanted: WantedReading, rows: list[Reading]) -> Held:
    """The last reading of each subject counts, and the gravest of them speaks for all.

    One that was not permitted counts where nothing was read: it does not hide what was.
    """
    done = {row.subject: row for row in rows if not row.not_permitted}
    last = {row.subject: row for row in rows if row.not_permitted} | done
    if not last:
        return Held(key=wanted.key, state="missing", blocks=True, gauge=wanted.gauge)
    numbers = tuple(sorted(row.number for row in last.values()))
    if not done:
        why = tuple(row.not_permitted for row in last.values())
        return Held(key=wanted.key, state="not_permitted", details=why, readings=numbers)
    if wanted.phase == Reading.Phase.BEFORE:  # it is there: how bad it was is what is mended
        late = _taken_late(work, rows)
        return Held(
            key=wanted.key,
            state="late" if late else "fine",
            details=tuple(dict.fromkeys(row.subject for row in late if row.subject)),
            readings=numbers,
            asks=bool(late),
        )
    looks = [_look(wanted, row) for row in done.values()]
    state = next(s for s in GRAVEST_FIRST if s in {look.state for look in looks})
    said = [look.figures for look in looks if look.state == state]
    return Held(
        key=wanted.key,
        state=state,
        details=tuple(dict.fromkeys(one for figures in said for one in figures)),
        readings=numbers,
        asks=state == "outside" or any(look.lacks_all for look in looks),
    )


def _taken_late(work: Intervention, rows: list[Reading]) -> list[Reading]:
    """Readings “before” of what was not read before this work was begun: they prove less.

    A procedure whose first deed is to record what is found has them taken within the work.
    """
    if any(step.key == WITHIN_THE_WORK for step in work.version.procedure.steps):
        return []
    early = {row.subject for row in rows if row.taken_at <= work.opened_at}
    return [row for row in rows if row.subject not in early]


@dataclass(frozen=True)
class _Look:
    """The gravest word over a reading's figures, which they are, and whether all are lacking."""

    state: State
    figures: tuple[str, ...] = ()
    lacks_all: bool = False


def _look(wanted: WantedReading, row: Reading) -> _Look:
    """Hold the figures that the procedure looks at against its own limits or the gauge's."""
    limits = {
        one.figure: Limit(one.lower, one.upper, one.unit, one.source) for one in wanted.limits
    }
    found: dict[str, list[str]] = {}
    seen = set()
    for figure in figure_rows(row):
        name = figure.key.partition(":")[0]
        if wanted.figures and name not in wanted.figures:
            continue
        seen.add(name)
        limit = limits.get(name)
        word = judge(figure.raw, figure.raw_u, limit).word if limit else figure.word
        said = f"{figure.label} {figure.value}"
        found.setdefault(word, []).append(f"{row.subject}, {said}" if row.subject else said)
    for word in (Verdict.Word.OUTSIDE, Verdict.Word.DOUBTFUL):
        if word in found:
            return _Look(word.value, tuple(found[word]))  # type: ignore[arg-type] # two of State
    lacking = tuple(_lacking(wanted, seen))
    if Verdict.Word.INSIDE in found:
        return _Look("fine", lacking)
    return _Look("not_judged", lacking, lacks_all=bool(wanted.figures) and not seen)


def _lacking(wanted: WantedReading, seen: set[str]) -> Iterator[str]:
    """Figures that the procedure looks at and that the reading does not have."""
    known = sheet_of(wanted.gauge).limits
    for name in wanted.figures:
        if name not in seen:
            label = known[name][0] if name in known else name
            yield _("not read: %(figure)s") % {"figure": label}


def _photos(work: Intervention, phases: Iterable[str], evidence: Evidence) -> Iterator[Held]:
    """Photos before the work may be those of the arrival; later ones were sent since it began."""
    for phase in phases:
        wanted = PHOTO_PHASES[phase]
        is_there = any(
            shot in wanted and (phase == "before" or is_since(work, sent_at))
            for shot, sent_at in evidence.photos
        )
        yield Held(
            key=f"photos.{phase}",
            state="fine" if is_there else "missing",
            asks=not is_there,
        )


def _conditions(work: Intervention, asks: Iterable[str]) -> Iterator[Held]:
    """What the procedure wants written down: the glue's temperature, the room's climate."""
    for asked in asks:
        if asked == "climate":
            is_there = work.room_rh_pct is not None and work.room_t_c is not None
            state: State = "fine" if is_there else "missing"
            yield Held(key="asks.climate", state=state, asks=not is_there)
        else:
            yield _glue(work)
    if GLUE_ASKED not in asks and (hot := _too_hot(work)):
        yield Held(key=f"asks.{GLUE_ASKED}", state="outside", details=hot)


def _glue(work: Intervention) -> Held:
    """Hide glue loses its strength above 60 °C (common practice, trade notes 9)."""
    present = [one for one in work.materials.all() if one.withdrawn_at is None]
    warm = any(one.glue_t_c is not None for one in present)
    hot = _too_hot(work)
    return Held(
        key=f"asks.{GLUE_ASKED}",
        state="outside" if hot else "fine" if warm else "missing",
        details=hot,
        asks=bool(hot) or not warm,
    )


def _too_hot(work: Intervention) -> tuple[str, ...]:
    rows = [one for one in work.materials.all() if one.withdrawn_at is None]
    return tuple(words for one in rows if (words := too_hot_words(one)))


def too_hot_words(use: MaterialUse) -> str:
    """Of a warm glue above what hide and bone glue bear; empty below it."""
    if use.glue_t_c is None or use.glue_t_c <= GLUE_MOST_C:
        return ""
    told = {"name": use.name, "t": decimal_words(use.glue_t_c), "most": GLUE_MOST_C}
    return _("%(name)s: %(t)s °C, usually at most %(most)s °C") % told


def _steps(work: Intervention) -> Iterator[Held]:
    notes = latest_notes(work)
    still = [
        str(step)
        for step in work.version.procedure.steps
        if step.key not in notes or notes[step.key].state == StepNote.State.OPEN
    ]
    yield Held(
        key="steps",
        state="missing" if still else "fine",
        details=tuple(still),
        asks=bool(still),
    )
