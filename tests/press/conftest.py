"""Keys, an authority and a clock of our own, so that papers are signed and stamped in tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from repairs.press.signing import keyfile
from tests.press.authority import Authority
from tests.press.clock import Clock, running


@pytest.fixture(scope="session")
def made_key(tmp_path_factory) -> Path:
    """A key as the first start makes it: without a certificate."""
    file = tmp_path_factory.mktemp("key") / "seal-key.pem"
    keyfile.make_key(file)
    return file


@pytest.fixture
def house_key(made_key: Path, settings) -> Path:
    """The house has its self-made key, which never signed anything yet."""
    keyfile.write(Path(settings.SEAL_KEY_FILE), keyfile.read(made_key))
    return Path(settings.SEAL_KEY_FILE)


@pytest.fixture(scope="session")
def clock(tmp_path_factory) -> Iterator[Clock]:
    """A time stamp server on this machine, driven by ``openssl ts``; it also hands out the list
    of revoked certificates of the authority."""
    with running(tmp_path_factory.mktemp("clock")) as server:
        yield server


@pytest.fixture(scope="session")
def authority(clock: Clock, tmp_path_factory) -> Authority:
    """Who vouches for keys, and names the clock's machine as the place of its list."""
    made = Authority(tmp_path_factory.mktemp("authority"), f"{clock.address}/revoked.crl")
    clock.files["/revoked.crl"] = made.revoked_list()
    return made


@pytest.fixture
def stamping(clock: Clock, settings) -> Clock:
    """The house asks that server, which answers as it should."""
    settings.STAMP_SERVER = f"{clock.address}/stamp"
    clock.asked.clear()
    return clock
