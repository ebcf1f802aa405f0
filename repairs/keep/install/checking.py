"""What is looked at before anything is done, so that a refusal leaves the machine as it was."""

from __future__ import annotations

import hashlib
from pathlib import Path

from repairs.audit.marks import NAME as MARKS
from repairs.keep.install import machine
from repairs.keep.install.plan import SITES
from repairs.keep.install.refusals import (
    DataForeignError,
    NoSystemdError,
    ProxyOwnError,
)
from repairs.keep.install.steps import told_by
from repairs.keep.install.wishes import CADDY, Wishes, remembered
from repairs.keep.target import FILE, MADE_ANYWAY

HOUSE = frozenset({FILE, MARKS, "secret-key"})
HTTP, HTTPS = 80, 443


def check(wishes: Wishes, *, by_hand: bool, is_trial: bool) -> None:
    """Raise KeepError in the order in which people can do something about it."""
    wishes.check()
    if wishes.root:
        return
    machine.check_root(is_trial=is_trial)
    if not is_trial and not by_hand and not machine.has_systemd():
        raise NoSystemdError
    machine.check_program(Path(wishes.program))
    check_data(Path(wishes.data))
    check_proxy(wishes)
    check_ports(wishes)
    if not wishes.acme:
        machine.check_name(wishes.name, is_local=wishes.is_local)


def check_data(data: Path) -> None:
    """Raise DataForeignError for a folder of something else."""
    found = {one.name for one in data.iterdir()} if data.is_dir() else set()
    odd = sorted(name for name in found - MADE_ANYWAY - HOUSE if not name.startswith(FILE))
    if odd and not found & HOUSE:
        raise DataForeignError(place=str(data), what=odd[0])


def check_ports(wishes: Wishes) -> None:
    """Raise PortTakenError. What was installed before may listen where it does."""
    ports = {HTTP: wishes.proxy, HTTPS: wishes.proxy}
    if remembered(wishes.record).get("wishes", {}).get("port") != wishes.port:
        ports[wishes.port] = ""
    machine.check_ports(ports)


def check_proxy(wishes: Wishes) -> None:
    """Raise NameTakenError for another site of that name, ProxyOwnError for a file by hand."""
    own = SITES[wishes.proxy]
    if wishes.proxy != CADDY:
        folders = [Path("/etc/nginx/sites-enabled"), Path("/etc/nginx/conf.d")]
        machine.check_sites(wishes.name, folders, own)
        return
    ours = remembered(wishes.record).get("files", {})
    if own.exists() and str(own) not in ours and not _is_of_debian(own):
        raise ProxyOwnError(place=str(own))


def _is_of_debian(file: Path) -> bool:
    """Whether a file of settings is as its package brought it."""
    known = told_by("dpkg-query", "--show", "--showformat=${Conffiles}", CADDY)
    # dpkg knows its files by MD5; nobody forges one here.
    digest = hashlib.md5(file.read_bytes(), usedforsecurity=False).hexdigest()
    return f"{file} {digest}" in known
