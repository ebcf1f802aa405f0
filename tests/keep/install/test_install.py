"""The command in a folder that stands for the machine, and why it refuses one."""

from __future__ import annotations

import datetime as dt
import io
import json
import re
import socket
import struct
import subprocess
import threading
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from repairs.keep.install import checking, doing, machine, texts
from repairs.keep.install.plan import Plan
from repairs.keep.install.wishes import Wishes

README = Path(settings.BASE_DIR, "README.md").read_text(encoding="utf-8")
NAMED = ("--name", "casebook.local")


def said(*words: object, code: int = 0) -> tuple[str, str]:
    out, err = io.StringIO(), io.StringIO()
    found = 0
    try:
        call_command("install", *map(str, words), stdout=out, stderr=err)
    except SystemExit as end:
        found = int(end.code or 0)
    assert found == code, err.getvalue()
    return out.getvalue(), err.getvalue()


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "machine"


def everything(root: Path) -> dict[str, tuple[bytes, int]]:
    files = (path for path in root.rglob("*") if path.is_file())
    return {str(path): (path.read_bytes(), path.stat().st_mtime_ns) for path in files}


def test_everything_is_put_in_place_and_private_things_are_closed(root):
    said("--root", root, "--yes", *NAMED, "--backup-to", "/mnt/disk/casebook")

    etc = root / "etc/sautereau"
    for name in ("settings.env", "authority/root.key", "house.key"):
        assert oct((etc / name).stat().st_mode & 0o777) == "0o600"
    for name in ("srv/sautereau", "mnt/disk/casebook", "etc/sautereau/authority"):
        assert oct((root / name).stat().st_mode & 0o777) == "0o700"
    unit = (root / "etc/systemd/system/sautereau.service").read_text()
    assert "Restart=always" in unit
    assert "ReadWritePaths=/srv/sautereau /mnt/disk/casebook" in unit
    assert f"WorkingDirectory={settings.BASE_DIR}" in unit
    told = (etc / "settings.env").read_text()
    assert 'SAUTEREAU_ADDRESS="https://casebook.local"' in told
    assert 'SAUTEREAU_ALLOWED_HOSTS="casebook.local"' in told
    assert len(re.findall(r'SAUTEREAU_SECRET_KEY="[\w-]{60,}"', told)) == 1


def test_a_second_run_changes_nothing_and_says_so(root):
    said("--root", root, "--yes", *NAMED)
    before = everything(root)

    out, _err = said("--root", root)

    assert "Nothing to do" in out
    assert everything(root) == before


def test_a_trial_prints_all_files_and_writes_none(root):
    out, _err = said("--root", root, "--dry-run", *NAMED)

    assert not root.exists()
    assert "ExecStart=" in out
    assert "server_name casebook.local;" in out
    assert 'SAUTEREAU_SECRET_KEY="…"' in out


def test_it_asks_and_a_no_leaves_everything_as_it_was(root, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("no\n"))

    _out, err = said("--root", root, *NAMED, code=1)

    assert "Nothing was done." in err
    assert not root.exists()


def test_what_somebody_set_later_stands(root):
    said("--root", root, "--yes", *NAMED)
    file = root / "etc/sautereau/settings.env"
    file.write_text(file.read_text() + 'SAUTEREAU_MAIL_HOST="mail.example.org"\n')
    key = texts.secret_in(file.read_text())

    said("--root", root, "--yes", "--port", "8100")

    assert 'SAUTEREAU_MAIL_HOST="mail.example.org"' in file.read_text()
    assert 'SAUTEREAU_BIND="127.0.0.1:8100"' in file.read_text()
    assert texts.secret_in(file.read_text()) == key


def test_the_other_proxy_takes_the_place_of_the_first(root):
    said("--root", root, "--yes", *NAMED)

    said("--root", root, "--yes", "--proxy", "caddy")

    assert not (root / "etc/nginx/conf.d/sautereau.conf").exists()
    caddy = (root / "etc/caddy/Caddyfile").read_text()
    assert "tls /etc/sautereau/house.pem /etc/sautereau/house.key" in caddy
    assert "http://casebook.local {" in caddy


