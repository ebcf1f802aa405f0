"""The trial of a backup: restored beside, compared, thrown away, and noted."""

from __future__ import annotations

import datetime as dt

import pytest

from repairs.audit.models import LogEntry
from repairs.keep.actions import drill
from repairs.keep.keys import Wanted, in_groups
from repairs.keep.models import KeepRun
from repairs.keep.refusals import BundleDamagedError, NoEntryError, WrongKeyError

pytestmark = pytest.mark.django_db


def test_it_restores_the_newest_beside_and_leaves_nothing(
    house_of_two, back_up, disk, quick, now, helene, own_data
):
    back_up()
    newest = back_up().entry
    before = {path for path in own_data.rglob("*") if path.is_file()}

    restored = drill(disk, "", at=now, by=helene)

    run = KeepRun.objects.filter(sort="drill").latest("pk")
    line = LogEntry.objects.latest("seq")
    assert restored.files_n == 2
    assert (run.is_good, run.entry, run.begun_at) == (True, newest.name, now)
    assert (line.verb, line.actor_id, line.details) == (
        "keep.drill",
        helene.pk,
        {"entry": newest.name},
    )
    assert {path for path in own_data.rglob("*") if path.is_file()} == before


def test_it_asks_for_the_key_as_typed_from_paper(house_of_two, back_up, disk, quick, now, keepers):
    back_up(Wanted(recipients=tuple(public for _secret, public in keepers)))
    groups = in_groups(keepers[0][0])

    assert drill(disk, " ".join(groups), at=now).files_n == 2
    groups[3] = groups[3][::-1]
    with pytest.raises(WrongKeyError):
        drill(disk, " ".join(groups), at=now)
    assert KeepRun.objects.filter(sort="drill").latest("pk").is_good is False


def test_a_damaged_one_fails_and_is_kept_as_a_failure(
    house_of_two, back_up, disk, quick, now, own_data
):
    entry = back_up().entry
    next((entry / "data/files/originals").iterdir()).write_bytes(b"front" * 998 + b"fronx")

    with pytest.raises(BundleDamagedError):
        drill(disk, "", at=now + dt.timedelta(hours=1))

    run = KeepRun.objects.filter(sort="drill").latest("pk")
    assert run.is_good is False
    assert "damaged" in run.trouble
    assert [path.name for path in (own_data / "keep").glob("drill-*")] == []


def test_without_a_backup_there_is_nothing_to_try(house, disk, now):
    with pytest.raises(NoEntryError, match="holds no whole backup of this house"):
        drill(disk, "", at=now)
