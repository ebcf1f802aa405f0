"""The house's own authority: it speaks for one name, and its certificate is renewed in time."""

from __future__ import annotations

import datetime as dt
import hashlib
import subprocess
from pathlib import Path

import pytest

from repairs.keep.install.authority import holds, new_leaf, new_root, root_holds
from repairs.keep.spoken import spoken
from repairs.keep.trust import read_root

AT = dt.datetime.now(dt.UTC).replace(microsecond=0)
NAME = "casebook.local"
DAY = dt.timedelta(days=1)


@pytest.fixture(scope="module")
def root():
    return new_root(NAME, AT)


def verified(tmp_path: Path, root, leaf, name: str) -> subprocess.CompletedProcess[str]:
    (tmp_path / "root.pem").write_bytes(root.pem)
    (tmp_path / "leaf.pem").write_bytes(leaf.pem)
    line = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", "-verify_hostname", name]
    line += ["-CAfile", str(tmp_path / "root.pem"), str(tmp_path / "leaf.pem")]
    return subprocess.run(line, capture_output=True, text=True, check=False)


def test_openssl_takes_the_certificate_for_its_name(root, tmp_path):
    done = verified(tmp_path, root, new_leaf(root, NAME, AT), NAME)

    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", ["bank.example", "casebook.local.example", "local"])
def test_openssl_refuses_another_name_from_the_same_authority(root, tmp_path, name):
    done = verified(tmp_path, root, new_leaf(root, name, AT), name)

    assert done.returncode != 0
    assert "permitted subtree violation" in done.stderr


@pytest.mark.parametrize(("days", "is_good"), [(0, True), (59, True), (61, False), (91, False)])
def test_a_certificate_is_renewed_a_month_before_it_ends(root, days, is_good):
    leaf = new_leaf(root, NAME, AT)

    assert holds(leaf, root, NAME, AT + days * DAY) is is_good


def test_one_of_another_name_or_authority_is_made_anew(root):
    assert not holds(new_leaf(root, "other.local", AT), root, NAME, AT)
    assert not holds(new_leaf(new_root(NAME, AT), NAME, AT), root, NAME, AT)
    assert not root_holds(root, "other.local", AT)
    assert not root_holds(root, NAME, AT + 3600 * DAY)


def test_words_are_those_of_the_published_proposal():
    # D. S. Wilkerson 2009: 127.0.0.1, 63.84.220.193, 140.98.193.141
    assert spoken(bytes([127, 0, 0, 1]), 2) == ["lusab", "babad"]
    assert spoken(bytes([63, 84, 220, 193]), 2) == ["gutih", "tugad"]
    assert spoken(bytes([140, 98, 193, 141]), 2) == ["mudof", "sakat"]


def test_the_page_has_the_fingerprint_that_phones_show(root, tmp_path):
    file = tmp_path / "root.crt"
    file.write_bytes(root.pem)

    found = read_root(file)

    assert found is not None
    digest = hashlib.sha256(found.der).digest()
    assert found.sha256.replace(":", "").lower() == digest.hex()
    assert found.words == tuple(spoken(digest))
    assert read_root(tmp_path / "none") is None