def test_a_public_certificate_is_fetched_by_caddy_alone(root):
    said("--root", root, "--yes", "--name", "atelier.example.org", "--proxy", "caddy", "--acme")

    assert "tls " not in (root / "etc/caddy/Caddyfile").read_text()
    assert not (root / "etc/sautereau/house.key").exists()
    assert not list(root.rglob("*.timer"))


def test_undoing_names_what_stays_and_puts_back_what_was_there(root):
    avahi = root / "etc/avahi/avahi-daemon.conf"
    avahi.parent.mkdir(parents=True)
    avahi.write_text("[server]\n#host-name=foo\nuse-ipv4=yes\n")
    said("--root", root, "--yes", *NAMED)
    site = root / "etc/nginx/conf.d/sautereau.conf"
    site.write_text("# mine by now\n")
    assert "host-name=casebook\n" in avahi.read_text()

    out, _err = said("--root", root, "--undo", "--yes")

    assert "#host-name=foo" in avahi.read_text()
    assert not list(root.rglob("*.service"))
    assert site.exists()
    for words in (f"{site}: somebody changed it since", "srv/sautereau", "etc/sautereau", "phone"):
        assert words in out
    assert (root / "etc/sautereau/settings.env").exists()
    said("--root", root, "--undo", "--yes", code=2)


def test_a_certificate_that_ends_soon_is_renewed_and_the_authority_stays(root):
    said("--root", root, "--yes", *NAMED)
    etc = root / "etc/sautereau"
    kept = (etc / "authority.crt").read_bytes(), (etc / "house.pem").read_bytes()
    out, _err = said("--root", root, "--renew")
    assert "holds for long enough" in out
    assert (etc / "house.pem").read_bytes() == kept[1]

    later = timezone.now() + dt.timedelta(days=70)
    told: list[str] = []
    assert doing.renew(Plan(doing.of_last_time(str(root)), later), told.append)

    assert (etc / "authority.crt").read_bytes() == kept[0]
    assert (etc / "house.pem").read_bytes() != kept[1]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--name", "Atelier"), "cannot be the name of the casebook"),
        (("--name", "192.168.1.4"), "cannot be the name of the casebook"),
        (("--name", "a.b.local"), "cannot be the name of the casebook"),
        ((*NAMED, "--data", "/srv/my data"), "cannot be used: name a folder"),
        ((*NAMED, "--data", f"{settings.BASE_DIR}/x"), "lies inside the folder of the program"),
        ((*NAMED, "--acme"), "wants --proxy caddy"),
        ((*NAMED, "--acme", "--proxy", "caddy"), "that the whole world can look up"),
        (("--renew",), "No casebook was installed"),
    ],
)
def test_words_that_cannot_be_used(root, words, sentence):
    _out, err = said("--root", root, *words, code=2)

    assert sentence in err
    assert not root.exists()


@pytest.fixture
def bare(monkeypatch, tmp_path) -> None:
    """A machine on which nothing stands in the way but what a test puts there."""
    monkeypatch.setattr(machine, "is_root", lambda: True)
    monkeypatch.setattr(machine, "has_systemd", lambda: True)
    monkeypatch.setattr(machine, "listener", lambda _port: "")
    monkeypatch.setattr(machine, "_resolved", lambda _name: [])
    monkeypatch.setattr(machine, "asked_around", lambda _name: set())
    monkeypatch.setattr(machine, "check_program", lambda _place: None)
    monkeypatch.setattr(checking, "check_proxy", lambda _wishes: None)


@pytest.mark.parametrize(
    ("name", "found", "sentence"),
    [
        ("is_root", lambda: False, "Only the administrator"),
        ("has_systemd", lambda: False, "With --by-hand everything else is put in place"),
        ("listener", lambda port: "apache2" if port == 443 else "", "Port 443 is taken by “apache"),
        ("asked_around", lambda _name: {"192.0.2.77"}, "taken already: by 192.0.2.77"),
        ("_resolved", lambda _name: ["192.0.2.78"], "taken already: by 192.0.2.78"),
    ],
)
def test_a_machine_that_stands_in_the_way(bare, monkeypatch, tmp_path, name, found, sentence):
    monkeypatch.setattr(machine, name, found)

    _out, err = said("--yes", *NAMED, "--data", tmp_path / "data", code=1)

    assert sentence in err


