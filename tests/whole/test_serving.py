"""The server as it is run: slow senders are cut, tokens stand in no log, nakedness is said."""

from __future__ import annotations

import logging
import socket
import stat
import time
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from repairs.language.masking import MaskingFormatter, masked
from workshop import serving
from workshop.prepare import close_to_others

ANYWHERE = "0.0.0.0"  # noqa: S104 - only said, never listened on
TOKEN = "kQ3v-_Zr8yW1aB2cD3eF4gH5iJ6kL7mN8oP9qR0sT1u"


@pytest.fixture
def pair():
    ours, theirs = socket.socketpair()
    with ours, theirs:
        yield serving.PatientSocket(ours), theirs


def test_what_comes_in_time_is_read(pair):
    ours, theirs = pair
    theirs.sendall(b"GET / HTTP/1.1")

    assert ours.recv(100) == b"GET / HTTP/1.1"
    assert ours.gettimeout() == serving.ANSWER_S


def test_who_falls_silent_is_cut(pair, monkeypatch):
    ours, _theirs = pair
    monkeypatch.setattr(serving, "SILENCE_S", 0.01)

    with pytest.raises(ConnectionResetError, match="too slowly"):
        ours.recv(100)


def test_who_drips_is_cut_however_regularly(pair, monkeypatch):
    ours, theirs = pair
    now = [0.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    ours.begin()
    drops = 0
    with pytest.raises(ConnectionResetError):
        for _second in range(100):
            theirs.sendall(b"x")
            ours.recv(1)
            drops += 1
            now[0] += 1

    assert serving.GRACE_S <= drops <= serving.GRACE_S + 1


def test_who_sends_a_large_file_over_a_slow_network_is_not(pair, monkeypatch):
    ours, theirs = pair
    now = [0.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    ours.begin()
    for _second in range(200):
        theirs.sendall(b"x" * 16_384)
        assert len(ours.recv(16_384)) == 16_384
        now[0] += 1


def test_the_rest_of_what_was_refused_is_not_read(pair):
    ours, theirs = pair
    theirs.sendall(b"x" * 100)
    ours.leave_unread()

    with pytest.raises(ConnectionResetError):
        ours.recv(10)
    ours.begin()
    assert ours.recv(10) == b"x" * 10


@pytest.mark.parametrize(
    ("hosts", "proxies", "address", "words"),
    [
        (["127.0.0.1"], 0, "http://127.0.0.1:8000", []),
        (["127.0.0.1", "[::1]"], 1, "https://casebook.example.org", []),
        ([ANYWHERE], 0, "http://192.168.1.5:8000", ["no proxy in front"]),
        ([ANYWHERE], 1, "https://casebook.example.org", ["past the proxy"]),
        (["127.0.0.1"], 0, "https://casebook.example.org", ["all visitors count as one"]),
    ],
)
def test_what_the_house_stands_without_is_said(hosts, proxies, address, words):
    said = serving.naked(hosts, proxies, address)

    assert len(said) == len(words)
    assert all(word in one for word, one in zip(words, said, strict=True))


def test_no_line_of_a_log_bears_the_token_of_a_link():
    line = (
        f'192.0.2.1 "GET /consent/{TOKEN}/estimate.pdf HTTP/1.1" 200 "https://h/consent/{TOKEN}/"'
    )

    assert TOKEN not in masked(line)
    assert masked(line).count("/consent/…/") == 2
    assert masked("/consent/noted/") == "/consent/noted/"


def test_neither_does_a_traceback():
    record = logging.LogRecord(
        "django.request", 40, "x", 1, "Gone: %s", (f"/consent/{TOKEN}/",), None
    )
    try:
        raise ValueError(f"/consent/{TOKEN}/photo/1/")
    except ValueError as fault:
        record.exc_info = (type(fault), fault, fault.__traceback__)

    assert TOKEN not in MaskingFormatter("%(message)s").format(record)


def test_every_handler_masks():
    known: Any = settings.LOGGING

    assert {one["formatter"] for one in known["handlers"].values()} == {"line"}
    assert known["formatters"]["line"]["()"].endswith("MaskingFormatter")
    # Those that Django brings of its own are replaced; what has none goes to the root.
    assert known["loggers"]["django"]["handlers"] == []
    assert known["loggers"]["django.server"]["handlers"] == ["stderr"]


def test_the_link_of_a_client_is_masked_in_what_django_says(client, db, caplog):
    client.get(f"/consent/{TOKEN}/")

    said = [record for record in caplog.records if TOKEN in record.getMessage()]
    assert said
    assert all(TOKEN not in MaskingFormatter().format(record) for record in said)


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_data_folder_that_was_open_is_closed_once(tmp_path):
    data, deep = tmp_path / "data", tmp_path / "data" / "media" / "ab"
    deep.mkdir(parents=True)
    files = [data / "casebook.sqlite3", deep / "photo.jpg"]
    for file in files:
        file.write_text("x")
        file.chmod(0o644)
    for folder in (data, deep, deep.parent):
        folder.chmod(0o755)
    (data / "elsewhere").symlink_to(tmp_path)

    assert close_to_others(data) == 5
    assert [rights(file) for file in files] == [0o600, 0o600]
    assert [rights(folder) for folder in (data, deep, deep.parent)] == [0o700] * 3
    assert close_to_others(data) == 0


def test_a_folder_that_all_share_is_not_closed(tmp_path, capsys):
    tmp_path.chmod(0o1777)

    assert close_to_others(tmp_path) == 0
    assert rights(tmp_path) == 0o1777
    assert "a folder of its own" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["requirements.txt", "tests/requirements.txt"])
def test_every_package_is_pinned_with_hashes(name):
    text = (settings.BASE_DIR / name).read_text()
    pins = [line for line in text.splitlines() if "==" in line and not line.startswith("#")]

    assert len(pins) > 30
    assert all(pin.endswith("\\") for pin in pins)
    assert text.count("--hash=sha256:") >= len(pins)
