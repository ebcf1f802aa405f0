"""The wood store: pieces, what was measured on them, and where each part of them went."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.instruments.kinds import material_label, materials, protection_of
from repairs.instruments.protection import is_supplied
from repairs.language.text import LANGUAGES, folded, sought
from repairs.wood.sizes import POSITIVE_SIZES, Sized, volume_cm3, volume_field
from repairs.wood.words import CUBIC_MM, volume_words

TO_NINE_PLACES = Decimal("1e-9")
NOTHING = Decimal(0)


class PieceQuerySet(models.QuerySet["Piece"]):
    """Pieces with what is left of them, and by words."""

    def with_left(self) -> PieceQuerySet:
        """With what was taken and what was cut off as offcuts, summed by the database."""
        taken = Withdrawal.objects.out().filter(piece=OuterRef("pk"))
        cut = Piece.objects.filter(parent=OuterRef("pk"))
        return self.annotate(taken_sum=_summed(taken, "piece"), cut_sum=_summed(cut, "parent"))

    def in_store(self) -> PieceQuerySet:
        """Those of which something is left."""
        # Half a cubic millimetre of slack, since SQLite sums decimals as binary fractions.
        gone = F("taken_sum") + F("cut_sum") + Value(CUBIC_MM / 2)
        return self.with_left().filter(closed_at=None, volume_cm3__gt=gone)

    def used_up(self) -> PieceQuerySet:
        """Those that are closed, or of which less than half a cubic millimetre is left."""
        return self.with_left().exclude(pk__in=self.in_store().values("pk"))

    def matching(self, words: str) -> PieceQuerySet:
        """By every word, whatever its case and accents, in whichever language it is named."""
        found = self
        for word in sought(words):
            found = found.filter(Q(folded_text__contains=word) | Q(number__icontains=word))
        return found


def _summed(rows: models.QuerySet[Any], owner: str) -> Coalesce:
    total = rows.order_by().values(owner).annotate(total=Sum("volume_cm3")).values("total")
    return Coalesce(Subquery(total), Value(NOTHING), output_field=volume_field())


class Piece(Sized):
    """One piece of wood, or a plate of bone or horn, identified for good by its number."""

    class Form(models.TextChoices):
        """In what shape it lies in the store."""

        BOARD = "board", pgettext_lazy("form of wood", "board")
        BILLET = "billet", pgettext_lazy("form of wood", "billet")
        BLANK = "blank", pgettext_lazy("form of wood", "blank")
        OFFCUT = "offcut", _("offcut")
        VENEER = "veneer", _("veneer")
        OTHER = "other", _("other form")

    class Cut(models.TextChoices):
        """How it was sawn, on which its movement with the air depends: C_R or C_T."""

        QUARTER = "quarter", _("quarter-sawn")
        RIFT = "rift", _("rift-sawn")
        FLAT = "flat", _("flat-sawn")
        UNKNOWN = "unknown", _("cut not known")

    number = models.CharField(_("number"), max_length=12, unique=True, editable=False)
    sequence = models.PositiveIntegerField(unique=True, editable=False)  # numbers sort by it
    form = models.CharField(_("form"), max_length=8, choices=Form, default=Form.BOARD)
    material = models.CharField(_("species or material"), max_length=40)
    identified_by = models.CharField(
        _("how it was identified"),
        max_length=160,
        blank=True,
        help_text=_("By the dealer’s paper, the end grain under the lens, a laboratory."),
    )
    cut = models.CharField(_("how it was sawn"), max_length=8, choices=Cut, default=Cut.UNKNOWN)
    parent = models.ForeignKey(
        "self", models.PROTECT, null=True, editable=False, related_name="offcuts"
    )
    volume_cm3 = volume_field()
    place = models.CharField(_("place in the store"), max_length=80, blank=True)
    felled_year = models.PositiveSmallIntegerField(
        _("year of felling"), null=True, blank=True, help_text=_("Where it is known.")
    )
    acquired_on = models.DateField(_("acquired on"), null=True, blank=True)
    acquired_from = models.CharField(_("acquired from"), max_length=160, blank=True)
    acquisition_proof = models.TextField(
        _("proof of acquisition"),
        max_length=2000,
        blank=True,
        help_text=_("Which paper shows where it comes from, of what date, and where it is kept."),
    )
    permit_number = models.CharField(_("number of the permit"), max_length=80, blank=True)
    permit_issued_on = models.DateField(_("permit issued on"), null=True, blank=True)
    # The day of the paper, shown and not judged: what becomes of wood whose permit has lapsed is
    # for the authority to say.
    permit_expires_on = models.DateField(_("permit expires on"), null=True, blank=True)
    note = models.TextField(_("note"), max_length=2000, blank=True)
    entered_at = models.DateTimeField(editable=False)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )
    closed_at = models.DateTimeField(null=True, editable=False)
    folded_text = models.TextField(blank=True, editable=False)

    objects = PieceQuerySet.as_manager()

    class Meta:
        verbose_name = _("piece of wood")
        ordering = ["-sequence"]
        constraints = [
            models.CheckConstraint(condition=POSITIVE_SIZES, name="piece_sizes_positive"),
            models.CheckConstraint(condition=Q(volume_cm3__gt=0), name="piece_volume_positive"),
            models.CheckConstraint(
                condition=Q(permit_issued_on__isnull=True)
                | Q(permit_expires_on__isnull=True)
                | Q(permit_expires_on__gte=F("permit_issued_on")),
                name="piece_permit_days_in_order",
            ),
            models.CheckConstraint(
                condition=Q(felled_year__isnull=True) | Q(felled_year__range=(1000, 2999)),
                name="piece_felled_year_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}, {self.material_label}"

    def save(self, *args: object, **kwargs: object) -> None:
        """Reckon the volume and fold the words, in both languages, for the search."""
        self.volume_cm3 = volume_cm3(self.sizes_mm)
        names = [material_label(self.material, code) for code in LANGUAGES]
        said = (*names, self.latin, self.place, self.acquired_from, self.note)
        self.folded_text = folded(" ".join(said))
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def get_absolute_url(self) -> str:
        """The page of the piece."""
        return reverse("wood:piece", args=[self.number])

    @property
    def log_key(self) -> str:
        """Under which key the log keeps what was done to it."""
        return f"piece:{self.number}"

    @property
    def material_label(self) -> str:
        """The wood in the reader's language."""
        return material_label(self.material)

    @property
    def latin(self) -> str:
        """Its botanical name, which alone says whether a species is protected."""
        return materials().get(self.material, {}).get("latin") or ""

    @property
    def protection(self) -> Mapping[str, Any] | None:
        """What species protection says of it; None when it is free."""
        return protection_of(self.material)

    @property
    def is_supplied(self) -> bool:
        """Whether the house puts such a material into an instrument at all."""
        return is_supplied(self.material)

    @property
    def lacks_proof(self) -> bool:
        """Protected, and no paper shows where it comes from (CITES; EU Annexes A and B)."""
        return self.protection is not None and not self.acquisition_proof.strip()

    @property
    def taken_cm3(self) -> Decimal:
        """What is out of it now; as ``with_left()`` summed it, or asked for here."""
        return self._sum("taken_sum", self.withdrawals.out() if self.pk else ())

    @property
    def cut_cm3(self) -> Decimal:
        """What went into its offcuts."""
        return self._sum("cut_sum", self.offcuts.all() if self.pk else ())

    def _sum(self, annotated: str, rows: Any) -> Decimal:
        # A list has asked the database for all of them at once; one piece alone asks for its own
        # rows.
        if annotated in self.__dict__:
            return Decimal(self.__dict__[annotated]).quantize(TO_NINE_PLACES)
        return sum((row.volume_cm3 for row in rows), NOTHING)

    @property
    def rest_cm3(self) -> Decimal:
        """What neither a withdrawal nor an offcut accounts for."""
        return self.volume_cm3 - self.taken_cm3 - self.cut_cm3

    @property
    def left_cm3(self) -> Decimal:
        """What can be taken; nothing of a piece that is closed."""
        return NOTHING if self.closed_at else max(self.rest_cm3, NOTHING)

    @property
    def left_words(self) -> str:
        """What is left of it, in words."""
        return volume_words(self.left_cm3)

    @property
    def is_used_up(self) -> bool:
        """Less than a cubic millimetre is sawdust."""
        return self.left_cm3 < CUBIC_MM


