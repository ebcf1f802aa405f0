"""Time stamps of RFC 3161: a stranger's clock says that these bytes were there at that moment."""

from __future__ import annotations

import asyncio
import datetime as dt
import http.client
import socket
import ssl
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from threading import Event, Timer
from typing import Any
from urllib.parse import SplitResult, unquote, urlsplit

from asn1crypto import cms, tsp
from django.conf import settings
from django.utils.translation import gettext as _
from pyhanko.sign.timestamps import TimeStamper
from pyhanko.sign.timestamps.common_utils import TimestampRequestError, set_tsp_headers
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko.sign.validation.generic_cms import validate_tst_signed_data
from pyhanko_certvalidator import ValidationContext

from repairs.press.refusals import StampServerError

MOST_BYTES = 200_000  # a stamp has some 5,000
DIGEST = "sha256"


@dataclass(frozen=True)
class Stamp:
    """A token as it came: DER, its moment, and whose certificate signed it."""

    token: bytes
    at: dt.datetime
    name: str
    issuer: str


class Answer(tsp.TimeStampResp):  # type: ignore[misc] # the library has no types
    """As RFC 3161, 2.4.2, has it: who refuses sends no token, which the library insists on."""

    _fields = [
        ("status", tsp.PKIStatusInfo),
        ("time_stamp_token", cms.ContentInfo, {"optional": True}),
    ]


class StampServer(TimeStamper):
    """The server of the settings, given ``patience_s`` seconds in all for one stamp.

    Every failure is a StampServerError: no answer in time, a refusal, a stamp over something else.
    """

    def __init__(self, address: str, *, patience_s: float) -> None:
        super().__init__()  # type: ignore[no-untyped-call] # the library is typed in parts
        self.address, self.patience_s = address, patience_s

    @property
    def server(self) -> str:
        """The server without the password that its address may carry."""
        return urlsplit(self.address).hostname or self.address

    async def async_timestamp(self, message_digest: bytes, md_algorithm: str) -> cms.ContentInfo:
        """The token over the digest, looked at. Raises StampServerError."""
        try:
            token = await super().async_timestamp(message_digest, md_algorithm)
            await _check(token, message_digest)
        except TimestampRequestError as fault:
            raise self.failed(_("it refused (“%(words)s”).") % {"words": fault}) from fault
        # What comes from outside may be anything, and each part of it is read only when asked for.
        except (ValueError, TypeError, KeyError, AttributeError, SignatureValidationError) as fault:
            raise self.failed(_("what it sent is no stamp over this paper.")) from fault
        return token

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        """Ask and read, within the time given."""
        try:
            return Answer.load(self._asked(req.dump()))
        except (OSError, http.client.HTTPException) as fault:
            raise self.failed(self._why(fault)) from fault

    def _asked(self, question: bytes) -> bytes:
        place = urlsplit(self.address)
        path = (place.path or "/") + (f"?{place.query}" if place.query else "")
        with _connected(place, self.patience_s) as line:
            line.request("POST", path, question, headers=_headers(place))
            with line.getresponse() as answer:
                if answer.status != http.client.OK:
                    status = {"status": answer.status}
                    raise self.failed(_("it answered with HTTP %(status)s.") % status)
                return answer.read(MOST_BYTES)

    def _why(self, fault: Exception) -> str:
        if isinstance(fault, ConnectionRefusedError | socket.gaierror):
            return _("nobody answers at this address.")
        if isinstance(fault, ssl.SSLError):
            return _("the connection to it is not safe.")
        return _("it did not answer within %(seconds)s seconds.") % {
            "seconds": round(self.patience_s)
        }

    def failed(self, why: str) -> StampServerError:
        """The refusal with its reason."""
        return StampServerError(server=self.server, why=why)

    def over(self, sha256: bytes) -> Stamp:
        """A token over the SHA-256 of a file. Raises StampServerError."""
        return stamp_of(asyncio.run(self.async_timestamp(sha256, DIGEST)))


def server(*, patience_s: float) -> StampServer | None:
    """The server of the settings, or None where none is named."""
    address = str(settings.STAMP_SERVER)
    return StampServer(address, patience_s=patience_s) if address else None


@contextmanager
def _connected(place: SplitResult, patience_s: float) -> Iterator[http.client.HTTPConnection]:
    """A connection that is cut when the time is up: a limit for each read alone would let a server
    hold us for ever that sends one byte now and then. Raises TimeoutError."""
    kind = http.client.HTTPSConnection if place.scheme == "https" else http.client.HTTPConnection
    line, is_late = kind(place.hostname or "", place.port, timeout=patience_s), Event()
    line.connect()
    # The socket itself: the connection hands it on to the answer.
    cut = Timer(patience_s, _cut, [line.sock, is_late])
    cut.daemon = True
    cut.start()
    try:
        yield line
        # Half an answer looks like a whole one to whoever reads up to the end of the line.
        if is_late.is_set():
            raise TimeoutError
    finally:
        cut.cancel()
        line.close()


def _cut(sock: socket.socket, is_late: Event) -> None:
    is_late.set()
    with suppress(OSError):  # it may end by itself in the same moment
        sock.shutdown(socket.SHUT_RDWR)


def _headers(place: SplitResult) -> dict[str, str]:
    headers: dict[str, str] = set_tsp_headers({})
    if place.username:
        said = f"{unquote(place.username)}:{unquote(place.password or '')}"
        headers["Authorization"] = f"Basic {b64encode(said.encode()).decode()}"
    return headers


async def _check(token: cms.ContentInfo, digest: bytes) -> None:
    """Raise ValueError unless the token is over that digest and its own certificate signed it.

    Whether that certificate deserves trust is not asked: the house chose the server.
    """
    own = [one.chosen for one in token["content"]["certificates"]]
    context = ValidationContext(trust_roots=own, allow_fetching=False)
    status = await validate_tst_signed_data(token["content"], context, lambda _algorithm: digest)
    if not (status["intact"] and status["valid"]):
        raise ValueError("the stamp does not hold")


def stamp_of(token: cms.ContentInfo) -> Stamp:
    """What a token says, for rows and pages."""
    signed = token["content"]
    info = signed["encap_content_info"]["content"].parsed
    signer = signed["signer_infos"][0]["sid"].chosen
    by_serial = {one.chosen.serial_number: one.chosen for one in signed["certificates"]}
    certificate = by_serial.get(signer["serial_number"].native)
    name = _known_as(certificate.subject) if certificate else ""
    issuer = _known_as(signer["issuer"])
    at: dt.datetime = info["gen_time"].native
    return Stamp(token.dump(), at, name or issuer, "" if issuer == name else issuer)


def _known_as(name: Any) -> str:
    parts = name.native
    return str(parts.get("common_name") or parts.get("organization_name") or name.human_friendly)
