"""The care sheet: plain words for this instrument, out of what is on record of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.findings.hazards import hazards_of
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.instruments.kinds import families, material_label, protection_of
from repairs.instruments.pattern import Kind
from repairs.instruments.scales import scale_entry, scale_label
from repairs.language.dates import day_words
from repairs.language.refusal import WorkshopError
from repairs.language.text import in_language, lower_first, semicolons
from repairs.papers import paper_kinds
from repairs.papers.blocks.pictures import findings_of
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import Facts, empty
from repairs.papers.owner.climate import Advised, advised_climate, cautious_words
from repairs.papers.owner.setup_tables import thing_of
from repairs.people.house_models import House
from repairs.press.document import Picture
from repairs.readings.models import Reading
from repairs.storage.fixtures import read_fixture

Words = Mapping[str, str]
NOW, SOON, NEXT_CHECK, NOTHING = 1, 2, 3, 4  # the scale of urgency, as its fixture has it


@dataclass(frozen=True, kw_only=True)
class CareSection:
    """A heading and its plain sentences."""

    key: str
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class CareSheet:
    """Advice to the owner of just this instrument."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    sections: tuple[CareSection, ...]
    ring: tuple[str, ...]
    face: Picture | None = None


@cache
def texts() -> Mapping[str, Any]:
    """The sentences and the conditions on which each is said, read once."""
    known: Mapping[str, Any] = read_fixture("vocabulary/care.json")
    return known


def body(case: Case) -> CareSheet:
    """Every text whose conditions this instrument meets, with its own facts filled in."""
    facts, face = facts_of(case), case.photos.face(is_last=True)
    house = House.present()
    sections = [
        CareSection(
            key=section["key"],
            title=str(capfirst(in_language(section["title"]))),
            lines=(
                *_lines(section["texts"], facts),
                *_own_lines(case.instrument.pattern, section["key"], facts),
            ),
        )
        for section in texts()["sections"]
    ]
    return CareSheet(
        case_number=case.number,
        instrument_number=case.instrument.number,
        instrument=str(case.instrument),
        owner=case.owner.name,
        sections=tuple(section for section in sections if section.lines),
        ring=tuple(word for word in (house.name, house.phone, house.email) if word),
        face=face.on_paper if face else None,
    )


def _lines(rows: Iterable[Mapping[str, Any]], facts: Words) -> Iterable[str]:
    for row in rows:
        if all(_holds(condition, facts) for condition in row["when"]):
            yield in_language(row["words"]).format_map(facts)


def _own_lines(kind: Kind, section: str, facts: Words) -> Iterable[str]:
    """What only this kind of instrument needs, from its own file."""
    for text in kind.care:
        if text.section == section and all(_holds(condition, facts) for condition in text.when):
            yield in_language(text.words).format_map(facts)


def _holds(condition: str, facts: Words) -> bool:
    """A condition names a fact that is known; with “not ” before it, one that is not."""
    name = condition.removeprefix("not ")
    return bool(facts.get(name)) is (name == condition)


def facts_of(case: Case) -> Words:
    """What is known of the instrument, by the names that conditions and texts use."""
    kind = case.instrument.pattern
    return {
        **{family: _yes(family in kind.families) for family in families()},
        **_air(advised_climate(case)),
        "slack": _yes(case.may_string == Case.Leave.NO),
        "not_played": _yes(case.may_play == Case.Leave.NO),
        "not_turned": _yes("turn" in kind.permissions and case.may_turn == Case.Leave.NO),
        "protected": _protected(case),
        "next_check": day_words(_next_check(case)),
        **_left(case),
        **_hazards(case),
        **_cards(case),
    }


def _air(climate: Advised | None) -> Words:
    """The air that is advised, by the record, and the cautious band where none is."""
    usual_low, usual_high = cautious_words()
    winter, summer = (climate.winter, climate.summer) if climate else (None, None)
    return {
        "low": climate.low if climate else "",
        "high": climate.high if climate else "",
        "rest": climate.rest if climate else "",
        "days": climate.days if climate else "",
        "by_record": _yes(climate is not None and climate.from_record),
        "air_harmed": _yes(climate is not None and not climate.from_record),
        "short_record": _yes(climate is not None and not climate.is_whole_year),
        "usual_low": usual_low,
        "usual_high": usual_high,
        "winter_low": winter[0] if winter else "",
        "winter_high": winter[1] if winter else "",
        "summer_low": summer[0] if summer else "",
        "summer_high": summer[1] if summer else "",
    }


