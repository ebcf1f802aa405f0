"""How gunicorn serves the house: ``gunicorn --config python:workshop.serving workshop.wsgi``.

Slow senders are cut, a refused body is not read to its end, no line of a log carries the token of a
link, and the server says at its start when it stands without the proxy that it needs.
"""

from __future__ import annotations

import errno
import ipaddress
import socket
import sys
import time
from typing import Any

from gunicorn import util
from gunicorn.arbiter import Arbiter
from gunicorn.glogging import Logger
from gunicorn.workers.gthread import _DEFER, TConn, ThreadWorker

from repairs.language.masking import masked
from workshop.env import env_bool, env_int, env_str

bind = env_str("SAUTEREAU_BIND", "127.0.0.1:8000")
workers = 1
threads = 8
worker_class = "workshop.serving.PatientWorker"
logger_class = "workshop.serving.MaskedLogger"
limit_request_line = 4094
control_socket_disable = True
# Pages of a signed-in person are worth some seconds of a kept connection behind a proxy.
keepalive = 5

SILENCE_S = 10  # between two pieces of a request
GRACE_S, LEAST_BYTES_S = 20, 8 * 1024  # a telephone at the edge of its network sends as much
ANSWER_S = 600  # for the slowest reader of a large paper
LINGER_S, LINGER_BYTES = 0.3, 256 * 1024


class PatientSocket:
    """The socket of one connection, which is read with a limit on how long that may take."""

    def __init__(self, inner: socket.socket) -> None:
        self.inner = inner
        self.begin()

    def __getattr__(self, name: str) -> Any:
        return getattr(self.inner, name)

    def begin(self) -> None:
        """A new request begins."""
        self.since, self.got, self.is_left = time.monotonic(), 0, False

    def leave_unread(self) -> None:
        """What is still to come of the body is refused and not awaited."""
        self.is_left = True

    def recv(self, size: int, *flags: int) -> bytes:
        """The next piece. Raises ConnectionResetError when it does not come in time."""
        left_s = self.since + GRACE_S + self.got / LEAST_BYTES_S - time.monotonic()
        if self.is_left or left_s <= 0:
            raise ConnectionResetError(errno.ECONNRESET, "sent too slowly, or not wanted")
        self.inner.settimeout(min(SILENCE_S, left_s))
        try:
            piece = self.inner.recv(size, *flags)
        except TimeoutError as slow:
            self.is_left = True
            raise ConnectionResetError(errno.ECONNRESET, "sent too slowly") from slow
        finally:
            self.inner.settimeout(ANSWER_S)
        self.got += len(piece)
        return piece


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """A thread is lent to nobody who only holds it."""

    def handle(self, conn: TConn) -> Any:
        """One request; a connection that ends is closed here, and not by the loop that accepts."""
        if not isinstance(conn.sock, PatientSocket):
            conn.sock = PatientSocket(conn.sock)
        conn.sock.begin()
        kept = super().handle(conn)
        if not kept and kept is not _DEFER:
            util.close_graceful(conn.sock.inner, timeout=LINGER_S, max_drain=LINGER_BYTES)
        return kept


class MaskedLogger(Logger):  # type: ignore[misc]
    """Access and error lines without the tokens of links."""

    def atoms(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        """What a line is made of."""
        made = super().atoms(*args, **kwargs)
        return {name: masked(v) if isinstance(v, str) else v for name, v in made.items()}


def on_starting(server: Arbiter) -> None:
    """Say what the house stands without."""
    if env_bool("SAUTEREAU_DEBUG"):
        return
    hosts = [str(address[0]) for address in server.cfg.address if isinstance(address, tuple)]
    for words in naked(hosts, env_int("SAUTEREAU_PROXIES", 0), env_str("SAUTEREAU_ADDRESS")):
        sys.stderr.write(f"sautereau: {words}\n")


def naked(hosts: list[str], proxies: int, address: str) -> list[str]:
    """What is missing between the house and strangers; nothing on a machine by itself."""
    said = []
    open_to_all = [host for host in hosts if not _is_loopback(host)]
    if open_to_all and not proxies:
        said.append(
            f"this server listens on {', '.join(open_to_all)} with no proxy in front: slow and "
            "large requests reach it. Put nginx or Caddy before it as README says, bind it to "
            "127.0.0.1, and set SAUTEREAU_PROXIES to how many proxies there are."
        )
    if open_to_all and proxies:
        said.append(
            f"SAUTEREAU_PROXIES is {proxies}, but this server listens on {', '.join(open_to_all)}: "
            "whoever reaches it past the proxy may claim any address. Bind it to 127.0.0.1."
        )
    if not open_to_all and not proxies and address.startswith("https://"):
        said.append(
            "SAUTEREAU_ADDRESS is https, so that a proxy stands in front, and SAUTEREAU_PROXIES is "
            "not set: all visitors count as one, and one who guesses passwords slows all. Set "
            "SAUTEREAU_PROXIES=1."
        )
    return said


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"
