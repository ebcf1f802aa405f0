"""Pages are kept nowhere; files are kept by the browser, which asks each time whether they hold."""

from __future__ import annotations

import pytest
from django.urls import reverse

from repairs.press.actions import pdf_bytes
from repairs.storage import files as store
from tests import factories

PAGES = ["bench:home", "people:clients", "instruments:list", "wood:list", "invoices:money"]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_kept_nowhere(client, helene, house, name):
    client.force_login(helene)

    assert client.get(reverse(name))["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("name", ["people:sign_in", "press:verify", "bench:home"])
def test_nor_one_of_a_stranger(client, db, name):
    kept = {word.strip() for word in client.get(reverse(name))["Cache-Control"].split(",")}
    assert kept >= {"private", "no-store"}


def test_a_picture_is_asked_about_each_time_and_sent_once(client, armand, case, photo):
    client.force_login(armand)
    place = reverse("photos:picture", args=[case.number, photo.number, 320])
    first = client.get(place)
    data = b"".join(first.streaming_content)

    again = client.get(place, headers={"if-none-match": first["ETag"]})
    other = client.get(place, headers={"if-none-match": '"another"'})

    assert first["Cache-Control"] == "private, no-cache"
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    assert again["Cache-Control"] == "private, no-cache"
    assert b"".join(other.streaming_content) == data


def test_a_paper_is_sent_once_and_one_that_rotted_not_at_all(client, helene, case):
    client.force_login(helene)
    paper = factories.receipt(case, by=helene)
    place = reverse("papers:file", args=[paper.uuid])
    first = client.get(place)
    assert b"".join(first.streaming_content) == pdf_bytes(paper)
    file = store.path_of(paper.file_name)
    file.chmod(0o600)
    known = {"if-none-match": first["ETag"]}

    assert client.get(place, headers=known).status_code == 304
    file.write_bytes(b"rot")
    assert client.get(place, headers=known).status_code == 503


def test_what_a_client_sees_by_a_link_is_kept_nowhere(client, case, armand, helene):
    estimate = factories.estimate(factories.looked_over(case, by=helene), by=helene)
    _link, token = factories.link(estimate, by=helene)

    for name in ("decide", "decide_file"):
        answer = client.get(reverse(f"estimates:{name}", args=[token]))
        assert answer["Cache-Control"] == "private, no-store"
        answer.close()
