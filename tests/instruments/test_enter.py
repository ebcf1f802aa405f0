"""Entering an instrument through its screen: what is typed is kept whole, or refused kindly."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.instruments.kinds import kinds
from repairs.instruments.models import Instrument
from tests import factories

RIGHT_TO_LEFT = "صُنع في دمشق سنة ١٢٠٠\nשלום 🎻🪕 e\u0301"


def text_of(answer: Any) -> str:
    return html.unescape(answer.text)


def test_an_instrument_is_entered_and_goes_on_to_being_taken_in(send, helene):
    answer = send(size_body_length="402", declared_value="6 800,50")

    entered = Instrument.objects.get()
    assert answer["Location"] == reverse("cases:take_in", args=[entered.number])
    assert (entered.number, entered.year_first, entered.year_last) == ("I-0001", 1771, 1771)
    assert entered.declared_value == Decimal("6800.50")
    assert entered.dimensions.get().value_mm == 402
    assert LogEntry.objects.filter(
        verb="instrument.entered", subject="instrument:I-0001", actor=helene
    ).exists()


@pytest.mark.parametrize("slug", sorted(kinds()))
def test_every_kind_can_be_entered_and_brings_its_own_parts_and_sizes(client, send, owner, slug):
    kind = kinds()[slug]
    sizes = [row.key for row in kind.dimensions if row.unit == "mm"]
    page = client.get(reverse("instruments:add", args=[owner.pk]), {"kind": slug}).text

    answer = send(kind=slug, **{f"size_{key}": "100,5" for key in sizes})

    entered = Instrument.objects.get()
    assert answer.status_code == 302
    assert all(f'name="size_{key}"' in page for key in sizes)
    assert entered.kind == slug
    assert [(p.key, p.depth) for p in entered.parts.all()] == [(p.key, p.depth) for p in kind.parts]
    assert {d.key: d.value_mm for d in entered.dimensions.all()} == {
        key: Decimal("100.50") for key in sizes
    }
    assert client.get(entered.get_absolute_url()).status_code == 200


def test_a_kind_chosen_last_brings_its_own_sizes_before_anything_is_entered(send):
    page = send(kind="violin", kind_shown="vielle_french", maker="Joseph Deville")

    assert page.status_code == 200
    assert not Instrument.objects.exists()
    assert 'name="size_body_stop"' in page.text
    assert 'name="size_wheel_diameter"' not in page.text
    assert 'name="kind" id="kind-sent" value="violin"' in page.text
    assert 'value="Joseph Deville"' in page.text

    send(kind="violin", kind_shown="violin")
    assert Instrument.objects.get().kind == "violin"


def test_each_part_hangs_on_the_part_that_its_kind_says(vielle):
    parts = {part.key: part for part in vielle.parts.select_related("parent")}

    for pattern in vielle.pattern.parts:
        parent = parts[pattern.key].parent
        assert (parent.key if parent else "") == pattern.parent
    assert {part.originality for part in parts.values()} == {"unknown"}
    assert {part.material for part in parts.values()} == {""}


def test_the_number_of_keys_and_the_class_come_from_the_kind_when_left_empty(send):
    send(key_count="", hs_number="")

    entered = Instrument.objects.get()
    assert entered.hs_number == kinds()["vielle_french"].hs_number
    assert entered.key_count == kinds()["vielle_french"].key_count


def test_numbers_follow_one_another_without_a_gap_though_one_entry_fails(owner, helene):
    first = factories.instrument(owner, by=helene)
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        factories.instrument(owner, by=helene)
        _ = 1 // 0
    second = factories.instrument(owner, by=helene)

    assert [first.number, second.number] == ["I-0001", "I-0002"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("1720–1650", "The range ends (1650) before it starts (1720)."),
        ("nonsense", "“nonsense” cannot be read as a date."),
        ("3000", "The years must lie between 1000 and 2100."),
    ],
)
def test_a_date_that_cannot_be_is_refused_and_the_rest_is_kept(send, words, sentence):
    answer = send(date_text=words, label_text="fait à Valbrune", size_body_length="402")

    page = text_of(answer)
    assert sentence in page
    assert f'value="{words}"' in page
    assert "fait à Valbrune" in page
    assert 'value="402"' in page
    assert not Instrument.objects.exists()


@pytest.mark.parametrize("words", ["c. 1720", "vers 1720", "avant 1800", "XVIIIe siècle"])
def test_a_date_stands_as_it_was_written(client, send, words):
    send(date_text=words)

    entered = Instrument.objects.get()
    assert entered.date_text == words
    assert words in client.get(entered.get_absolute_url()).text


def test_a_label_of_three_thousand_characters_is_kept_whole(client, send):
    label = "Fait par moi, Étienne. " * 130 + "Valbrune, ꝑ 1771"

    send(label_text=label)

    entered = Instrument.objects.get()
    assert len(label) > 3000
    assert entered.label_text == label
    assert label in text_of(client.get(entered.get_absolute_url()))


def test_a_label_that_is_too_long_is_refused_and_nothing_typed_is_lost(send):
    label = "x" * 4001

    answer = send(label_text=label, marks="Burnt-in star", size_body_length="402,5")

    page = text_of(answer)
    assert "The label has 4001 characters and 4000 fit." in page
    assert label in page
    assert "Burnt-in star" in page
    assert 'value="402,5"' in page
    assert 'value="Étienne Roussillat"' in page
    assert not Instrument.objects.exists()


def test_a_label_of_exactly_what_fits_is_kept(send):
    send(label_text="x" * 4000)

    assert len(Instrument.objects.get().label_text) == 4000


def test_text_from_right_to_left_and_signs_of_any_kind_are_kept(client, send):
    send(label_text=RIGHT_TO_LEFT, name="🪕 العود", maker="دمشقي")

    entered = Instrument.objects.get()
    page = client.get(entered.get_absolute_url()).text
    assert (entered.label_text, entered.name) == (RIGHT_TO_LEFT, "🪕 العود")
    assert f'dir="auto">{RIGHT_TO_LEFT}' in page
    assert Instrument.objects.matching("دمشقي").get() == entered


def test_what_looks_like_markup_is_shown_as_it_was_written(client, send):
    send(name="<b>Belle</b>", label_text="<script>alert(1)</script>")

    page = client.get(Instrument.objects.get().get_absolute_url()).text
    assert "&lt;b&gt;Belle" in page
    assert "<script>alert" not in page


@pytest.mark.parametrize(
    "typed",
    [{"maker": "etienne roussillat"}, {"maker": "Someone else", "serial": "n° 42"}],
    ids=["same owner, kind and maker", "same serial number"],
)
def test_an_instrument_alike_is_offered_and_none_is_made_yet(send, typed):
    send(serial="N° 42")

    answer = send(**typed)

    assert Instrument.objects.count() == 1
    assert "Is it one of these?" in answer.text
    assert "I-0001" in answer.text


def test_an_instrument_alike_is_entered_when_that_is_ticked(send):
    send()

    answer = send(really_new="on")

    assert answer.status_code == 302
    assert Instrument.objects.count() == 2


def test_another_maker_or_kind_is_entered_without_a_question(send):
    send()

    assert send(maker="Basile Roussillat").status_code == 302
    assert send(kind="violin").status_code == 302
