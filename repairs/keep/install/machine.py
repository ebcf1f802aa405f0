"""What is asked of the machine before anything is done to it."""

from __future__ import annotations

import os
import secrets
import socket
import struct
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from repairs.keep.install.refusals import (
    NameTakenError,
    NotRootError,
    PortTakenError,
    ProgramClosedError,
)

MULTICAST = ("224.0.0.251", 5353)  # RFC 6762, 3
WAIT_S = 1.0
LISTENS = "0A"  # TCP_LISTEN in /proc/net/tcp
OTHERS_READ, OTHERS_ENTER = 0o004, 0o001


def is_root() -> bool:
    """Whether the administrator runs this."""
    return os.geteuid() == 0


def has_systemd() -> bool:
    """Whether systemd runs the machine: sd_booted(3)."""
    return Path("/run/systemd/system").is_dir()


def check_ports(ports: dict[int, str]) -> None:
    """Raise PortTakenError when another program than the named one listens."""
    for port, ours in ports.items():
        if (who := listener(port)) and who != ours:
            raise PortTakenError(port=port, who=who)


def listener(port: int) -> str:
    """The program that listens on that port; empty when none does."""
    inodes = set(_listening(port))
    if not inodes:
        return ""
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # it ended meanwhile, or is another user's
            if any(_leads_to(one, inodes) for one in (process / "fd").iterdir()):
                return (process / "comm").read_text().strip()
    return "?"


def _leads_to(handle: Path, inodes: set[str]) -> bool:
    try:
        return str(handle.readlink()) in inodes
    except OSError:  # closed meanwhile
        return False


def _listening(port: int) -> Iterator[str]:
    for table in ("/proc/net/tcp", "/proc/net/tcp6"):
        with suppress(OSError):
            for line in Path(table).read_text().splitlines()[1:]:
                cells = line.split()
                if cells[3] == LISTENS and int(cells[1].rpartition(":")[2], 16) == port:
                    yield f"socket:[{cells[9]}]"


def check_name(name: str, *, is_local: bool) -> None:
    """Raise NameTakenError when the name leads to another machine."""
    found = set(_resolved(name))
    if is_local:
        found |= asked_around(name)
    if others := sorted(address for address in found if not _is_ours(address)):
        raise NameTakenError(name=name, where=others[0])


def check_sites(name: str, folders: list[Path], own: Path) -> None:
    """Raise NameTakenError when another file of the proxy serves that name."""
    for folder in folders:
        for file in sorted(folder.glob("*")) if folder.is_dir() else []:
            if file != own and file.is_file() and _serves(file, name):
                raise NameTakenError(name=name, where=str(file))


def _serves(file: Path, name: str) -> bool:
    lines = file.read_text(encoding="utf-8", errors="replace").splitlines()
    told = (line.strip().rstrip(";").split() for line in lines)
    return any(words[:1] == ["server_name"] and name in words for words in told)


def _resolved(name: str) -> Iterator[str]:
    with suppress(OSError, UnicodeError):
        yield from (str(row[4][0]) for row in socket.getaddrinfo(name, 443))


def _is_ours(address: str) -> bool:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(family, socket.SOCK_DGRAM) as own:
        try:
            own.bind((address, 0))
        except OSError:
            return False
    return True


def asked_around(name: str, to: tuple[str, int] = MULTICAST, wait_s: float = WAIT_S) -> set[str]:
    """The addresses that machines of this network tell for a name (RFC 6762, 6.7)."""
    number = secrets.token_bytes(2)
    labels = b"".join(bytes([len(one)]) + one.encode() for one in name.split("."))
    question = number + struct.pack("!5H", 0, 1, 0, 0, 0) + labels + struct.pack("!x2H", 1, 1)
    found: set[str] = set()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as own, suppress(OSError):
        own.sendto(question, to)
        until = time.monotonic() + wait_s
        while (left_s := until - time.monotonic()) > 0:
            own.settimeout(left_s)
            answer = own.recv(9000)
            if answer[:2] == number:
                found |= _addresses(answer)
    return found


def _addresses(answer: bytes) -> set[str]:
    """The IPv4 addresses in a message of the DNS (RFC 1035, 4.1)."""
    with suppress(IndexError, struct.error):
        questions, answers = struct.unpack_from("!2H", answer, 4)
        at = 12
        for _question in range(questions):
            at = _past_name(answer, at) + 4
        found = set()
        for _answer in range(answers):
            at = _past_name(answer, at)
            kind, length = struct.unpack_from("!H6xH", answer, at)
            at += 10
            if kind == 1 and length == 4:
                found.add(socket.inet_ntoa(answer[at : at + 4]))
            at += length
        return found
    return set()


def _past_name(answer: bytes, at: int) -> int:
    while length := answer[at]:
        if length >= 0xC0:  # the rest stands elsewhere
            return at + 2
        at += length + 1
    return at + 1


def check_program(program: Path) -> None:
    """Raise ProgramClosedError when a user without rights could not run what lies there."""
    for folder in (program, *program.parents):
        if not folder.stat().st_mode & OTHERS_ENTER:
            raise ProgramClosedError(place=str(folder))
    for name in ("manage.py", ".venv/bin/python", ".venv/lib"):
        place = program / name
        if place.exists() and not place.stat().st_mode & OTHERS_READ:
            raise ProgramClosedError(place=str(place))


def check_root(*, is_trial: bool) -> None:
    """Raise NotRootError when the machine is to be changed by somebody who may not."""
    if not is_trial and not is_root():
        raise NotRootError
