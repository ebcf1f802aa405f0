"""Every file is read back against its hash: what is missing, changed or nobody's is found."""

from __future__ import annotations

import datetime as dt
import hashlib
import shutil
from pathlib import Path

import pytest
from django.utils import timezone

from repairs.keep import tasks, verifying
from repairs.keep.store_models import FileCheck, StoreCheck
from repairs.keep.verifying import verify
from repairs.photos import development
from repairs.photos.darkroom import SIZES
from repairs.photos.derivative_models import Derivative
from repairs.photos.models import Original, Photo
from repairs.storage import files as store
from repairs.storage.shelves import shelves
from tests import factories
from tests.keep.conftest import Shelved, put_file

pytestmark = pytest.mark.django_db
FOLDERS = ["originals", "derived", "papers", "proofs", "invoices"]
ODD = ("missing", "changed", "orphaned", "unreferenced")


def flip_a_bit(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def test_every_folder_of_kept_files_is_a_shelf():
    assert [shelf.folder for shelf in shelves()] == sorted([*FOLDERS, "previews"])


def test_a_whole_house_is_said_to_be_whole(shelved: Shelved, command):
    told = command("verify_store", "--json")

    assert (told.code, told.err) == (0, "")
    assert {key: told.facts[key] for key in ODD} == {key: [] for key in ODD}
    assert told.facts["read_n"] == told.facts["known_n"] == 4 + len(SIZES)
    in_all = sum(store.path_of(name).stat().st_size for name in _names())
    assert told.facts["read_bytes"] == in_all
    assert "Done: all is as it was kept; 8 of 8" in command("verify_store").out


def _names() -> list[str]:
    return [kept.name for shelf in shelves() if not shelf.is_passing for kept in shelf.kept()]


@pytest.mark.parametrize("folder", FOLDERS)
@pytest.mark.parametrize("harm", ["missing", "changed"])
def test_a_file_that_is_gone_or_of_which_one_bit_was_turned_is_named(
    shelved: Shelved, command, folder, harm
):
    path = shelved.path(folder)
    if harm == "missing":
        path.unlink()
    else:
        flip_a_bit(path)

    told = command("verify_store", "--json")
    said = command("verify_store")

    assert told.code == said.code == 1
    assert {key: told.facts[key] for key in ODD if told.facts[key]} == {
        harm: [shelved.name(folder)]
    }
    words = "not there" if harm == "missing" else "changed"
    assert f"{words}: {shelved.name(folder)}" in said.err
    assert FileCheck.objects.harmed().get().name == shelved.name(folder)


def test_a_file_of_nobody_is_an_orphan_after_a_day(shelved: Shelved, command):
    put_file("papers/aa/bb/" + "a" * 64 + ".pdf", days=2)
    put_file("papers/aa/bb/" + "b" * 64 + ".pdf", days=0.5)
    put_file("previews/aa/bb/" + "c" * 64 + ".pdf", days=2)

    told = command("verify_store", "--json")

    assert told.code == 1
    assert told.facts["orphaned"] == ["papers/aa/bb/" + "a" * 64 + ".pdf"]


def test_an_original_of_which_no_photo_is_left_is_told(shelved: Shelved, command):
    digest, name = store.keep(b"nobody's", "originals", ".jpg")
    Original.objects.create(sha256=digest, file_name=name, size_bytes=8, kept_at=timezone.now())

    told = command("verify_store", "--json")

    assert (told.code, told.facts["unreferenced"]) == (1, [name])


def test_reading_changes_no_file_and_no_row_but_its_own(shelved: Shelved, command):
    flip_a_bit(shelved.path("derived"))
    before = {path: path.read_bytes() for path in store.root().rglob("*") if path.is_file()}
    rows = list(Derivative.objects.values())

    command("verify_store")

    after = {path: path.read_bytes() for path in store.root().rglob("*") if path.is_file()}
    assert before.items() <= after.items()
    assert list(Derivative.objects.values()) == rows


def test_smaller_pictures_are_made_anew_from_a_good_original(shelved: Shelved, command):
    original = shelved.photo.original
    assert original is not None
    for size, harm in zip(
        SIZES, (flip_a_bit, flip_a_bit, lambda path: path.unlink()), strict=False
    ):
        harm(store.path_of(original.derivative(size)))

    told = command("verify_store", "--heal", "--json")

    assert (told.code, len(told.facts["healed"])) == (0, 3)
    assert command("verify_store").code == 0
    for row in Derivative.objects.all():
        kept = store.path_of(original.derivative(row.longest_px)).read_bytes()
        assert hashlib.sha256(kept).hexdigest() == row.sha256


@pytest.mark.parametrize("folder", ["originals", "papers", "proofs", "invoices"])
def test_nothing_is_healed_from_nowhere(shelved: Shelved, command, folder):
    flip_a_bit(shelved.path(folder))

    told = command("verify_store", "--heal", "--json")

    assert (told.code, told.facts["changed"]) == (1, [shelved.name(folder)])


@pytest.mark.parametrize("shape", ["bag", "pool", "store"])
@pytest.mark.parametrize("harm", ["missing", "changed"])
def test_files_come_back_from_a_bundle(shelved: Shelved, command, tmp_path, shape, harm):
    bundle = tmp_path / "bundle"
    _bundle(bundle, shape)
    good = {folder: shelved.path(folder).read_bytes() for folder in FOLDERS}
    for folder in FOLDERS:
        if harm == "missing":
            shelved.path(folder).unlink()
        else:
            flip_a_bit(shelved.path(folder))

    told = command("verify_store", "--heal", "--from", str(bundle), "--json")

    assert (told.code, len(told.facts["healed"])) == (0, len(FOLDERS))
    assert {folder: shelved.path(folder).read_bytes() for folder in FOLDERS} == good
    flip_a_bit(shelved.path("papers"))  # and the bundle is no second name of the same bytes
    assert command("verify_store", "--heal", "--from", str(bundle)).code == 0
    aside = [path for path in (store.root() / "aside").rglob("*.changed") if path.is_file()]
    # Smaller pictures bear the hash of their original: of a copy of the store they are made anew.
    fetched = len(FOLDERS) - (shape == "store")
    assert len(aside) == (1 if harm == "missing" else fetched + 1)


def _bundle(place: Path, shape: str) -> None:
    """A copy of the store in three shapes in which a backup may keep it."""
    names = _names()
    if shape == "store":
        shutil.copytree(store.root(), place)
        return
    lines = []
    for number, name in enumerate(names):
        source = store.path_of(name)
        digest = store.sha256_of(source)
        target = place / ("pool" if shape == "pool" else "data")
        target = target / digest[:2] / digest if shape == "pool" else target / f"{number}.bin"
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
        lines.append(f"{digest}  {target.relative_to(place).as_posix()}\n")
    if shape == "bag":
        (place / "manifest-sha256.txt").write_text("".join(lines))


def test_a_bundle_that_lies_about_a_hash_heals_nothing(shelved: Shelved, command, tmp_path):
    digest = shelved.paper.sha256
    (tmp_path / "bundle").mkdir()
    (tmp_path / "bundle" / digest).write_bytes(b"another paper")
    (tmp_path / "bundle" / "manifest-sha256.txt").write_text(f"{digest}  data/nowhere\nrubbish\n")
    shelved.path("papers").unlink()

    told = command("verify_store", "--heal", "--from", str(tmp_path / "bundle"), "--json")

    assert (told.code, told.facts["missing"]) == (1, [shelved.name("papers")])


def test_what_was_set_aside_is_taken_back_first(shelved: Shelved, command):
    path = shelved.path("papers")
    aside = store.root() / "aside" / shelved.name("papers")
    aside.parent.mkdir(parents=True)
    path.rename(aside)

    assert command("verify_store", "--heal").code == 0
    assert hashlib.sha256(path.read_bytes()).hexdigest() == shelved.paper.sha256


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--share", "0"), "--share wants whole per cent"),
        (("--share", "101"), "--share wants whole per cent"),
        (("--share", "a third"), "--share wants whole per cent"),
        (("--from", "."), "--from is of use only with --heal"),
        (("--heal", "--from", "/nowhere/at/all"), "is no folder"),
    ],
)
def test_what_cannot_be_asked_for_is_refused_with_a_sentence(db, command, words, sentence):
    told = command("verify_store", *words)

    assert told.code == 2
    assert sentence in told.err


