"""What the bench says of backups, the page of the principal, and the recovery sheet."""

from __future__ import annotations

import datetime as dt
import io

import pikepdf
import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.jobs.models import Job
from repairs.keep.keys import Wanted, bundle_key, tidy_key, unlocked
from repairs.keep.models import KeepRun
from repairs.keep.sheet import recovery_sheet

pytestmark = pytest.mark.django_db
SHOUT = "No backup was ever made"


def run(days_ago: float, **said) -> KeepRun:
    begun = timezone.now() - dt.timedelta(days=days_ago)
    words = {"sort": "backup", "is_good": True, "place": "/disk", "entry": "e", "rows_n": 7} | said
    return KeepRun.objects.create(begun_at=begun, ended_at=begun, **words)


@pytest.fixture
def bench(client, helene, case):
    """The bench as the principal sees it."""
    client.force_login(helene)
    return lambda: client.get(reverse("bench:home")).content.decode()


def test_the_bench_shouts_where_none_was_ever_made(bench):
    assert SHOUT in bench()


def test_the_bench_is_quiet_after_a_good_one(bench):
    run(0.1)

    page = bench()
    assert SHOUT not in page
    assert "Last good backup:" in page


def test_the_bench_shouts_when_the_last_good_one_is_older_than_agreed(bench):
    run(3.5)
    run(1, is_good=False, trouble="“/disk” has 3 MB left.")

    page = bench()
    assert "The last good backup is 3 days old." in page
    assert "“/disk” has 3 MB left." in page


def test_a_drill_of_long_ago_is_told(bench):
    run(0.1)
    run(400, sort="drill")
    assert "backup --drill" in bench()

    run(2, sort="drill")
    assert "backup --drill" not in bench()


def test_only_the_principal_is_told(client, armand, case):
    client.force_login(armand)

    assert SHOUT not in client.get(reverse("bench:home")).content.decode()


def test_the_page_lists_the_runs_and_makes_one(client, helene, settings, disk):
    settings.BACKUP_TO = str(disk)
    run(1, is_good=False, trouble="The disk is full.")
    client.force_login(helene)

    page = client.get(reverse("keep:backups")).content.decode()
    client.post(reverse("keep:now"))
    twice = client.post(reverse("keep:now"), follow=True).content.decode()

    assert "The disk is full." in page
    assert str(disk) in page
    assert "whoever has the disk reads everything" in page
    assert "under way already" in twice
    assert Job.objects.get().name == "keep.back_up"


@pytest.mark.parametrize("language", ["fr", "en"])
def test_the_sheet_is_one_page_and_its_key_opens_what_is_encrypted_for_it(
    house, helene, settings, disk, tmp_path, keepers, language
):
    settings.BACKUP_TO = str(disk)

    printed = recovery_sheet(language=language, with_key=True, at=timezone.now(), by=helene)

    with pikepdf.open(io.BytesIO(printed.pdf)) as pdf:
        assert len(pdf.pages) == 1
    words = pypdf.PdfReader(io.BytesIO(printed.pdf)).pages[0].extract_text()
    begin = words.index("AGE-SECRET-KEY-1")
    typed = tidy_key(words[begin : begin + 120])[:74]
    key = bundle_key(Wanted(recipients=(printed.public, keepers[0][1])), tmp_path)
    assert str(unlocked(key.locked, typed).to_public()) == key.public
    assert str(disk) in words.replace("\n", "")


def test_the_key_of_a_sheet_is_kept_nowhere(client, helene, house, own_data):
    client.force_login(helene)

    answer = client.post(reverse("keep:sheet"), {"key": "new"})

    line = LogEntry.objects.latest("seq")
    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert line.verb == "keep.sheet"
    assert list(line.details) == ["public"]
    assert not any(b"AGE-SECRET" in path.read_bytes() for path in own_data.rglob("*.*"))


def test_a_sheet_without_a_key_has_lines_for_the_passphrase(house, helene, settings):
    settings.BACKUP_PASSPHRASE_FILE = "/etc/phrase"

    printed = recovery_sheet(language="en", with_key=False, at=timezone.now(), by=helene)

    words = pypdf.PdfReader(io.BytesIO(printed.pdf)).pages[0].extract_text()
    assert "Write the passphrase here by hand" in " ".join(words.split())
    assert "AGE-SECRET-KEY" not in words
