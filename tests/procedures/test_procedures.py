"""Procedures are data of the house: worded by the principal, in versions, kept by work begun."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.procedures import versions
from repairs.procedures.forms import MOST_READINGS, ProcedureForm
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import shipped
from repairs.procedures.versions import pin, procedures, procedures_for, reword
from tests import factories
from tests.procedures.wording import lines, newest, said, typed

LONG = "clean the rim with spirit and a cloth that leaves no"


# Versions ----------------------------------------------------------------------------------------


def test_a_procedure_as_delivered_becomes_a_version_when_it_is_first_used(db):
    first = pin("free", at=timezone.now())

    assert (first.version, first.origin, first.content) == (1, "shipped", dict(shipped()["free"]))
    assert pin("free", at=timezone.now()) == first


def test_a_later_delivery_is_a_new_version_unless_the_house_has_its_own(db, monkeypatch, helene):
    first = pin("free", at=timezone.now())
    delivered = {"free": dict(shipped()["free"]) | {"source": "a later delivery"}}
    monkeypatch.setattr(versions, "shipped", lambda: delivered)

    second = pin("free", at=timezone.now())
    own = reword("free", dict(first.content), because="ours", by=helene, at=timezone.now())

    assert (second.version, second.content["source"]) == (2, "a later delivery")
    assert (own.version, own.origin) == (3, "house")
    assert pin("free", at=timezone.now()) == own


def test_a_procedure_that_is_none_has_no_version(db):
    with pytest.raises(KeyError):
        pin("alchemy", at=timezone.now())


def test_a_wording_is_never_rewritten(db):
    row = pin("free", at=timezone.now())

    with pytest.raises(TypeError, match="never rewritten"):
        row.save()


def test_the_same_wording_makes_no_new_version(db, helene):
    first = pin("free", at=timezone.now())

    again = reword("free", dict(first.content), because="", by=helene, at=timezone.now())

    assert again == first


def test_a_procedure_of_the_house_s_own_stands_beside_the_delivered_ones(helene):
    factories.procedure_version("wax_polish", by=helene, families=["bowed"])

    assert [one.key for one in procedures()][-1] == "wax_polish"
    assert "wax_polish" in {one.key for one in procedures_for("violin")}
    assert "wax_polish" not in {one.key for one in procedures_for("vielle_french")}


@pytest.mark.parametrize(
    ("kind", "fits"), [("vielle_french", True), ("vielle_lute", True), ("violin", False)]
)
def test_a_wheel_is_trued_only_where_there_is_one(db, kind, fits):
    assert ("wheel_truing" in {one.key for one in procedures_for(kind)}) is fits


def test_work_agreed_keeps_the_wording_that_it_was_agreed_under(case, armand, edit, see):
    agreed = factories.agreed_work(case, "free", by=armand)
    edit("free", steps_en="do it well", steps_fr="bien faire")

    work = factories.begun_work(agreed, by=armand)

    assert newest("free").version == 2
    assert work.version.version == 1
    page = see("work", case.number, work.number, by=armand)
    assert "version 1" in page
    assert "do it well" not in page
    later = factories.agreed_work(case, "free", by=armand)
    assert later.version == newest("free")


# The form ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", sorted(shipped()))
def test_saving_a_procedure_untouched_changes_nothing(key, db):
    content = dict(shipped()[key])
    form = ProcedureForm(typed(key), content=content)

    assert form.is_valid(), form.errors
    assert form.worded() == content


def test_the_house_words_a_procedure_its_own_way(edit, client, helene):
    english, french = lines("wheel_recentring", "en"), lines("wheel_recentring", "fr")

    answer = edit(
        label_en="our way of centring",
        steps_en="\n".join(["look at it twice", *english]),
        steps_fr="\r\n".join(["regarder deux fois", "", *french]),
        minutes_high="200",
    )

    row = newest()
    assert answer["Location"] == reverse("treatment:procedure", args=["wheel_recentring"])
    assert (row.version, row.origin, row.made_by) == (2, "house", helene)
    keys = [step["key"] for step in row.content["steps"]]
    assert keys == ["look_at_it_twice", *(s["key"] for s in shipped()["wheel_recentring"]["steps"])]
    assert row.content["minutes"][1] == 200
    assert row.content["touches"] == ["rim"]
    page = client.get(answer["Location"]).text
    assert "Our way of centring" in page
    assert "as we do it here" in page
    assert LogEntry.objects.get(verb="procedure.reworded").details == {"version": 2}


def test_limits_of_its_own_stay_with_a_reading(edit):
    edit("full_setup", source="ours")

    assert newest("full_setup").content["readings"] == list(shipped()["full_setup"]["readings"])


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"steps_en": "one\ntwo"}, "lines in French and 2 in English"),
        ({"materials_en": "one\ntwo\nthree\nfour"}, "and 4 in English"),
        ({"minutes_low": "300", "minutes_high": "60"}, "The upper end lies below the lower one."),
        ({"minutes_low": "0"}, "greater than or equal to 1"),
        ({"figures_2": "ecc_mm, beauty"}, "Not a figure with a limit: beauty. There are: tir_mm"),
        ({"steps_en": " \n ", "steps_fr": "\n"}, "This field is required."),
        ({"because": ""}, "This field is required."),
        ({"label_fr": ""}, "This field is required."),
        ({"gauge_3": "wheel", "phase_3": "after"}, "This reading is asked for twice."),
        ({"gauge_3": "string_set", "phase_3": ""}, "Say when it is to be taken."),
        ({"gauge_3": "string_set", "phase_3": "during"}, "Select a valid choice"),
        ({"gauge_3": "crystal_ball", "phase_3": "after"}, "Select a valid choice"),
        ({"figures_2": "x" * 301}, "at most 300 characters"),
        ({"cautions": ["dragons"]}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(edit, changed, sentence):
    answer = edit(**{"source": "a source of ours", **changed})

    page = said(answer)
    assert answer.status_code == 200
    assert sentence in page
    assert 'value="a source of ours"' in page
    assert not ProcedureVersion.objects.filter(origin="house").exists()


def test_steps_that_begin_alike_get_keys_of_their_own(edit):
    """And adding one more to them, in whichever place, ends: it once looked for a key for ever."""
    english = [f"{LONG} {what}" for what in ("dust", "lint", "hair")]
    edit(steps_en="\n".join(english), steps_fr="\n".join("abc"))
    first = {row["label"]["en"]: row["key"] for row in newest().content["steps"]}
    assert len(set(first.values())) == 3

    turned = [english[2], english[0], f"{LONG} wool", english[1]]
    words = typed(steps_en="\n".join(turned), steps_fr="\n".join("cadb"))
    form = ProcedureForm(words, content=newest().content)

    assert form.is_valid(), form.errors
    again = {row["label"]["en"]: row["key"] for row in form.worded()["steps"]}
    assert again.items() >= first.items()
    assert len(set(again.values())) == 4
    assert all(len(key) <= 40 for key in again.values())


@pytest.mark.parametrize("words", ["tune\ntune\ntune", "Ω\nΨ\nΩ", "!\n?\n…"])
def test_lines_without_a_letter_of_ours_or_twice_the_same_are_told_apart(edit, words):
    edit(steps_en=words, steps_fr=words)

    keys = [row["key"] for row in newest().content["steps"]]
    assert len(set(keys)) == 3
    assert all(keys)


def test_a_form_offers_room_for_every_reading_of_every_procedure():
    assert max(len(one["readings"]) for one in shipped().values()) <= MOST_READINGS
