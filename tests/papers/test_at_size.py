"""Papers and their screens of a case with 400 photos and 1,500 tags; nothing is laid out here."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.cases.models import Case
from repairs.papers.kinds import KINDS
from repairs.press.models import Paper
from tests.papers import many
from tests.papers.conftest import sheet

FEW_PHOTOS, FEW_TAGS = 4, 6
PHOTOS, TAGS = 400, 1500
BOTH = ["condition_report", "treatment_report"]


def few_and_all(case: Case, by, ask: Callable[[], object]) -> tuple[int, int]:
    """How often the database is asked of a small case, and of the same once it is a large one."""
    photos = many.photographed(case, FEW_PHOTOS, by=by)
    many.tagged(case, photos, FEW_TAGS, by=by)
    ask()  # what one asks of the case once and for all is not counted
    few = queries(ask)
    photos += many.photographed(case, PHOTOS - case.photos.count(), by=by)
    many.tagged(case, photos, TAGS - FEW_TAGS, by=by)
    return few, queries(ask)


def queries(ask: Callable[[], object]) -> int:
    with CaptureQueriesContext(connection) as seen:
        ask()
    return len(seen)


@pytest.mark.parametrize("kind", BOTH)
def test_a_report_is_compiled_of_1500_tags_and_400_photos(case, work, armand, helene, kind):
    few, every = few_and_all(case, armand, lambda: sheet(kind, case, helene))

    body = sheet(kind, case, helene).body
    assert len(KINDS[kind].contents(body)) > 1
    assert every == few <= 55


@pytest.mark.share(3)
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_page_of_a_paper_opens_with_1500_tags_and_400_photos(
    client, case, work, armand, helene, kind
):
    client.force_login(helene)
    address = reverse("papers:make", args=[case.number, kind])

    answers = []

    few, every = few_and_all(case, armand, lambda: answers.append(client.get(address)))

    assert {one.status_code for one in answers} == {200}
    assert every == few <= 45


def test_the_list_of_papers_goes_through_1500_page_by_page(client, house, case, armand):
    client.force_login(armand)
    many.issued(case, 3, by=armand)
    few = queries(lambda: client.get(reverse("papers:list")))
    many.issued(case, 1500 - 3, by=armand)

    every = queries(lambda: client.get(reverse("papers:list")))

    pages = [client.get(reverse("papers:list"), {"page": at}).text for at in (1, 2, 30)]
    assert every == few <= 9
    assert ("Report 1500<" in pages[0], "Report 1451<" in pages[0]) == (True, True)
    assert ("Report 1450<" in pages[0], "Report 1450<" in pages[1]) == (False, True)
    assert ("Report 1<" in pages[2], 'rel="next"' in pages[2]) == (True, False)
    assert "1 to 50 of 1500" in pages[0]


def test_papers_are_found_by_their_words_and_the_words_go_along(client, house, case, armand):
    client.force_login(armand)
    many.issued(case, 120, by=armand)
    place = reverse("papers:list")

    found = client.get(place, {"q": f"report {case.number}"}).text
    few = client.get(place, {"q": "Report 117"}).text
    none = client.get(place, {"q": "violoncello"}).text

    assert f"?q=report%20{case.number}&amp;page=2" in found
    assert few.count('class="line pic"') == 1
    assert "No paper matches these words." in none


def test_the_page_of_a_paper_names_each_of_1500_versions(client, house, case, armand):
    client.force_login(armand)
    many.issued(case, 3, by=armand)
    paper = Paper.objects.get(version=2)
    address = reverse("papers:detail", args=[paper.uuid])
    few = queries(lambda: client.get(address))
    many.issued(case, 1500 - 3, by=armand)

    assert queries(lambda: client.get(address)) == few <= 15
