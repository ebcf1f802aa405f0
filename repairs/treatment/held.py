"""One thing that a procedure asks for, how it stands, and how that is said."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.language.text import semicolons
from repairs.photos.models import Photo
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.treatment.models import Intervention

State = Literal["fine", "not_permitted", "not_judged", "doubtful", "outside", "late", "missing"]


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


MOST_SAID = 4


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
        """A shape beside the words, so that the state is not told by colour alone."""
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
        """Whether the page should lead to the camera."""
        return self.phase == "photos" and self.state == "missing"

    @property
    def photo_phase(self) -> str:
        """Of which phase a photo is wanted; empty for anything else."""
        return self.key.partition(".")[2] if self.phase == "photos" else ""

    @property
    def words(self) -> str:
        """The state as a sentence says it: “outside its limits”."""
        return str(STATE_WORDS[self.state])

    @property
    def is_weak(self) -> bool:
        """Whether it is not simply as it must be: not done, not judged, or held by a reason."""
        return self.state != "fine"

    def plain(self) -> dict[str, Any]:
        """As it is kept with the sign-off, for ever; with its label in the signer's language."""
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
