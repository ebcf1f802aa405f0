"""The page on which an estimate is written: what cannot be, more rows, two people at once."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser

from repairs.estimates.models import Estimate
from tests import factories
from tests.estimates.screens import at, sent, words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"hourly_rate": ""}, "This field is required."),
        ({"hourly_rate": "soon"}, "“soon” is not a number"),
        ({"valid_until": "31 février"}, "Enter a valid date."),
        ({"tax_pct": "120"}, "More than 100 % is not possible here"),
        ({"o1l1-minutes_low": "90", "o1l1-minutes_high": "30"}, "At most is less than at least"),
        ({"o1l1-minutes_low": "-5"}, "Less than 0 min is not possible"),
        ({"o1l1-minutes_low": "1 h 75"}, "“1 h 75”: behind hours the minutes stay below 60."),
        ({"o1l1-minutes_low": "an hour"}, "“an hour” is not a duration"),
        ({"o1l2-words": "glue"}, "Say what it is"),
        ({"o1l2-what": "material", "o1l2-amount": "3"}, "Say which material or cost it is."),
        ({"o1l2-what": "outside", "o1l2-words": "x-ray"}, "Give the amount before tax."),
        (
            {
                "o1l2-what": "material",
                "o1l2-words": "a",
                "o1l2-amount": "1",
                "o1l2-minutes_low": "9",
            },
            "Minutes belong to work",
        ),
        ({"o1l1-what": "alchemy"}, "Select a valid choice."),
        ({"o1l1-findings": ["77"]}, "Select a valid choice."),
        ({"o2-kind": "alchemy", "o2-title": "x"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_stays(luthier, draft, typed, said):
    answer = luthier.post(at("edit", draft), sent(**{"intro": "As we said.", **typed}))

    page = words(answer)
    assert answer.status_code == 200
    assert said in page
    assert "Nothing was saved yet" in page
    assert "As we said." in page
    assert Estimate.objects.get().revision == 0


def test_one_more_line_loses_nothing_and_judges_nothing(luthier, draft, finding):
    typed = sent(**{"o1l1-findings": ["1"], "hourly_rate": "soon", "more": "o1"})

    answer = luthier.post(at("edit", draft), typed)

    page = words(answer)
    assert answer.status_code == 200
    assert 'name="o1-lines" value="3"' in page
    assert 'name="o1l3-what"' in page
    assert 'value="soon"' in page
    assert "is not a number" not in page
    assert 'value="seam" selected' in page
    assert re.search(r'name="o1l1-findings" value="1"[^>]*checked', page)
    assert 'placeholder="60"' in page  # the usual minutes of the procedure chosen
    assert Estimate.objects.get().revision == 0


def test_one_more_option_comes_open(luthier, draft):
    page = words(luthier.post(at("edit", draft), sent(more="option")))

    assert 'name="options" value="4"' in page
    assert "One more option" not in page
    assert re.search(r"<details open> <summary> Option 4", page)


@pytest.mark.parametrize("count", ["99999999999", "-3", "²", "", "x"])
def test_a_wrong_count_of_rows_is_borne(luthier, draft, count):
    answer = luthier.post(at("edit", draft), sent(**{"o1-lines": count, "more": "o1"}))

    assert answer.status_code == 200


def test_no_more_rows_than_a_page_bears(luthier, draft):
    page = words(luthier.post(at("edit", draft), sent(**{"o1-lines": "10", "more": "o1"})))

    assert 'name="o1-lines" value="10"' in page
    assert 'name="more" value="o1"' not in page


def test_a_kept_version_is_shown_as_it_was_typed(luthier, offer, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)

    page = words(luthier.get(at("edit", draft)))

    assert 'value="seam" selected' in page
    assert 'name="o1l1-minutes_low" value="60"' in page


def test_when_somebody_was_faster_both_are_shown(luthier, draft, lise):
    theirs = sent(**{"intro": "Theirs.", "o1-title": "their way"})
    other = Browser()
    other.force_login(factories.person("basile", "luthier"))
    other.post(at("edit", draft), theirs)

    answer = luthier.post(at("edit", draft), sent(intro="Mine."))
    assert Estimate.objects.get().intro == "Theirs."
    again = luthier.post(at("edit", draft), sent(intro="Mine.", seen="1"))

    page = words(answer)
    assert answer.status_code == 409
    assert "Basile Sautarel saved this" in page
    assert "their way" in page
    assert "Mine." in page
    assert re.search(r'name="seen" value="1"', page)
    assert again.status_code == 302
    assert Estimate.objects.get().intro == "Mine."


def test_an_issued_version_has_no_page_to_change_it(luthier, offer):
    assert luthier.get(at("edit", offer)).status_code == 409


def test_the_list_of_problems_says_in_which_option_and_line(luthier, draft):
    typed = {"o1l1-minutes_high": "soon", "o1l2-words": "glue", "o1-ceiling": "much"}

    page = words(luthier.post(at("edit", draft), sent(**typed)))

    assert "Option 1, line 1 · minutes, at most</a>" in page
    assert "Option 1, line 2 · work, material or cost</a>" in page
    assert "Option 1 · ceiling, tax included</a>" in page
