"""What of files and jobs a person is told, and what may be done about it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.keep.verifying import verify
from repairs.photos.models import Photo
from tests import factories
from tests.keep.conftest import Shelved

pytestmark = pytest.mark.django_db


def failed(name: str, by=None, **said) -> Job:
    now = timezone.now()
    return Job.objects.create(
        name=name, owner=by, state="failed", created_at=now, not_before=now, finished_at=now, **said
    )


def opened(browser: Browser, who, address: str) -> str:
    browser.force_login(who)
    return browser.get(address).content.decode()


def test_the_bench_says_how_it_stands_with_the_files_to_whoever_heads_the_house(
    client: Browser, shelved: Shelved, helene, armand
):
    verify(at=timezone.now())
    whole = opened(client, helene, reverse("bench:home"))
    shelved.path("papers").unlink()
    shelved.path("originals").write_bytes(b"rot")
    verify(at=timezone.now())

    harmed = opened(client, helene, reverse("bench:home"))

    assert "none missing or changed" in whole
    assert "Files of the workshop: 1 missing, 1 changed" in harmed
    assert "Files of the workshop" not in opened(client, armand, reverse("bench:home"))


def test_the_page_names_each_file_and_what_it_belongs_to(client: Browser, shelved: Shelved, helene):
    for folder in ("papers", "originals", "invoices", "proofs", "derived"):
        shelved.path(folder).unlink()
    verify(at=timezone.now())

    page = opened(client, helene, reverse("keep:store"))

    for folder in ("papers", "originals", "invoices", "proofs", "derived"):
        assert shelved.name(folder) in page
    assert shelved.photo.get_absolute_url() in page
    assert shelved.invoice.get_absolute_url() in page
    assert reverse("press:verify_code", args=[shelved.paper.code]) in page
    assert "5 files are missing" in page


def test_what_can_be_mended_here_is_mended_by_a_button(client: Browser, shelved: Shelved, helene):
    shelved.path("derived").unlink()
    verify(at=timezone.now())
    client.force_login(helene)

    client.post(reverse("keep:store_mend"))
    client.post(reverse("keep:store_mend"))
    assert Job.objects.filter(name="keep.mend").count() == 1
    Worker().run_all()

    assert shelved.path("derived").exists()
    assert "None is missing or changed." in opened(client, helene, reverse("keep:store"))
    assert LogEntry.objects.filter(verb="store.mending").count() == 1


@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_failed_job_says_why_in_the_language_of_its_reader(client: Browser, language):
    failed("keep.sweep", trouble="no_room")
    reader = factories.person("basile", "principal", language)

    page = opened(client, reader, reverse("keep:failed"))

    assert ("The disk was full." in page) == (language == "en")
    assert ("disque" in page) == (language == "fr")


def test_the_bench_leads_to_failed_jobs_while_there_are_any(client: Browser, armand, odile):
    assert reverse("keep:failed") not in opened(client, armand, reverse("bench:home"))
    failed("keep.sweep", trouble="disk")

    assert "1 job could not be done" in opened(client, armand, reverse("bench:home"))
    assert "could not be done" not in opened(client, odile, reverse("bench:home"))


def test_a_job_of_another_release_is_listed_too(client: Browser, helene):
    failed("recordings.listen", message="The microphone was off.")

    page = opened(client, helene, reverse("keep:failed"))

    assert "Recordings.listen" in page and "The microphone was off." in page


@pytest.mark.parametrize("verb", ["failed_again", "failed_let_go"])
def test_a_paper_is_issued_again_only_by_whoever_asked(client: Browser, helene, armand, verb):
    row = failed("papers.issue", by=armand, arguments={"draft": 0, "issuer": armand.pk, "at": ""})
    address = reverse(f"keep:{verb}", args=[row.uuid])
    client.force_login(helene)
    assert client.post(address).status_code == 403

    client.force_login(armand)
    assert client.post(address).status_code == 302

    row.refresh_from_db()
    assert (row.state == "waiting", row.let_go_at is not None) == (
        verb == "failed_again",
        verb == "failed_let_go",
    )
    again = client.post(address, follow=True).content.decode()
    assert "Somebody else has seen to it already." in again
    assert LogEntry.objects.filter(verb__startswith="job.").count() == 1


def test_a_photo_let_go_is_withdrawn_and_its_original_stays(client: Browser, case, armand):
    upload = factories.upload(case, factories.jpeg(), by=armand)
    Photo.objects.update(state="failed", refusal="crashed")
    Job.objects.update(state="failed", trouble="crashed", finished_at=timezone.now())
    client.force_login(armand)

    client.post(reverse("keep:failed_let_go", args=[Job.objects.get().uuid]))

    photo = Photo.objects.select_related("original").get(upload=upload)
    assert photo.withdrawn_at is not None and photo.original is not None
    assert not Job.objects.failed().exists()


def test_the_list_asks_the_database_as_often_for_many_as_for_few(client: Browser, case, armand):
    client.force_login(armand)
    counts = []
    for upto in (2, 9):
        for number in range(Job.objects.count(), upto):
            upload = factories.upload(case, factories.jpeg(seed=number), by=armand)
            Job.objects.filter(arguments__upload=upload.pk).update(
                state="failed", finished_at=timezone.now()
            )
        with CaptureQueriesContext(connection) as queries:
            page = client.get(reverse("keep:failed")).content.decode()
        assert page.count("Let it go") == upto
        counts.append(len(queries))

    assert counts[0] == counts[1]