class WoodSeries(models.Model):
    """The last number given; the row is locked while one is taken."""

    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return str(self.last)


class WithdrawalQuerySet(models.QuerySet["Withdrawal"]):
    """Withdrawals by whether the wood is still out."""

    def out(self) -> WithdrawalQuerySet:
        """Those that were not put back."""
        return self.filter(returned_at=None)


class Withdrawal(Sized):
    """Some wood taken off a piece, for what; it may be put back, and is never removed."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="withdrawals")
    number = models.PositiveSmallIntegerField(editable=False)
    volume_cm3 = volume_field()
    purpose = models.CharField(_("for what"), max_length=200)
    subject = models.CharField(max_length=80, blank=True, editable=False, db_index=True)
    case_number = models.CharField(_("for case"), max_length=12, blank=True)
    at = models.DateTimeField(editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    returned_at = models.DateTimeField(null=True, editable=False)
    returned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+", editable=False
    )

    objects = WithdrawalQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["piece", "number"], name="one_withdrawal_a_number"),
            models.CheckConstraint(
                condition=POSITIVE_SIZES & Q(volume_cm3__gt=0), name="withdrawal_sizes_positive"
            ),
            models.CheckConstraint(
                condition=Q(returned_at__isnull=True, returned_by__isnull=True)
                | Q(returned_at__isnull=False, returned_by__isnull=False),
                name="withdrawal_returned_by_someone",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.piece_id} {self.number}"

    @property
    def volume_words(self) -> str:
        """How much was taken, in words."""
        return volume_words(self.volume_cm3)

    @property
    def is_for_case(self) -> bool:
        """Whether it goes into an instrument; a jig or a test strip does not."""
        return bool(self.case_number) or self.subject.startswith("case:")

    @property
    def standing_part(self) -> Any:
        """The new part that was made of it and was not taken back; None when there is none."""
        part = getattr(self, "new_part", None)
        return part if part is not None and part.withdrawn_at is None else None
