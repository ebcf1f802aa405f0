"""Every byte of a bundle counts: whatever is changed, added or taken away is said."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from repairs.keep.bag import open_bag, write_bag
from repairs.keep.refusals import BundleDamagedError, BundleForeignError, BundlePartialError
from tests.keep.backups.checker import bagit

FILES = {"data/files/a b.jpg": b"a wheel", "data/database/x.jsonl": b'{"id":1}\n'}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small bag with two files and a tag of its own."""
    place = tmp_path / "entry"
    for name, data in FILES.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(data)
    (place / "entry.json").write_text("{}")
    hashes = {name: hashlib.sha256(data).hexdigest() for name, data in FILES.items()}
    write_bag(place, hashes, sum(map(len, FILES.values())), {"Bagging-Date": "2026-11-25"})
    return place


def test_an_independent_checker_finds_it_valid(folder):
    assert bagit.Bag(str(folder)).is_valid()


def test_a_name_with_signs_that_a_manifest_writes_otherwise(tmp_path):
    name, data = "data/50 %\n.jpg", b"a wheel"
    place = tmp_path / "bag"
    (place / "data").mkdir(parents=True)
    (place / name).write_bytes(data)
    write_bag(place, {name: hashlib.sha256(data).hexdigest()}, len(data), {})

    assert open_bag(place).read(name) == data
    assert "data/50 %25%0A.jpg" in (place / "manifest-sha256.txt").read_text()


def test_it_is_read_as_it_was_written(folder):
    bag = open_bag(folder)

    assert bag.check() == sum(map(len, FILES.values()))
    assert {name: bag.read(name) for name in FILES} == FILES


@pytest.mark.parametrize(
    "name",
    [
        *FILES,
        "bagit.txt",
        "bag-info.txt",
        "entry.json",
        "manifest-sha256.txt",
        "tagmanifest-sha256.txt",
    ],
)
def test_one_bit_of_any_file_is_seen(folder, name):
    whole = (folder / name).read_bytes()
    for at in range(len(whole)):
        data = bytearray(whole)
        data[at] ^= 1 << (at % 8)
        (folder / name).write_bytes(data)

        with pytest.raises(BundleDamagedError):
            open_bag(folder).check()


@pytest.mark.parametrize("name", [*FILES, "entry.json", "bag-info.txt", "tagmanifest-sha256.txt"])
def test_a_file_less_is_seen(folder, name):
    (folder / name).unlink()

    with pytest.raises(BundleDamagedError, match="—"):
        open_bag(folder)


@pytest.mark.parametrize("name", ["data/files/more.jpg", "more.txt", "data/more"])
def test_a_file_more_is_seen(folder, name):
    (folder / name).write_bytes(b"")

    with pytest.raises(BundleDamagedError, match=rf"\+ {name}"):
        open_bag(folder)


def test_a_link_that_leads_elsewhere_is_refused(folder, tmp_path):
    (tmp_path / "secret").write_bytes(b"a wheel")
    (folder / "data/files/a b.jpg").unlink()
    (folder / "data/files/a b.jpg").symlink_to(tmp_path / "secret")

    with pytest.raises(BundleDamagedError, match=r"a b\.jpg"):
        open_bag(folder)


def test_a_name_that_leads_outside_is_refused(folder, tmp_path):
    (tmp_path / "secret").write_bytes(b"a wheel")
    manifest = folder / "manifest-sha256.txt"
    manifest.write_text(manifest.read_text().replace("data/files/a b.jpg", "../secret"))
    tags = folder / "tagmanifest-sha256.txt"
    rows = [row for row in tags.read_text().splitlines() if "  manifest" not in row]
    rows.append(f"{hashlib.sha256(manifest.read_bytes()).hexdigest()}  manifest-sha256.txt")
    rows.sort(key=lambda row: row.split("  ")[1])
    tags.write_text("".join(f"{row}\n" for row in rows))

    with pytest.raises(BundleDamagedError):
        open_bag(folder)


def test_one_that_was_stopped_is_said_to_be_so(folder):
    part = folder.rename(folder.with_name("entry.part"))

    with pytest.raises(BundlePartialError, match="stopped before its end"):
        open_bag(part)


def test_a_folder_of_something_else_is_refused(tmp_path):
    with pytest.raises(BundleForeignError, match="is no backup of this program"):
        open_bag(tmp_path)