def test_the_nightly_share_takes_those_that_were_read_longest_ago(shelved: Shelved):
    at = dt.datetime(2026, 11, 25, 2, tzinfo=dt.UTC)
    reads = [verify(share_pct=30, at=at + dt.timedelta(days=night)).read_n for night in range(3)]

    assert reads == [3, 3, 3]
    assert FileCheck.objects.count() == 8  # none twice before each was read once
    assert StoreCheck.objects.count() == 3


def test_what_was_found_is_looked_at_again_every_night(shelved: Shelved):
    at = dt.datetime(2026, 11, 25, 2, tzinfo=dt.UTC)
    path, data = shelved.path("papers"), shelved.path("papers").read_bytes()
    path.unlink()
    verify(at=at)
    assert FileCheck.objects.harmed().count() == 1

    path.write_bytes(data)
    verify(share_pct=1, at=at + dt.timedelta(days=1))

    assert not FileCheck.objects.odd().exists()


def test_pictures_of_a_former_release_get_their_hash_when_they_are_made_again_and_the_same(
    shelved: Shelved, command
):
    Derivative.objects.all().delete()
    flip_a_bit(shelved.path("derived"))

    told = command("verify_store", "--json")
    said = command("verify_store")

    assert told.facts["hashes_adopted_n"] == len(SIZES) - 1
    assert (told.code, told.facts["changed"]) == (1, [shelved.name("derived")])
    assert "no hash" not in said.out  # they have one now
    assert command("verify_store", "--heal").code == 0
    assert Derivative.objects.count() == len(SIZES)


def test_pictures_whose_original_is_gone_are_not_made_of_thin_air(shelved: Shelved, command):
    shelved.path("originals").unlink()
    shelved.path("derived").unlink()

    told = command("verify_store", "--heal", "--json")

    assert told.code == 1
    assert told.facts["missing"] == sorted([shelved.name("derived"), shelved.name("originals")])


def test_a_photo_that_was_refused_while_the_store_was_read_is_not_missed(
    case, armand, monkeypatch, command
):
    upload = factories.upload(case, b"Dear Sir", by=armand)
    real = verifying._read

    def slowly(*args: object) -> None:
        development.develop(upload)
        real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(verifying, "_read", slowly)

    assert command("verify_store").code == 0
    assert Photo.objects.get().state == "refused"


def test_the_jobs_of_the_night_do_it(shelved: Shelved):
    flip_a_bit(shelved.path("derived"))
    verify(at=timezone.now())

    def progress(_done: int, _total: int) -> None:
        """Nobody waits."""

    assert tasks.verify_share(progress=progress) == {"read": 1, "found": 1}
    assert tasks.mend(progress=progress) == {"healed": 1, "found": 0}
    assert not FileCheck.objects.odd().exists()