def test_the_names_of_this_machine_are_not_taken(bare, monkeypatch):
    monkeypatch.setattr(machine, "_resolved", lambda _name: ["127.0.0.1", "::1"])

    machine.check_name("casebook.local", is_local=True)


def test_a_folder_of_something_else_is_refused(tmp_path):
    (tmp_path / "letters.odt").touch()

    with pytest.raises(Exception, match=r"holds other things \(letters.odt\)"):
        checking.check_data(tmp_path)
    (tmp_path / "casebook.sqlite3").touch()
    checking.check_data(tmp_path)


def test_a_program_that_the_service_could_not_read_is_refused(tmp_path):
    closed = tmp_path / "program"
    closed.mkdir(mode=0o700)

    with pytest.raises(Exception, match="may not look into"):
        machine.check_program(closed)


def test_another_site_of_that_name_is_found(tmp_path):
    (tmp_path / "old.conf").write_text("server {\n  server_name a.local casebook.local;\n}\n")
    own = tmp_path / "sautereau.conf"
    own.write_text("server_name casebook.local;\n")

    with pytest.raises(Exception, match=r"old\.conf"):
        machine.check_sites("casebook.local", [tmp_path], own)
    machine.check_sites("other.local", [tmp_path], own)


def test_a_port_that_is_taken_is_told_with_its_program():
    with socket.socket() as own:
        own.bind(("127.0.0.1", 0))
        own.listen()
        port = own.getsockname()[1]

        assert machine.listener(port) == Path("/proc/self/comm").read_text().strip()
    assert machine.listener(port) == ""


def test_a_machine_of_the_network_that_has_the_name_is_heard():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        other.settimeout(10)

        def answer() -> None:
            asked, who = other.recvfrom(512)
            found = struct.pack("!HHHIH4s", 0xC00C, 1, 1, 120, 4, socket.inet_aton("192.0.2.9"))
            said = asked[:2] + struct.pack("!5H", 0x8400, 1, 1, 0, 0) + asked[12:] + found
            other.sendto(b"\0\0\0", who)  # of somebody else
            other.sendto(said, who)

        threading.Thread(target=answer, daemon=True).start()
        heard = machine.asked_around("casebook.local", other.getsockname(), wait_s=0.5)

    assert heard == {"192.0.2.9"}


def test_readme_shows_the_very_files():
    for name in ("nginx.conf", "Caddyfile"):
        assert texts.example(name) in README


def test_a_step_that_fails_says_which_and_stops(root):
    (root / "etc").mkdir(parents=True)
    (root / "etc/systemd").write_text("no folder")

    _out, err = said("--root", root, "--yes", *NAMED, code=1)

    assert "sautereau.service, 0644” failed" in err
    assert "it goes on where it stopped" in err
    (root / "etc/systemd").unlink()
    said("--root", root, "--yes")
    assert list(root.rglob("*.timer"))


def test_what_was_installed_is_remembered(root):
    said("--root", root, "--yes", *NAMED, "--data", "/srv/vielles")

    told = json.loads((root / "etc/sautereau/installed.json").read_text())
    assert told["wishes"]["data"] == "/srv/vielles"
    assert doing.of_last_time(str(root)) == Wishes(**{**told["wishes"], "root": str(root)})


def test_systemd_takes_the_units(root):
    said("--root", root, "--yes", *NAMED)
    units = sorted((root / "etc/systemd/system").iterdir())
    line = ["systemd-analyze", "verify", "--man=no", *map(str, units)]
    try:
        done = subprocess.run(line, capture_output=True, text=True, check=False)
    except FileNotFoundError:
        pytest.skip("no systemd here")

    # What it cannot know here is the machine: no such user, no such folder.
    assert not re.search(r"Unknown|Invalid|Failed to parse", done.stderr), done.stderr
