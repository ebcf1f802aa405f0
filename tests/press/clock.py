"""A time stamp server on this machine. What it stamps is stamped by ``openssl ts``, which knows
nothing of the library that asks; by its address it also answers as no server should."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread
from typing import Any

from asn1crypto import tsp
from cryptography.hazmat.primitives.serialization import Encoding

from tests.press.authority import Authority, as_pem, new_key

CONFIG = """
[tsa]
default_tsa = clock
[clock]
serial = {folder}/serial
signer_cert = {folder}/clock.pem
certs = {folder}/root.pem
signer_key = {folder}/clock.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha384, sha512
ess_cert_id_alg = sha256
"""
REPLY = "application/timestamp-reply"


class Clock:
    """The server's address, what it was asked, and the files that it hands out."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.asked: list[str] = []
        self.files: dict[str, bytes] = {}
        self.closing = Event()
        self.server: Any = None
        authority, key = Authority(folder, name="Root of Clocks"), new_key()
        certificate = authority.vouch_for_clock("Clock of Trials", key)
        (folder / "clock.pem").write_bytes(certificate.public_bytes(Encoding.PEM))
        (folder / "clock.key").write_bytes(as_pem(key))
        (folder / "serial").write_text("01\n")
        (folder / "clock.cnf").write_text(CONFIG.format(folder=folder))

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_address[1]}"

    @property
    def root(self) -> Path:
        return self.folder / "root.pem"

    def stamped(self, question: bytes) -> bytes:
        """What ``openssl ts`` answers to the question."""
        query, answer = self.folder / "query.tsq", self.folder / "answer.tsr"
        query.write_bytes(question)
        command = ["openssl", "ts", "-reply", "-config", str(self.folder / "clock.cnf")]
        command += ["-queryfile", str(query), "-out", str(answer)]
        subprocess.run(command, check=True, capture_output=True, timeout=30)
        return answer.read_bytes()


def _over_something_else(question: bytes) -> bytes:
    asked = tsp.TimeStampReq.load(question)
    asked["message_imprint"]["hashed_message"] = b"\x07" * 32
    return bytes(asked.dump(force=True))


def _by_a_broken_digest(question: bytes) -> bytes:
    """What the server refuses to stamp."""
    asked = tsp.TimeStampReq.load(question)
    broken = {"hash_algorithm": {"algorithm": "md5"}, "hashed_message": b"\x07" * 16}
    asked["message_imprint"] = broken
    return bytes(asked.dump(force=True))


class _Handler(BaseHTTPRequestHandler):
    clock: Clock

    def do_POST(self) -> None:
        """Stamp, or whatever else the address says."""
        question = self.rfile.read(int(self.headers["Content-Length"]))
        self.clock.asked.append(self.path)
        what = self.path.strip("/")
        if what == "hang":
            self.clock.closing.wait(30)
        elif what == "drip":
            self._drip()
        elif what == "error":
            self.send_error(500)
        elif what == "page":
            self._say(b"<!doctype html><p>Welcome", "text/html")
        elif what == "refuse":
            self._say(self.clock.stamped(_by_a_broken_digest(question)), REPLY)
        elif what == "other":
            self._say(self.clock.stamped(_over_something_else(question)), REPLY)
        else:
            self._say(self.clock.stamped(question), REPLY)

    def do_GET(self) -> None:
        """A file, as the list of revoked certificates is one."""
        self.clock.asked.append(self.path)
        file = self.clock.files.get(self.path)
        if file is None:
            self.send_error(404)
        else:
            self._say(file, "application/pkix-crl")

    def _say(self, words: bytes, kind: str) -> None:
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(words)))
        self.end_headers()
        self.wfile.write(words)

    def _drip(self) -> None:
        """A byte now and then: no single read ever waits for long."""
        self.send_response(200)
        self.send_header("Content-Type", REPLY)
        self.send_header("Content-Length", "5000")
        self.end_headers()
        for _byte in range(300):
            try:
                self.wfile.write(b"0")
                self.wfile.flush()
            except OSError:
                return
            time.sleep(0.05)

    def log_message(self, *_words: Any) -> None:
        """Nothing on standard error."""


@contextmanager
def running(folder: Path) -> Iterator[Clock]:
    clock = Clock(folder)
    handler = type("Handler", (_Handler,), {"clock": clock})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    clock.server = server
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield clock
    finally:
        clock.closing.set()
        server.shutdown()
        server.server_close()
        thread.join()
