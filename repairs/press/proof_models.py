"""What proves an issued paper beside its hash: signature, time stamps, data for later years."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.storage.rows import KeptForEver


class PaperProof(Vouched, KeptForEver):
    """One proof, with the file that holds it. The issued PDF itself never changes."""

    class Sort(models.TextChoices):
        """What it is; ``stamp_inside`` came in time to stand in the PDF, ``stamp`` came later."""

        SIGNATURE = "signature", _("signature")
        STAMP_INSIDE = "stamp_inside", _("time stamp inside the file")
        STAMP = "stamp", _("time stamp beside the file")
        VALIDATION = "validation", _("proofs for later years")

    SUFFIXES = {
        Sort.SIGNATURE: ".pem",
        Sort.STAMP_INSIDE: ".tst",
        Sort.STAMP: ".tst",
        Sort.VALIDATION: ".p7s",
    }

    paper = models.ForeignKey("repairs.Paper", models.PROTECT, related_name="proofs")
    sort = models.CharField(max_length=12, choices=Sort)
    # What it attests: the paper's own moment, the one of the stamp, the one of the gathering.
    at = models.DateTimeField()
    name = models.CharField(max_length=300)
    # Who vouches for that name; empty when the certificate vouches for itself.
    issuer = models.CharField(max_length=300, blank=True)
    file_name = models.CharField(max_length=160)
    sha256 = models.CharField(max_length=64)

    covers = (Cover(plain="paper sort at name issuer file_name sha256"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.sort} of {self.paper_id}"

    @property
    def suffix(self) -> str:
        """How the name of its file ends."""
        return self.SUFFIXES[self.Sort(self.sort)]
