"""Kinds that came as files alone go the whole way, from the counter to the report.

A keyed fiddle that is bowed, a wheel fiddle of three strings without a dog, a plucked zither.
"""

from __future__ import annotations

import html
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.compile import intake_receipt
from repairs.cases.models import Case
from repairs.causes.tables import symptom_choices, table_of
from repairs.instruments.kinds import kind_of, kinds
from repairs.instruments.models import Instrument
from repairs.papers.kinds import compile_paper
from repairs.press.models import Paper
from repairs.press.render import to_html
from repairs.procedures.versions import procedures_for
from repairs.readings.sheets.catalogue import sheets_of_kind
from tests import factories

NEW = ("nyckelharpa", "wheel_lira", "fretted_zither")
EACH = pytest.mark.parametrize("kind", NEW)
BOTH = pytest.mark.parametrize("language", ["en", "fr"])
WOOD = [
    "string_set",
    "plate",
    "crack_joint",
    "cleats",
    "clamp",
    "tap_tone",
    "movement",
    "emc",
    "climate_log",
]
SHEETS = {
    "nyckelharpa": ["correction", "action", *WOOD],
    "wheel_lira": [
        "wheel",
        "correction",
        "tangents",
        "sharpening",
        "key_return",
        "action",
        "string_set",
        "voicing_card",
        "bowing_window",
        "force_turn",
        *WOOD[1:],
    ],
    "fretted_zither": WOOD,
}  # fmt: skip
LEAVES = {
    "nyckelharpa": ["may_string", "may_play"],
    "wheel_lira": ["may_turn", "may_string", "may_play"],
    "fretted_zither": ["may_string", "may_play"],
}
NAMES = {
    "nyckelharpa": ("keyed fiddle", "vièle à clavier et à archet"),
    "wheel_lira": ("eastern European type with three strings", "à trois cordes"),
    "fretted_zither": ("fretted box zither", "cithare à frettes"),
}
"""A word of each kind in both languages, as it stands on its papers."""


@pytest.fixture
def brought(client, helene, owner):
    """An instrument of a kind that came over the counter, through its screens."""

    def bring(kind: str) -> Case:
        client.force_login(helene)
        sizes = {
            f"size_{size.key}": "300" for size in kinds()[kind].dimensions if size.unit == "mm"
        }
        said = {"kind": kind, "kind_shown": kind, "maker_surety": "unknown", **sizes}
        client.post(reverse("instruments:add", args=[owner.pk]), said)
        instrument = Instrument.objects.get()
        intake = {
            "reason": "repair",
            "owner_words": "It sounds dull.",
            "state_at_intake": "Strings slack.",
            "received_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
            "place": "Shelf 2",
            "leave_decided_by": "the owner",
            **dict.fromkeys(LEAVES[kind], "yes"),
        }
        client.post(reverse("cases:take_in", args=[instrument.number]), intake)
        return Case.objects.get()

    return bring


def said(page: str) -> str:
    return " ".join(
        html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", page, flags=re.S)).split()
    )


@EACH
def test_it_is_entered_with_its_own_parts_sizes_and_class(brought, kind):
    instrument = brought(kind).instrument

    assert [part.key for part in instrument.parts.all()] == [p.key for p in kinds()[kind].parts]
    assert {size.value_mm for size in instrument.dimensions.all()} == {Decimal("300.00")}
    assert instrument.hs_number == kinds()[kind].hs_number
    assert instrument.key_count == (37 if kind == "nyckelharpa" else None)


@EACH
def test_the_counter_asks_what_may_be_done_with_it_and_no_more(client, brought, kind):
    case = brought(kind)

    page = client.get(reverse("cases:edit", args=[case.number])).text

    asked = re.findall(r'name="(may_\w+)" value="yes"', page)
    assert asked == LEAVES[kind]
    assert [getattr(case, name) for name in asked] == ["yes"] * len(asked)


@EACH
@BOTH
def test_its_receipt_names_it_and_what_may_be_done(brought, kind, language):
    case = brought(kind)

    receipt = said(to_html(intake_receipt(case, language=language, made_at=timezone.now())))

    turn = {"en": "Wheel may be turned", "fr": "tourner la roue"}[language]
    assert NAMES[kind][language == "fr"] in receipt
    assert (turn.casefold() in receipt.casefold()) is (kind == "wheel_lira")


