"""One picture of the demo: what it shows, when it was taken and how it was held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType

from repairs.demo.pictures.scenes import Spot, places, upright_size

Place = tuple[float, float]
NOMINAL = (4032, 3024)
# Round figures that stand for no house: the workshop of the demo is invented.
VALBRUNE: Place = (46.5, 2.5)


@dataclass(frozen=True)
class Shot:
    """One photograph of the demo. `tags` are in 0..1 of the picture as seen upright.

    Any phase but "arrival" and "before" shows the damage mended, except what `left` names.
    """

    name: str
    view: str
    subject: str
    phase: str
    taken_at: datetime
    orientation: int
    gps: Place | None
    caption_en: str
    caption_fr: str
    scene: str
    tags: Mapping[str, Spot] = field(hash=False, default_factory=dict)
    left: tuple[str, ...] = ()


def aimed(shot: Shot) -> Shot:
    """Return the shot with the places its picture shows."""
    size = upright_size(shot.orientation, NOMINAL)
    return replace(shot, tags=MappingProxyType(places(shot.scene, shot.name, size)))


def retaken(shot: Shot, *, name: str, phase: str, taken_at: datetime) -> Shot:
    """Return the same view taken again, in hand a little differently."""
    return aimed(replace(shot, name=name, phase=phase, taken_at=taken_at))


def series(
    subject: str, first: int, start: str, rows: tuple[tuple[str, str, int, bool, str, str], ...]
) -> tuple[Shot, ...]:
    """Return shots numbered from `first`, taken some forty seconds apart from `start`."""
    shots = []
    begin = datetime.fromisoformat(start)
    for k, (scene, view, orientation, located, english, french) in enumerate(rows):
        moment = begin.replace(minute=begin.minute + k, second=(begin.second + 37 * k) % 60)
        shot = Shot(
            name=f"IMG_{first + k}.jpg",
            view=view,
            subject=subject,
            phase="arrival",
            taken_at=moment,
            orientation=orientation,
            gps=VALBRUNE if located else None,
            caption_en=english,
            caption_fr=french,
            scene=f"{subject}/{scene}",
        )
        shots.append(aimed(shot))
    return tuple(shots)


# What the work on the wheel fiddle left as it was.
LEFT_ALONE = ("lost_edging", "cracked_peg", "rim_joint", "loose_tangent", "worn_shank")


def later(subject: str, first: int, rows: tuple[tuple[str, ...], ...]) -> tuple[Shot, ...]:
    """Return shots of the work and after it, held level, numbered from `first`."""
    return tuple(
        aimed(
            Shot(
                name=f"IMG_{first + k}.jpg",
                view=view,
                subject=subject,
                phase=phase,
                taken_at=datetime.fromisoformat(moment),
                orientation=1,
                gps=None,
                caption_en=english,
                caption_fr=french,
                scene=f"{subject}/{scene}",
                left=LEFT_ALONE,
            )
        )
        for k, (scene, view, phase, moment, english, french) in enumerate(rows)
    )
