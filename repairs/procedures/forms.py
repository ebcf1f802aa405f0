"""The house words a procedure its own way: plain lines, two languages side by side."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count
from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from repairs.language.text import in_language
from repairs.procedures.procedure import cautions, worded_source
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import SHEETS
from repairs.screens.entries import BoundGroup, Entry, Group, bound_groups


def _entries(*fields: str) -> tuple[Entry, ...]:
    return tuple(Entry(name) for name in fields)


MOST_READINGS = 8
KEY_STEM = 32
GRADES = (
    ("reversible", _("can be undone")),
    ("partly", _("can be undone in part")),
    ("irreversible", _("cannot be undone")),
)
ASKS = (("glue_temperature", _("temperature of the glue")), ("climate", _("climate of the room")))
PHOTOS = (("before", _("before")), ("during", _("during")), ("after", _("after")))
LANGUAGES = (("fr", "Français"), ("en", "English"))
GROUPS = (
    Group(_("Name and purpose"), _entries("label_fr", "label_en", "purpose_fr", "purpose_en")),
    Group(_("Steps"), _entries("steps_fr", "steps_en")),
    Group(_("Materials"), _entries("materials_fr", "materials_en")),
    Group(_("Cautions"), _entries("cautions")),
    Group(_("Asked for while it is done"), _entries("asks", "photos")),
    Group(_("Reversibility"), _entries("grade", "reversibility_fr", "reversibility_en")),
    Group(_("Usual time"), _entries("minutes_low", "minutes_high")),
)


def _lines(rows: int) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows, "dir": "auto"})


class ProcedureForm(forms.Form):
    """All of a procedure but its key; steps and materials are one a line, in both languages."""

    label_fr = forms.CharField(label=_("name, in French"), max_length=120)
    label_en = forms.CharField(label=_("name, in English"), max_length=120)
    purpose_fr = forms.CharField(label=_("purpose, in French"), widget=_lines(3), max_length=1000)
    purpose_en = forms.CharField(label=_("purpose, in English"), widget=_lines(3), max_length=1000)
    cautions = forms.MultipleChoiceField(
        label=_("cautions"), required=False, widget=forms.CheckboxSelectMultiple
    )
    steps_fr = forms.CharField(label=_("steps in French, one a line"), widget=_lines(10))
    steps_en = forms.CharField(label=_("steps in English, one a line"), widget=_lines(10))
    materials_fr = forms.CharField(
        label=_("materials in French, one a line"), widget=_lines(4), required=False
    )
    materials_en = forms.CharField(
        label=_("materials in English, one a line"), widget=_lines(4), required=False
    )
    asks = forms.MultipleChoiceField(
        label=_("to be written down"),
        choices=ASKS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    photos = forms.MultipleChoiceField(
        label=_("photos needed"),
        choices=PHOTOS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    grade = forms.ChoiceField(label=_("reversibility"), choices=GRADES)
    reversibility_fr = forms.CharField(
        label=_("reversibility in words, in French"), widget=_lines(2), max_length=600
    )
    reversibility_en = forms.CharField(
        label=_("reversibility in words, in English"), widget=_lines(2), max_length=600
    )
    minutes_low = forms.IntegerField(
        label=_("usual minutes, at least"), min_value=1, max_value=9999
    )
    minutes_high = forms.IntegerField(
        label=_("usual minutes, at most"), min_value=1, max_value=9999
    )
    source = forms.CharField(label=_("source"), max_length=200)
    because = forms.CharField(
        label=_("why it is changed"), max_length=200, help_text=_("It stands beside the version.")
    )

    PAIRS = ("steps", "materials")

    def __init__(self, *args: Any, content: Mapping[str, Any], **kwargs: Any) -> None:
        self.content = content
        super().__init__(*args, **kwargs)
        self.initial = _initial(content)
        self.fields["cautions"].choices = [  # type: ignore[attr-defined]
            (key, in_language(row["label"])) for key, row in cautions().items()
        ]
        gauges = [("", "—"), *[(key, str(sheet.label)) for key, sheet in SHEETS.items()]]
        phases = [(p.value, p.label) for p in (Reading.Phase.BEFORE, Reading.Phase.AFTER)]
        for place in range(1, MOST_READINGS + 1):
            self.fields[f"gauge_{place}"] = forms.ChoiceField(
                label=_("reading %(place)s") % {"place": place}, required=False, choices=gauges
            )
            self.fields[f"phase_{place}"] = forms.ChoiceField(
                label=_("when"), required=False, choices=phases
            )
            self.fields[f"figures_{place}"] = forms.CharField(
                label=_("figures that count, with commas; empty: all"),
                required=False,
                max_length=300,
            )

    @property
    def groups(self) -> list[BoundGroup]:
        """Its fields in their groups; both languages of a thing lie side by side."""
        places = range(1, MOST_READINGS + 1)
        asked = (f"{name}_{place}" for place in places for name in ("gauge", "phase", "figures"))
        readings = Group(_("Readings needed"), tuple(Entry(name) for name in asked))
        return bound_groups(self, (*GROUPS, readings))

    def clean(self) -> dict[str, Any]:
        """Refuse lists that have not as many lines in French as in English."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in self.PAIRS:
            french, english = (_split(cleaned.get(f"{name}_{code}")) for code in ("fr", "en"))
            if len(french) != len(english):
                self.add_error(
                    f"{name}_en",
                    _("There are %(french)s lines in French and %(english)s in English.")
                    % {"french": len(french), "english": len(english)},
                )
        low, high = cleaned.get("minutes_low"), cleaned.get("minutes_high")
        if low and high and high < low:
            self.add_error("minutes_high", _("The upper end lies below the lower one."))
        self._check_readings(cleaned)
        return cleaned

    def _check_readings(self, cleaned: Mapping[str, Any]) -> None:
        seen = set()
        for place in range(1, MOST_READINGS + 1):
            gauge, phase = cleaned.get(f"gauge_{place}"), cleaned.get(f"phase_{place}")
            if not gauge:
                continue
            if not phase:
                self.add_error(f"phase_{place}", _("Say when it is to be taken."))
            if (gauge, phase) in seen:
                self.add_error(f"gauge_{place}", _("This reading is asked for twice."))
            seen.add((gauge, phase))
            known = SHEETS[gauge].limits
            unknown = [one for one in _figures(cleaned, place) if one not in known]
            if unknown:
                self.add_error(
                    f"figures_{place}",
                    _("Not a figure with a limit: %(figures)s. There are: %(known)s.")
                    % {"figures": ", ".join(unknown), "known": ", ".join(known) or "—"},
                )

    def worded(self) -> dict[str, Any]:
        """The content as typed; keys of steps that stay in their place stay the same."""
        said = self.cleaned_data
        return dict(self.content) | {
            "label": _pair(said, "label"),
            "purpose": _pair(said, "purpose"),
            "cautions": said["cautions"],
            "steps": _rows(said, "steps", self.content["steps"]),
            "materials": _rows(said, "materials", self.content["materials"]),
            "readings": [self._reading(said, place) for place in self._places(said)],
            "asks": said["asks"],
            "photos": said["photos"],
            "reversibility": {"grade": said["grade"], "words": _pair(said, "reversibility")},
            "minutes": [said["minutes_low"], said["minutes_high"]],
            "source": self._source(said["source"]),
        }

    def _source(self, words: str) -> Any:
        """As typed; one that was left as it stood keeps its other language."""
        was = self.content["source"]
        return was if words == worded_source(was) else words

    def _places(self, said: Mapping[str, Any]) -> list[int]:
        return [place for place in range(1, MOST_READINGS + 1) if said[f"gauge_{place}"]]

    def _reading(self, said: Mapping[str, Any], place: int) -> dict[str, Any]:
        """A reading as typed; limits of its own that it had are kept with it."""
        gauge, phase = said[f"gauge_{place}"], said[f"phase_{place}"]
        was = [r for r in self.content["readings"] if (r["gauge"], r["phase"]) == (gauge, phase)]
        return {
            "gauge": gauge,
            "phase": phase,
            "figures": _figures(said, place),
            "limits": was[0]["limits"] if was else [],
        }


