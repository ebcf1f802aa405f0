"""Who may open a bundle: two keepers at least, or a passphrase; and nobody else."""

from __future__ import annotations

import pytest

from repairs.keep.keys import (
    Wanted,
    bundle_key,
    in_groups,
    new_keeper_key,
    tidy_key,
    unlocked,
)
from repairs.keep.refusals import (
    FewRecipientsError,
    NoRecipientError,
    OtherPassphraseError,
    PassphraseShortError,
    WrongKeyError,
)

PHRASE = "chien roue corde trompette"


def test_one_recipient_is_too_few(keepers):
    (_secret, public), _other = keepers
    for recipients in ((public,), (public, public)):
        with pytest.raises(FewRecipientsError, match="at least two different recipients"):
            Wanted(recipients=recipients).check()


def test_what_is_no_public_key_is_said(keepers):
    secret, public = keepers[0]
    for typed in ("helene", secret, public[:-1], ""):
        with pytest.raises(NoRecipientError, match="begins with “age1”"):
            Wanted(recipients=(public, typed)).check()


def test_a_short_passphrase_is_refused_with_its_length():
    with pytest.raises(PassphraseShortError, match="has 5 signs; take at least 14"):
        Wanted(passphrase="wheel").check()


def test_each_keeper_opens_it_alone_and_a_third_does_not(keepers, tmp_path):
    key = bundle_key(Wanted(recipients=tuple(public for _secret, public in keepers)), tmp_path)

    for secret, _public in keepers:
        assert str(unlocked(key.locked, secret).to_public()) == key.public
    for typed in (new_keeper_key()[0], PHRASE, keepers[0][0][:-1]):
        with pytest.raises(WrongKeyError, match="does not open the backup"):
            unlocked(key.locked, typed)


def test_a_key_is_typed_from_paper_in_groups_and_small_letters(keepers, tmp_path):
    key = bundle_key(Wanted(recipients=tuple(public for _secret, public in keepers)), tmp_path)
    typed = "  ".join(in_groups(keepers[1][0])).lower() + "\n"

    assert str(unlocked(key.locked, typed).to_public()) == key.public
    assert tidy_key(typed) == keepers[1][0]
    assert tidy_key(PHRASE) == ""


def test_the_key_stays_as_long_as_the_keepers_do(keepers, tmp_path):
    both = tuple(public for _secret, public in keepers)
    first = bundle_key(Wanted(recipients=both), tmp_path)

    assert bundle_key(Wanted(recipients=both[::-1]), tmp_path) == first
    third = new_keeper_key()[1]
    changed = bundle_key(Wanted(recipients=(both[0], third)), tmp_path)
    assert changed.public != first.public
    with pytest.raises(WrongKeyError):
        unlocked(changed.locked, keepers[1][0])


def test_a_slip_in_the_passphrase_is_seen_before_anything_is_encrypted_with_it(tmp_path):
    first = bundle_key(Wanted(passphrase=PHRASE), tmp_path)

    with pytest.raises(OtherPassphraseError, match="not the passphrase of the backups before"):
        bundle_key(Wanted(passphrase=PHRASE + "s"), tmp_path)
    assert bundle_key(Wanted(passphrase=PHRASE), tmp_path) == first
    changed = bundle_key(Wanted(passphrase=PHRASE + "s", new_key=True), tmp_path)
    assert str(unlocked(changed.locked, PHRASE + "s").to_public()) == changed.public


def test_the_server_keeps_no_half_that_opens(keepers, tmp_path):
    folder = tmp_path / "keep"
    folder.mkdir()
    bundle_key(Wanted(recipients=tuple(public for _secret, public in keepers)), folder)

    kept = b"".join(file.read_bytes() for file in folder.iterdir())
    assert b"AGE-SECRET-KEY" not in kept
    assert {oct(file.stat().st_mode & 0o777) for file in folder.iterdir()} == {"0o600"}
