"""What stands on the page of causes about what it was: choices, last word, earlier stays."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.http import QueryDict

from repairs.causes.diagnosis import Diagnosis
from repairs.causes.forms import ItWasForm
from repairs.causes.models import WhatItWas
from repairs.causes.practice import Earlier, Known
from repairs.causes.tables import labels_of, row_of, table_of
from repairs.language.text import in_language


@dataclass(frozen=True)
class Choice:
    """A cause that may be ticked, with its probability where it has one worth saying."""

    key: str
    label: str
    share: str
    is_ticked: bool


@dataclass(frozen=True)
class ItWas:
    """The section: likely causes first, the rest by name; ``said`` is the last word in words."""

    form: ItWasForm
    likely: tuple[Choice, ...]
    rest: tuple[Choice, ...]
    standing: WhatItWas | None
    said: str
    earlier: tuple[Earlier, ...]

    @property
    def is_rest_open(self) -> bool:
        """Whether one of the less likely is ticked: it must not hide in a fold."""
        return any(one.is_ticked for one in self.rest)


def empty_form(kind: str, standing: WhatItWas | None) -> ItWasForm:
    """The form as it comes first: with what stands, and a name of its own."""
    initial = {"tap": uuid.uuid4(), "known": standing.pk if standing else 0}
    if standing is not None:
        initial |= {
            "cause": standing.causes,
            "none_of_these": not standing.causes,
            "words": standing.words,
        }
    return ItWasForm(initial=initial, kind=kind)


def seeing(typed: QueryDict, standing: WhatItWas | None) -> QueryDict:
    """What was typed, now based on the word that the person is being shown."""
    data = typed.copy()
    data["known"] = str(standing.pk if standing else 0)
    return data


def shown(
    kind: str, found: Diagnosis, known: Known, standing: WhatItWas | None, form: ItWasForm
) -> ItWas:
    """The section as it is rendered."""
    ticked = set(form["cause"].value() or ())
    likely = tuple(Choice(one.key, one.label, one.share, one.key in ticked) for one in found.likely)
    first = {one.key for one in likely}
    others = [one.key for one in table_of(kind).causes if one.key not in first]
    rest = [
        Choice(key, in_language(row_of(kind, "causes", key)["label"]), "", key in ticked)
        for key in others
    ]
    return ItWas(
        form,
        likely,
        tuple(sorted(rest, key=lambda one: one.label.casefold())),
        standing,
        labels_of(kind, standing.causes) if standing else "",
        known.earlier,
    )