def _initial(content: Mapping[str, Any]) -> dict[str, Any]:
    low, high = content["minutes"]
    first: dict[str, Any] = {
        "cautions": content["cautions"],
        "asks": content["asks"],
        "photos": content["photos"],
        "grade": content["reversibility"]["grade"],
        "minutes_low": low,
        "minutes_high": high,
        "source": worded_source(content["source"]),
    }
    for code, _name in LANGUAGES:
        first[f"label_{code}"] = content["label"][code]
        first[f"purpose_{code}"] = content["purpose"][code]
        first[f"reversibility_{code}"] = content["reversibility"]["words"][code]
        for name in ProcedureForm.PAIRS:
            first[f"{name}_{code}"] = "\n".join(row["label"][code] for row in content[name])
    for place, row in enumerate(content["readings"][:MOST_READINGS], 1):
        first[f"gauge_{place}"], first[f"phase_{place}"] = row["gauge"], row["phase"]
        first[f"figures_{place}"] = ", ".join(row["figures"])
    return first


def _pair(said: Mapping[str, Any], name: str) -> dict[str, str]:
    return {"en": said[f"{name}_en"].strip(), "fr": said[f"{name}_fr"].strip()}


def _split(words: str | None) -> list[str]:
    return [line.strip() for line in (words or "").splitlines() if line.strip()]


def _figures(said: Mapping[str, Any], place: int) -> list[str]:
    return [one.strip() for one in said.get(f"figures_{place}", "").split(",") if one.strip()]


def _rows(said: Mapping[str, Any], name: str, known: list[Any]) -> list[dict[str, Any]]:
    """Lines of both languages as rows, each under the key that its English words had or get."""
    keys = {row["label"]["en"]: row["key"] for row in known}
    known_keys = {row["key"] for row in known}
    rows: list[dict[str, Any]] = []
    taken: set[str] = set()
    pairs = zip(_split(said[f"{name}_fr"]), _split(said[f"{name}_en"]), strict=True)
    for place, (french, english) in enumerate(pairs, 1):
        key = keys.pop(english, "") or _free_key(english, place, known_keys | taken)
        taken.add(key)
        rows.append({"key": key, "label": {"en": english, "fr": french}})
    return rows


def _free_key(english: str, place: int, taken: set[str]) -> str:
    """A key out of the words that no other line has or had."""
    stem = slugify(english).replace("-", "_")[:KEY_STEM].strip("_") or f"line_{place}"
    tries = (f"{stem}_{number}" for number in count(2))
    return stem if stem not in taken else next(key for key in tries if key not in taken)
