"""Drafts: what may become an invoice, and its lines. They bind nobody."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.invoices.codes import Category, Kind, Means, Unit
from repairs.language.text import OWN_NAMES
from repairs.money import NOTHING, rounded


class DraftQuerySet(models.QuerySet["InvoiceDraft"]):
    """Drafts by whether they may still become an invoice."""

    def open(self) -> DraftQuerySet:
        """Those that were neither issued nor thrown away."""
        return self.filter(discarded_at=None, issued=None)


class InvoiceDraft(models.Model):
    """What may become an invoice; it has no number and binds nobody."""

    kind = models.CharField(_("kind"), max_length=3, choices=Kind, default=Kind.INVOICE)
    client = models.ForeignKey("repairs.Client", models.PROTECT, related_name="invoice_drafts")
    case = models.ForeignKey(
        "repairs.Case", models.PROTECT, null=True, related_name="invoice_drafts"
    )
    credits = models.ForeignKey(
        "repairs.Invoice", models.PROTECT, null=True, related_name="credit_drafts"
    )
    language = models.CharField(_("language"), max_length=2, choices=OWN_NAMES)
    delivery_on = models.DateField(
        _("done or delivered on"),
        null=True,
        blank=True,
        help_text=_("Empty: the day of the return or of the last sign-off, or else of the issue."),
    )
    payment_days = models.PositiveSmallIntegerField(_("days to pay"), default=30)
    means = models.CharField(_("to be paid by"), max_length=2, choices=Means, default="30")
    discount_pct = models.DecimalField(
        _("discount on the whole"), max_digits=5, decimal_places=2, default=NOTHING
    )
    discount_reason = models.CharField(_("reason of the discount"), max_length=120, blank=True)
    buyer_reference = models.CharField(_("their reference"), max_length=80, blank=True)
    order_reference = models.CharField(_("their order number"), max_length=80, blank=True)
    note = models.TextField(_("note on the invoice"), max_length=1000, blank=True)
    above_because = models.CharField(
        _("more than was agreed"),
        max_length=300,
        blank=True,
        help_text=_("Only above the agreed ceiling: who said yes to it, when and how."),
    )
    deposits = models.ManyToManyField(
        "repairs.Invoice", related_name="deducting_drafts", verbose_name=_("deposits to deduct")
    )
    revision = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    discarded_at = models.DateTimeField(null=True)

    objects = DraftQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(discount_pct__range=(0, 100)), name="draft_discount_possible"
            ),
            models.CheckConstraint(
                condition=Q(kind=Kind.CREDIT, credits__isnull=False)
                | (~Q(kind=Kind.CREDIT) & Q(credits__isnull=True)),
                name="draft_credit_names_its_invoice",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.client}"

    def get_absolute_url(self) -> str:
        """The page on which the draft is written."""
        return reverse("invoices:draft", args=[self.pk])

    @property
    def log_key(self) -> str:
        """How the log names this draft."""
        return f"invoice_draft:{self.pk}"

    @property
    def is_credit(self) -> bool:
        """Whether it will be a credit note."""
        return self.kind == Kind.CREDIT


class DraftLine(models.Model):
    """One line of a draft; ``source`` says where a room below took it from."""

    class Sort(models.TextChoices):
        """What the line bills, which decides goods or service, and so when VAT is due."""

        HOURS = "hours", pgettext_lazy("line of an invoice", "work")
        MATERIAL = "material", pgettext_lazy("line of an invoice", "material")
        OUTSIDE = "outside", pgettext_lazy("line of an invoice", "outside cost")
        FREE = "free", pgettext_lazy("line of an invoice", "other")

    draft = models.ForeignKey(InvoiceDraft, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    sort = models.CharField(_("what it is"), max_length=8, choices=Sort, default=Sort.FREE)
    description = models.CharField(_("description"), max_length=200)
    details = models.CharField(_("details"), max_length=500, blank=True)
    quantity = models.DecimalField(_("quantity"), max_digits=12, decimal_places=4)
    unit = models.CharField(_("unit"), max_length=3, choices=Unit, default=Unit.PIECE)
    unit_price = models.DecimalField(_("price before tax"), max_digits=14, decimal_places=4)
    category = models.CharField(_("tax"), max_length=2, choices=Category)
    rate_pct = models.DecimalField(_("VAT rate"), max_digits=5, decimal_places=2)
    discount = models.DecimalField(_("discount"), max_digits=12, decimal_places=2, default=NOTHING)
    source = models.CharField(max_length=60, blank=True)
    gross = models.DecimalField(
        _("agreed, tax included"), max_digits=14, decimal_places=2, null=True, blank=True
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="draft_line_of_something"),
            models.CheckConstraint(
                condition=Q(unit_price__gte=0) & Q(discount__gte=0), name="draft_line_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(rate_pct__range=(0, 100)), name="draft_line_rate_possible"
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def net(self) -> Decimal:
        """Before tax, in whole cents: rounded first, and only then less its discount."""
        return rounded(self.quantity * self.unit_price) - self.discount
