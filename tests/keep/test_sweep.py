"""Leftovers are swept after a day, listed first; nothing that a row refers to is touched."""

from __future__ import annotations

import datetime as dt

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.keep.sweeping import leftovers, sweep
from repairs.photos import actions
from repairs.photos.upload_models import Upload
from repairs.press.models import PaperDraft
from repairs.storage import files as store
from tests import factories
from tests.keep.conftest import Shelved, grow_old, put_file

pytestmark = pytest.mark.django_db
HASH = "ab" * 32


def begun(case, by, days: float) -> Upload:
    """A photo of which some pieces came, so long ago."""
    row = Upload(case=case, by=by, name="IMG_1.jpg", size_bytes=999, phase="arrival")
    row = actions.open_upload(row, at=timezone.now() - dt.timedelta(days=days))
    actions.append(row, [b"piece"], offset=0)
    grow_old(row.path, days)
    return row


def draft(case, by, name: str, days: float) -> PaperDraft:
    return PaperDraft.objects.create(
        kind="condition_report",
        subject=case.log_key,
        language="en",
        fingerprint="0" * 64,
        file_name=name,
        made_at=timezone.now() - dt.timedelta(days=days),
        made_by=by,
        code=f"{days}",
    )


@pytest.fixture
def left_over(case, armand) -> dict[str, object]:
    """Everything that is left over, two days old."""
    workplace = store.root() / "workplace" / "tmp1"
    (workplace / "inner").mkdir(parents=True)
    grow_old(workplace)
    _digest, preview = store.keep(b"a preview", "previews", ".pdf")
    grow_old(store.path_of(preview))
    then = timezone.now() - dt.timedelta(days=2)
    Session.objects.create(session_key="old", session_data="", expire_date=then)
    Job.objects.create(
        name="keep.sweep", state="done", created_at=then, not_before=then, finished_at=then
    )
    return {
        "upload": begun(case, armand, 2),
        "sent": put_file("inbox/6f1b1c9e-0000-4000-8000-000000000000"),
        "half": put_file(f"originals/ab/ab/{HASH}.jpg.0123.part"),
        "workplace": workplace,
        "draft": draft(case, armand, preview, 2),
        "orphan": put_file(f"papers/ab/ab/{HASH}.pdf"),
        "picture": put_file(f"derived/ab/ab/{HASH}-320.jpg"),
        "old_aside": put_file(f"aside/papers/cd/cd/{HASH}.pdf", days=91),
    }


def files() -> set[str]:
    paths = (path for path in store.root().rglob("*") if path.is_file())
    return {path.relative_to(store.root()).as_posix() for path in paths}


def test_leftovers_are_listed_first_and_stay(left_over, command):
    before = files()

    told = command("sweep", "--list")

    assert "10 leftovers; nothing was swept." in told.out
    for name in ("IMG_1.jpg", f"papers/ab/ab/{HASH}.pdf", "workplace/tmp1", ".0123.part"):
        assert name in told.out
    assert files() == before


def test_leftovers_are_swept_and_what_bears_its_hash_is_set_aside(left_over, command):
    told = command("sweep")

    assert told.code == 0
    assert files() - {name for name in files() if name.startswith("locks/")} == {
        f"aside/papers/ab/ab/{HASH}.pdf",
        left_over["draft"].file_name,  # it goes the next night: no row names it any more
    }
    assert not Upload.objects.exists()
    assert not Job.objects.exists()
    assert not Session.objects.exists()
    assert PaperDraft.objects.get().file_name == ""
    assert "1 swept." in command("sweep").out
    assert "0 leftovers" in command("sweep", "--list").out


def test_nothing_is_touched_that_is_younger_than_a_day(case, armand, command):
    begun(case, armand, 0.5)
    put_file("inbox/6f1b1c9e-0000-4000-8000-000000000000", days=0.5)
    put_file(f"originals/ab/ab/{HASH}.jpg.0123.part", days=0.5)
    put_file(f"papers/ab/ab/{HASH}.pdf", days=0.5)
    put_file(f"aside/papers/cd/cd/{HASH}.pdf", days=89)
    (store.root() / "workplace" / "tmp1").mkdir(parents=True)
    _digest, preview = store.keep(b"a preview", "previews", ".pdf")
    draft(case, armand, preview, 0.5)
    before = files()

    assert "0 leftovers" in command("sweep", "--list").out
    assert "0 swept." in command("sweep").out
    assert files() == before


def test_nothing_is_touched_that_a_row_refers_to_however_old(
    shelved: Shelved, case, armand, command
):
    waiting = factories.upload(case, factories.jpeg(seed=3), by=armand)
    for path in store.root().rglob("*"):
        if path.is_file():
            grow_old(path, 400)
    before = files()

    command("sweep")

    assert files() == before
    assert Upload.objects.filter(pk=waiting.pk).exists()
    Worker().run_all()
    assert command("verify_store").code == 0


def test_an_upload_that_is_taken_up_again_is_not_swept(case, armand):
    row = begun(case, armand, 2)
    row.path.touch()  # as whoever goes on with it does

    assert sweep(timezone.now()) == []
    assert Upload.objects.exists()


def test_a_preview_that_a_failed_job_still_needs_stays(case, armand, command):
    _digest, name = store.keep(b"a preview", "previews", ".pdf")
    row = draft(case, armand, name, 2)
    now = timezone.now()
    job = Job.objects.create(
        name="papers.issue",
        state="failed",
        arguments={"draft": row.pk},
        created_at=now,
        not_before=now,
        finished_at=now - dt.timedelta(days=2),
    )

    command("sweep")
    row.refresh_from_db()
    assert row.file_name == name and Job.objects.filter(pk=job.pk).exists()

    Job.objects.update(let_go_at=now)
    command("sweep")
    row.refresh_from_db()
    assert row.file_name == "" and not Job.objects.exists()


def test_the_same_bytes_kept_anew_are_not_taken_down(db):
    """A paper that was printed yesterday and never issued is issued today: same bytes."""
    _digest, name = store.keep(b"a paper", "papers", ".pdf")
    grow_old(store.path_of(name))
    (found,) = leftovers(timezone.now())
    store.keep(b"a paper", "papers", ".pdf")

    assert not found.sweep()
    assert store.path_of(name).exists()


def test_a_paper_taken_down_by_mistake_is_healed_from_aside(shelved: Shelved, command):
    """A house put back to an older database forgets its last papers; they come back with it."""
    name = shelved.name("proofs")
    row = shelved.proof
    type(row).objects.filter(pk=row.pk)._raw_delete("default")
    grow_old(store.path_of(name))
    command("sweep")
    assert not store.path_of(name).exists()

    row.pk = None
    row._state.adding = True
    row.save()

    assert command("verify_store").code == 1
    assert command("verify_store", "--heal").code == 0
