"""Is the work proved? Looks at the readings, photos and steps themselves, never at a tick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.language.text import decimal_words
from repairs.photos.models import Photo
from repairs.treatment.actions import latest_notes
from repairs.treatment.held import Held, State
from repairs.treatment.models import Intervention, StepNote
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.proof_readings import Evidence, is_since, readings_held

GLUE_MOST_C = 60
GLUE_ASKED = "glue_temperature"
PHOTO_PHASES = {
    "before": (Photo.Phase.ARRIVAL, Photo.Phase.BEFORE),
    "during": (Photo.Phase.DURING,),
    "after": (Photo.Phase.AFTER, Photo.Phase.RETURN),
}


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
        *readings_held(work, procedure.readings, evidence),
        *_photos(work, procedure.photos, evidence),
        *_conditions(work, procedure.asks),
        *_steps(work),
    ]


def _photos(work: Intervention, phases: Iterable[str], evidence: Evidence) -> Iterator[Held]:
    """Photos before the work may be those of the arrival; later ones were sent since it began."""
    for phase in phases:
        wanted = PHOTO_PHASES[phase]
        is_there = any(
            # By when it was sent and not by the camera's clock, which on many a bench still runs on
            # last summer's time.
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
    """Hide glue loses its strength above 60 °C (common practice, trade notes 9).

    The protein chains break down in the heat and the joint lets go years later, when nobody thinks
    of the pot any more; so the figure is asked for while it can still be read.
    """
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
