"""The list of removed parts."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.papers.kinds import KINDS
from repairs.treatment import parts as things
from tests.papers import working
from tests.papers.conftest import issued, printed, sheet
from tests.papers.working import open_work

AT = working.BEGUN


def test_every_bag_is_listed_with_its_place_and_its_fate(case, work, armand, helene):
    things.set_fate(
        case.removed_parts.get(), "given_back", "handed to the owner", by=armand, at=working.SIGNED
    )

    body = sheet("removed_parts", case, helene).body

    bag = body.bags[0]
    assert (bag.bag, bag.description) == ("2026-001/1", "old cleat of pine")
    assert bag.position == "under the crack, treble side"
    assert body.totals == "1 removed part: 1 × given back to the owner"
    text = printed("removed_parts", case, helene)
    assert "Given back to the owner. Handed to the owner" in text
    assert "parts received: name, date, signature" in text


def test_the_totals_add_up_to_the_count(house, case, finding, armand, helene):
    """By hand: six pieces, one given back, two kept, one each refitted, sampled, discarded."""
    work = open_work(case, finding, armand)
    fates = ("given_back", "kept", "kept", "refitted", "sampled", "discarded")
    for fate in fates:
        piece = working.take_off(work, by=armand, description="a string", is_consumable=True)
        things.set_fate(piece, fate, "the owner, 3 May", by=armand, at=working.SIGNED)
    case = Case.objects.with_names().get(pk=case.pk)

    made = sheet("removed_parts", case, helene)

    total, _colon, told = made.body.totals.partition(": ")
    assert total == "6 removed parts"
    assert sum(int(one.split(" × ")[0]) for one in told.split("; ")) == 6
    assert "1 × put back in its place" in told
    assert KINDS["removed_parts"].contents(made.body) == [made.body.totals]
    assert made.body.totals in printed("removed_parts", case, helene)


def test_strings_cotton_and_rosin_stand_apart(house, case, finding, armand, helene):
    work = open_work(case, finding, armand)
    working.take_off(work, by=armand, description="six gut strings", is_consumable=True)
    working.take_off(work, by=armand, part="soundboard")
    case = Case.objects.with_names().get(pk=case.pk)

    body = sheet("removed_parts", case, helene).body

    assert [bag.description for bag in body.consumables] == ["six gut strings"]
    assert [bag.part for bag in body.bags] == ["soundboard"]
    assert "did not ask for old strings" in printed("removed_parts", case, helene)


def test_after_the_list_was_issued_a_bag_is_changed_only_with_a_reason(
    case, work, armand, helene, client
):
    """Else the paper that the owner holds would be contradicted in silence."""
    piece = case.removed_parts.get()
    things.set_fate(piece, "given_back", "handed over", by=armand, at=working.SIGNED)
    paper = issued("removed_parts", case, helene)
    client.force_login(helene)
    place = reverse("treatment:fate", args=[case.number, piece.number])

    refused = client.post(place, {"fate": "kept", "words": ""})
    piece.refresh_from_db()

    assert (refused.status_code, piece.fate) == (409, "given_back")
    assert f"{paper} says otherwise" in html.unescape(refused.text)

    answer = client.post(
        place, {"fate": "kept", "words": "", "because": "left behind"}, follow=True
    )
    piece.refresh_from_db()

    assert (piece.fate, piece.fate_words) == ("kept", "changed since: left behind")
    assert reverse("papers:make", args=[case.number, "removed_parts"]) in answer.text
    line = LogEntry.objects.filter(verb="part.fate").latest("seq")
    assert line.details == {"bag": 1, "fate": "kept", "against_papers": True}


def test_the_new_version_of_the_list_says_the_change_and_is_then_up_to_date(
    case, work, armand, helene, client
):
    piece = case.removed_parts.get()
    issued("removed_parts", case, helene)
    at = timezone.now()
    things.set_fate(piece, "refitted", "", because="it fits again", by=armand, at=at)

    second = issued("removed_parts", case, helene)

    (bag,) = second.data["content"]["bags"]
    assert (second.version, bag["fate_words"]) == (2, "changed since: it fits again")
    piece.refresh_from_db()
    assert things.outdated_by(piece) == []


def test_a_bag_of_which_no_paper_tells_needs_no_reason(case, work, helene, client):
    client.force_login(helene)

    page = client.get(reverse("treatment:bag", args=[case.number, 1])).text

    assert "id_because" not in page


@pytest.mark.parametrize("wrong", [{"because": ""}, {"because": "x" * 120, "words": "y" * 200}])
def test_a_reason_that_is_lacking_or_too_long_changes_nothing(case, work, helene, client, wrong):
    issued("removed_parts", case, helene)
    client.force_login(helene)
    place = reverse("treatment:fate", args=[case.number, 1])

    answer = client.post(place, {"fate": "given_back", "words": ""} | wrong)

    assert answer.status_code in (409, 422)
    assert case.removed_parts.get().fate == "kept"