def _yes(holds: bool) -> str:
    return "1" if holds else ""


def _left(case: Case) -> Words:
    """Findings that no signed-off work answered, by what their owner has to do about them.

    One that goes on, or of which that is not known, is to be watched besides being done in time.
    """
    signed = case.interventions.filter(sign_off__isnull=False)
    treated = set(signed.values_list("findings", flat=True))
    left = [one for one in findings_of(case) if one.pk not in treated]
    quiet = [one for one in left if one.stability == Finding.Stability.STABLE]
    return {
        "active": _named(one for one in left if one.stability == Finding.Stability.ACTIVE),
        "unknown": _named(one for one in left if one.stability == Finding.Stability.UNKNOWN),
        "due_now": _named(one for one in left if one.urgency == NOW),
        "due_soon": _named(one for one in left if one.urgency == SOON),
        "due_later": _named(one for one in quiet if one.urgency == NEXT_CHECK),
        "stable": _named(one for one in quiet if one.urgency == NOTHING),
        "soon": lower_first(scale_label("urgency", str(SOON))),
    }


def _named(findings: Iterable[Finding]) -> str:
    return semicolons(
        ", ".join(part for part in (f"{one.term_label}, {one.part.label()}", one.location) if part)
        for one in findings
    )


def _hazards(case: Case) -> Words:
    look = Examination.objects.filter(case=case).only("hazards").first()
    entries = [scale_entry("hazards", key) for key in hazards_of(case, look)]
    cautions = [in_language(entry.get("caution")) for entry in entries if entry]
    return {"hazards": " ".join(caution for caution in cautions if caution)}


def _protected(case: Case) -> str:
    keys = case.instrument.parts.exclude(material="").values_list("material", flat=True)
    listed = [key for key in dict.fromkeys(keys) if protection_of(key)]
    return ", ".join(material_label(key) for key in listed)


def _next_check(case: Case) -> Any:
    row = case.hand_backs.last() or Examination.objects.filter(case=case).first()
    return row.next_check_on if row else None


def _cards(case: Case) -> Words:
    """Which rosin was used last, and on which strings cotton was seen to be in its place."""
    rows = Reading.objects.present().filter(case=case, gauge="voicing_card", not_permitted="")
    last = {thing_of(row): row.raw["fields"] for row in rows.order_by("taken_at", "number")}
    rosins = dict.fromkeys(card.get("rosin_kind", "") for card in last.values())
    cotton = [name for name, card in last.items() if card.get("cotton") not in ("", None, "none")]
    return {
        "rosin": ", ".join(rosin for rosin in rosins if rosin),
        "cotton": ", ".join(cotton),
    }


def contents(sheet: CareSheet) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    counts = [
        (section.title, ngettext("%(count)s line", "%(count)s lines", len(section.lines)))
        for section in sheet.sections
    ]
    return [
        _("%(title)s (%(lines)s)")
        % {"title": title, "lines": words % {"count": len(section.lines)}}
        for (title, words), section in zip(counts, sheet.sections, strict=True)
    ]


def gaps(sheet: CareSheet) -> list[str]:
    """What the owner would miss, for the screen."""
    return (
        [] if len(sheet.ring) > 1 else [_("The workshop has no telephone and no e-mail address.")]
    )


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while nothing is known of the instrument that care could follow from."""
    if facts.is_examined or facts.is_worked or facts.is_set_up:
        return None
    why = _("nothing is known of this instrument. Look it over, or take a reading first.")
    return empty(facts, CARE_SHEET.name, why)


CARE_SHEET = PaperKind(
    key=paper_kinds.CARE_SHEET,
    purpose=gettext_lazy("Plain words for the owner of just this instrument."),
    template="papers/owner/care_sheet.html",
    body=body,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="receipt",
)
