"""Sign what was printed with the key of the house, before it is hashed."""

from __future__ import annotations

import datetime as dt
import logging
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.jobs.models import Job
from repairs.press.document import Sheet
from repairs.press.refusals import KeyExpiredError

if TYPE_CHECKING:
    from repairs.press.signing.house_key import HouseKey
    from repairs.press.signing.pades import Signed
    from repairs.press.signing.stamps import Stamp

log = logging.getLogger(__name__)
PROVE = "press.prove"
# Whoever issues a paper waits for it; after it the paper goes out and the stamp comes by a job.
PATIENCE_S = 4.0


@dataclass(frozen=True)
class Sealed:
    """What is issued: the bytes, the key that signed them if any, and the stamp inside if any."""

    pdf: bytes
    key: HouseKey | None = None
    stamp: Stamp | None = None

    @property
    def wants_proofs(self) -> bool:
        """Whether something is left to be fetched: a stamp, or what proves a certificate later."""
        vouched = self.key is not None and not self.key.is_self_made
        return vouched or self.stamp is not None or bool(settings.STAMP_SERVER)


def seal(pdf: bytes, sheet: Sheet) -> Sealed:
    """Sign the PDF; a house without a key issues it as it is.

    Raises KeyUnusableError or KeyExpiredError: a paper shall not go out unsigned unseen.
    """
    if not Path(settings.SEAL_KEY_FILE).exists():
        return Sealed(pdf)
    # A quarter of a second of loading, which whoever signs nothing shall not wait for.
    from repairs.press.signing.house_key import house_key  # noqa: PLC0415 - see above

    key = house_key(sheet.house.name)
    if key is None:
        return Sealed(pdf)
    at = sheet.seal.issued_at if sheet.seal else sheet.made_at
    signed = _signed(pdf, sheet, key, at)
    return Sealed(signed.pdf, key, signed.stamp)


def _signed(pdf: bytes, sheet: Sheet, key: HouseKey, at: dt.datetime) -> Signed:
    from repairs.press.signing import pades, stamps  # noqa: PLC0415 - as above

    if not key.holds_on(at):
        first, last = key.certificate.not_valid_before_utc, key.certificate.not_valid_after_utc
        raise KeyExpiredError(
            name=key.name, first=date_format(first), last=date_format(last), day=date_format(at)
        )
    with translation.override(sheet.language):
        label = _("Signature of %(house)s") % {"house": sheet.house.name}
    server = stamps.server(patience_s=PATIENCE_S)
    if server is not None and _left_one_waiting():
        server = None
    signed = pades.sign(pdf, key, at=at, label=label, server=server)
    if signed.trouble:
        log.warning("a paper goes out without its time stamp: %s", signed.trouble)
    return signed


def _left_one_waiting() -> bool:
    """Whether the server gave nothing for another paper: then nobody waits for it at a desk."""
    return Job.objects.open().filter(name=PROVE, arguments__tried__gt=0).exists()
