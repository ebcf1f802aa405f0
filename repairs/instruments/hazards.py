"""What stands against an instrument, in words: the act first, then the danger and its proof.

The act comes first because that is what a hand about to open the case can use: “gloves and mask,
no dry brushing” helps whoever does not know what lindane is. Words are data, in the scale
“hazards” of ``fixtures/vocabulary/scales.json``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.utils.translation import ngettext

from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.scales import scale_choices, scale_entry
from repairs.language.text import in_language

if TYPE_CHECKING:
    from repairs.instruments.models import Instrument

SCALE = "hazards"
UNKNOWN = "other"


def hazard_choices() -> list[tuple[str, str]]:
    """Key and name of every hazard that can be noted, in the language in force."""
    return scale_choices(SCALE)


def hazard_words(key: str) -> Mapping[str, Any]:
    """The words of a hazard; one that the vocabulary has lost says what any other hazard says."""
    # A key of a later release, or of an older one, is a hazard all the same: shown as “other”,
    # never dropped.
    return scale_entry(SCALE, key) or scale_entry(SCALE, UNKNOWN)


@dataclass(frozen=True)
class Standing:
    """A danger that nobody lifted, with every row that speaks of it, the newest first."""

    key: str
    rows: tuple[HazardNoted, ...]

    @property
    def newest(self) -> HazardNoted:
        """The row noted last, which says most."""
        return self.rows[0]

    @property
    def label(self) -> str:
        """The hazard in the reader's language."""
        return in_language(hazard_words(self.key)["label"])

    @property
    def act(self) -> str:
        """What to do, in one line: “Gloves and mask, no dry brushing, extraction; …”."""
        return in_language(hazard_words(self.key)["act"])

    @property
    def short(self) -> str:
        """The act in a few words, for a label or a row of a list."""
        return in_language(hazard_words(self.key)["short"])

    @property
    def caution(self) -> str:
        """The whole sentence, as papers print it."""
        return in_language(hazard_words(self.key)["caution"])


def grouped(rows: Iterable[HazardNoted]) -> tuple[Standing, ...]:
    """One entry a danger, in the order of the vocabulary; ``rows`` come newest first."""
    found: dict[str, list[HazardNoted]] = {}
    for row in rows:
        found.setdefault(row.key, []).append(row)
    return tuple(Standing(key, tuple(found[key])) for key in in_order(found))


def in_order(keys: Iterable[str]) -> list[str]:
    """The keys, the gravest danger first, as a label may have room for one; ranks are data."""
    # By rank and never by date: arsenic noted years ago stands before the mould of this week.
    return sorted(keys, key=lambda key: (hazard_words(key)["rank"], key))


def fill_standing(instruments: Iterable[Instrument], ids: Any) -> None:
    """Give each instrument what stands against it, by one query for a whole list of them.

    ``ids`` names the same instruments as a query, so that a long list is no long statement.
    """
    by_instrument: dict[int, list[HazardNoted]] = {}
    for row in HazardNoted.objects.standing().filter(instrument__in=ids):
        by_instrument.setdefault(row.instrument_id, []).append(row)
    for instrument in instruments:
        instrument.__dict__["standing_hazards"] = grouped(by_instrument.get(instrument.pk, ()))


def label_words(hazards: Sequence[Standing], most: int) -> tuple[str, ...]:
    """Act and danger of each in a few words, as a label that hangs on a string can hold them.

    The gravest ``most`` of them; the last says how many more there are, as none may be hidden.
    """
    lines = [f"{one.short} ({one.label})" for one in hazards[:most]]
    if more := len(hazards) - len(lines):
        words = ngettext("%(count)s more: see the case", "%(count)s more: see the case", more)
        lines[-1] += " + " + words % {"count": more}
    return tuple(lines)
