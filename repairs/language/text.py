"""Small words shared by all rooms: catalogues, languages, spaces, safe file names."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.utils.formats import get_format, number_format
from django.utils.translation import get_language, pgettext
from django.utils.translation import gettext as _

# Code and name of each, the name as its own readers say it.
OWN_NAMES: tuple[tuple[str, str], ...] = tuple(settings.LANGUAGES)
LANGUAGES = tuple(code for code, _name in OWN_NAMES)
WHOLE_COUNTS = frozenset({"fr"})  # languages in which the plural begins with two
LIGATURES = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d"})
MOST_ASKED_SIGNS, MOST_SOUGHT_WORDS, MOST_SOUGHT_SIGNS = 2_000, 12, 80


def language() -> str:
    """Return the two letters of the language in force, one that the house speaks."""
    return spoken((get_language() or "")[:2])


def spoken(code: str) -> str:
    """That language if the house speaks it, the house's own otherwise."""
    return code if code in LANGUAGES else house_language()


def house_language() -> str:
    """The language of the house (SAUTEREAU_LANGUAGE), for whoever has not chosen one."""
    own = settings.LANGUAGE_CODE[:2]
    return own if own in LANGUAGES else LANGUAGES[0]


def own_name(code: str) -> str:
    """The language as its own readers call it; the code of one that the house does not speak."""
    return dict(OWN_NAMES).get(code, code)


def counted(quantity: Decimal) -> int:
    """The whole number by which a word behind that quantity takes its plural.

    French counts what is whole in it: 1,5 heure, 2,5 heures. Elsewhere a broken number is said in
    the plural, as none is (0). Source: plural rules of the Unicode CLDR, cardinal, fr and en.
    """
    whole = int(abs(quantity))
    if language() in WHOLE_COUNTS or whole == abs(quantity):
        return whole
    return 0


def in_language(words: Mapping[str, str] | None, code: str | None = None) -> str:
    """Pick a label of the fixtures, ``{"en": …, "fr": …}``, in the wanted or present language."""
    if not words:
        return ""
    return words.get(code or language()) or words.get("en", "")


def labelled(label: object, words: object) -> str:
    """“label: words” with the colon of the language; either alone when the other is empty."""
    if not label or not words:
        return str(label or words or "")
    return _("%(label)s: %(words)s") % {"label": label, "words": words}


def lower_first(words: str) -> str:
    """The words with a small letter first, as inside a sentence."""
    return words[:1].lower() + words[1:]


def sentences(words: Iterable[str]) -> str:
    """The words one after the other, each with a capital first and one full stop behind it."""
    return " ".join(f"{one[:1].upper()}{one[1:].rstrip('.')}." for one in words if one)


def semicolons(words: Iterable[str]) -> str:
    """The items with the semicolon of the language between them."""
    items = list(words)
    between = pgettext("between the items of a list, with its spaces", "; ")
    return between.join(items)


def number_runs(numbers: Iterable[int]) -> str:
    """Numbers in their order, three or more that follow on each other as one: “1, 2, 5–9”."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in found
    )


def decimal_words(value: Decimal) -> str:
    """A decimal without needless zeros, with the comma or point of the language in force."""
    plain = value.normalize()
    places = max(0, -int(plain.as_tuple().exponent))
    return number_format(plain, places)


def folded(words: str) -> str:
    """Return the words without case, accents or repeated spaces, for finding duplicates."""
    plain = unicodedata.normalize("NFKD", words.casefold()).translate(LIGATURES)
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return re.sub(r"[\W_]+", " ", plain).strip()


def sought(words: str) -> list[str]:
    """The words that a list is searched for, folded: so many, and none longer than a name.

    A database refuses patterns of tens of thousands of signs, and hundreds of them at once.
    """
    asked = folded(words[:MOST_ASKED_SIGNS]).split()
    return [word[:MOST_SOUGHT_SIGNS] for word in asked[:MOST_SOUGHT_WORDS]]


def tidy_json(value: Any) -> Any:
    """Drop empty strings, None and empty lists from nested data, to keep snapshots readable."""
    if isinstance(value, dict):
        kept = {key: tidy_json(item) for key, item in value.items()}
        return {key: item for key, item in kept.items() if item not in ("", None, [], {})}
    if isinstance(value, list):
        return [tidy_json(item) for item in value]
    return value


def uses_comma() -> bool:
    """Whether the language in force writes decimals with a comma."""
    return bool(get_format("DECIMAL_SEPARATOR") == ",")


def rounded(value: float, places: int) -> str:
    """A number with so many places, as the language in force writes it."""
    return number_format(round(value, places), places).replace("-", "−")


def lines_of(text: str) -> tuple[str, ...]:
    """The lines that say something, without the empty ones."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())