@EACH
def test_its_receipt_is_issued_from_the_screen(client, brought, kind):
    case = brought(kind)

    client.post(reverse("cases:receipt", args=[case.number]), {"language": "fr"})

    assert Paper.objects.get(subject=case.log_key).kind == "intake_receipt"


@EACH
def test_it_is_offered_its_own_sheets_and_each_of_them_opens(client, brought, kind):
    case = brought(kind)

    page = client.get(reverse("readings:choose", args=[case.number])).text

    offered = re.findall(r"/readings/take/(\w+)/", page)
    assert offered == SHEETS[kind]
    for gauge in offered:
        assert client.get(reverse("readings:take", args=[case.number, gauge])).status_code == 200
    for gauge in {"wheel", "correction", "dog_card"} - set(offered):
        assert client.get(reverse("readings:take", args=[case.number, gauge])).status_code == 404


def test_a_bowed_fiddle_is_read_key_by_key_without_a_wheel(client, brought):
    case = brought("nyckelharpa")

    page = client.get(reverse("readings:take", args=[case.number, "action"])).text

    assert 'name="nut_1"' in page
    assert 'name="key-37"' in page
    assert 'name="rim_mm"' not in page
    assert "wheel" not in said(page).casefold()


@EACH
@BOTH
def test_its_report_is_compiled_with_its_own_words(brought, armand, kind, language):
    case = brought(kind)
    factories.finding(case, by=armand, part="soundboard", location="")
    factories.examination(case, by=armand, no_photo_reason="The camera is away.")

    sheet = compile_paper("condition_report", case, language=language, made_at=timezone.now())

    report, units = said(to_html(sheet)), {row.key for row in sheet.body.identity}
    assert NAMES[kind][language == "fr"].casefold() in report.casefold()
    assert kinds()[kind].hs_number in report
    assert ("wheel_diameter" in units) is (kind == "wheel_lira")
    assert ("key_count" in units) is (kind != "fretted_zither")
    assert {row.key for row in sheet.body.photo_set} >= {"photo_front", "photo_scale_card"}


@EACH
@BOTH
def test_its_care_sheet_tells_how_to_carry_it(brought, armand, kind, language):
    case = brought(kind)
    factories.finding(case, by=armand, part="soundboard", location="")

    sheet = compile_paper("care_sheet", case, language=language, made_at=timezone.now())

    lines = [line for section in sheet.body.sections for line in section.lines]
    carry = {"en": "Carry it", "fr": "Portez-la"}[language]
    assert sum(line.startswith(carry) for line in lines) == 1
    assert any(w in "".join(lines) for w in ("wheel", "roue")) is (kind == "wheel_lira")


def test_each_is_asked_about_what_it_has():
    def symptoms(kind: str) -> set[str]:
        return {one.key for _label, rows in symptom_choices(kind) for one in rows}

    assert {"key_sticks", "one_note_false"} <= symptoms("nyckelharpa")
    assert not {"swells_once", "dog_late", "gritty"} & symptoms("nyckelharpa")
    assert {"swells_once", "key_sticks"} <= symptoms("wheel_lira")
    assert not {"dog_late", "trompette_moves"} & symptoms("wheel_lira")
    assert symptoms("fretted_zither") == {"peg_slips", "soundboard_sinks", "body_buzzes"}
    for kind in NEW:
        assert set(table_of(kind).looks) <= set(SHEETS[kind])


def test_each_is_offered_the_work_of_its_families(db):
    def work(kind: str) -> set[str]:
        return {one.key for one in procedures_for(kind)}

    assert {"key_easing", "tangent_refit", "string_change", "peg_bushing"} <= work("nyckelharpa")
    assert not {"wheel_truing", "string_set", "dog_plate", "full_setup"} & work("nyckelharpa")
    assert {"wheel_truing", "string_set", "full_setup"} <= work("wheel_lira")
    assert not {"dog_plate", "string_change"} & work("wheel_lira")
    assert not {"key_easing", "wheel_truing", "peg_bushing"} & work("fretted_zither")


def test_a_melody_string_is_called_as_its_kind_calls_it():
    """Not every keyed instrument has a chanterelle."""
    labels = {}
    for kind in ("wheel_lira", "vielle_french"):
        columns = {one.gauge: one.columns for one in sheets_of_kind(kind_of(kind))}["correction"]
        labels[kind] = next(str(one.label) for one in columns if one.key == "first")

    assert labels == {"wheel_lira": "melody string", "vielle_french": "first chanterelle"}
