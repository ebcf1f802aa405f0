"""What is billed and paid: drafts, issued invoices, money that came and went, closed years.

An issued invoice, its tax rows and every payment are written once. A mistake is put right by
another row: a credit note, a reversing payment.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import ExpressionWrapper, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce, Round
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.errors import InvoiceKeptError
from repairs.invoices.codes import Category, Kind, Means, Unit
from repairs.invoices.letter_models import Reminder as Reminder
from repairs.invoices.letter_models import Sending as Sending
from repairs.money import NOTHING
from repairs.people.models import Language
from repairs.rows import KeptForEver


class DraftQuerySet(models.QuerySet["InvoiceDraft"]):
    def open(self) -> DraftQuerySet:
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
    language = models.CharField(_("language"), max_length=2, choices=Language)
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
        return reverse("invoices:draft", args=[self.pk])

    @property
    def log_key(self) -> str:
        return f"invoice_draft:{self.pk}"

    @property
    def is_credit(self) -> bool:
        return self.kind == Kind.CREDIT


class DraftLine(models.Model):
    """One line of a draft; ``source`` says where a room below took it from."""

    class Sort(models.TextChoices):
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


class InvoiceSeries(models.Model):
    """A line of numbers without a gap: one for each prefix and year."""

    prefix = models.CharField(max_length=6)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["prefix", "year"], name="one_series_a_year")]

    def __str__(self) -> str:
        return f"{self.prefix}-{self.year}: {self.last}"


MONEY: models.DecimalField[Any, Any] = models.DecimalField(max_digits=14, decimal_places=2)


def _summed(rows: models.QuerySet[Any], amount: str, *, by: str) -> Coalesce:
    """The sum over the rows that point to the outer one, as a subquery; 0 when there is none."""
    own = rows.filter(**{by: OuterRef("pk")}).order_by().values(by).annotate(sum=Sum(amount))
    return Coalesce(Round(Subquery(own.values("sum")), 2), NOTHING, output_field=MONEY)


def _same(name: str, value: Any) -> Q:
    """Equal to the cent: SQLite adds decimals up as binary fractions."""
    half = Decimal("0.005")
    return Q(**{f"{name}__gt": value - half}) & Q(**{f"{name}__lt": value + half})


class InvoiceQuerySet(models.QuerySet["Invoice"]):
    def with_balance(self) -> InvoiceQuerySet:
        """What was credited and paid, and what is left of each invoice."""
        credited = _summed(Invoice.objects.all(), "gross", by="credits")
        paid = _summed(Payment.objects.of_invoices(), "amount", by="invoice")
        left = ExpressionWrapper(F("due") - F("credited") - F("paid"), output_field=MONEY)
        balance = Round(left, 2, output_field=MONEY)  # SQLite's own sums are a hair off
        return self.annotate(credited=credited, paid=paid).annotate(balance=balance)  # type: ignore[no-redef] # told in Invoice

    def asking(self) -> InvoiceQuerySet:
        """Those that ask for money: invoices and deposit invoices."""
        return self.exclude(kind=Kind.CREDIT)

    def open(self) -> InvoiceQuerySet:
        """Those on which something is left to pay, or to pay back; the oldest due first."""
        rows = self.asking().with_balance().filter(~Q(balance=0))
        return rows.select_related("client", "case").order_by("due_on", "pk")


class Invoice(KeptForEver):
    """An issued invoice, deposit invoice or credit note. Amounts are positive in all of them."""

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=3, choices=Kind)
    series = models.ForeignKey(InvoiceSeries, models.PROTECT, related_name="invoices")
    sequence = models.PositiveIntegerField()
    draft = models.OneToOneField(InvoiceDraft, models.PROTECT, related_name="issued")
    client = models.ForeignKey("repairs.Client", models.PROTECT, related_name="invoices")
    case = models.ForeignKey("repairs.Case", models.PROTECT, null=True, related_name="invoices")
    credits = models.ForeignKey("self", models.PROTECT, null=True, related_name="credit_notes")
    currency = models.CharField(max_length=3)
    issued_on = models.DateField(db_index=True)
    due_on = models.DateField()
    net = models.DecimalField(max_digits=14, decimal_places=2)
    vat = models.DecimalField(max_digits=14, decimal_places=2)
    gross = models.DecimalField(max_digits=14, decimal_places=2)
    prepaid = models.DecimalField(max_digits=14, decimal_places=2)
    due = models.DecimalField(max_digits=14, decimal_places=2)
    content = models.JSONField()
    xml_name = models.CharField(max_length=160)
    xml_sha256 = models.CharField(max_length=64)
    paper = models.OneToOneField("repairs.Paper", models.PROTECT, related_name="invoice")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    credited: Decimal  # these three are there after with_balance()
    paid: Decimal
    balance: Decimal

    objects = InvoiceQuerySet.as_manager()

    class Meta:
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["series", "sequence"], name="one_invoice_a_number"),
            models.CheckConstraint(
                condition=Q(net__gte=0) & Q(vat__gte=0) & Q(prepaid__gte=0) & Q(due__gte=0),
                name="invoice_not_negative",
            ),
            models.CheckConstraint(
                condition=_same("gross", F("net") + F("vat"))
                & _same("due", F("gross") - F("prepaid")),
                name="invoice_adds_up",
            ),
            models.CheckConstraint(
                condition=Q(kind=Kind.CREDIT, credits__isnull=False)
                | (~Q(kind=Kind.CREDIT) & Q(credits__isnull=True)),
                name="credit_names_its_invoice",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("invoices:invoice", args=[self.number])

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise InvoiceKeptError(number=self.number)

    @property
    def log_key(self) -> str:
        """How the log and the papers name this invoice."""
        return f"invoice:{self.number}"

    @property
    def is_credit(self) -> bool:
        return self.kind == Kind.CREDIT


class TaxRow(KeptForEver):
    """What one invoice adds to the books under one tax: less than zero where it takes away."""

    class Part(models.TextChoices):
        SALE = "sale", pgettext_lazy("in the books", "sale")
        DEPOSIT = "deposit", pgettext_lazy("in the books", "deposit")
        DEDUCTION = "deduction", pgettext_lazy("in the books", "deposit deducted")

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="tax_rows")
    part = models.CharField(max_length=9, choices=Part)
    category = models.CharField(max_length=2, choices=Category)
    rate_pct = models.DecimalField(max_digits=5, decimal_places=2)
    base = models.DecimalField(max_digits=14, decimal_places=2)
    tax = models.DecimalField(max_digits=14, decimal_places=2)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.invoice_id} {self.category} {self.rate_pct}"


class Deduction(KeptForEver):
    """A deposit invoice taken off a later invoice: once, and whole."""

    deposit = models.OneToOneField(Invoice, models.PROTECT, related_name="deduction")
    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="deductions")
    amount = models.DecimalField(max_digits=14, decimal_places=2)

    def __str__(self) -> str:
        return f"{self.deposit_id} in {self.invoice_id}"


class PaymentQuerySet(models.QuerySet["Payment"]):
    def of_charges(self) -> PaymentQuerySet:
        """Late charges that came, and their reversals: they change the balance of no invoice."""
        return self.filter(Q(sort="charges") | Q(reverses__sort="charges"))

    def of_invoices(self) -> PaymentQuerySet:
        return self.exclude(Q(sort="charges") | Q(reverses__sort="charges"))


class Payment(KeptForEver):
    """Money that came (more than zero) or went back; a mistake is reversed by another row.

    Late charges are penalty and fixed fee as a reminder claimed them; ``fee_part`` is the fee.
    """

    class Sort(models.TextChoices):
        RECEIVED = "received", pgettext_lazy("money", "received")
        REFUND = "refund", pgettext_lazy("money", "paid back")
        CHARGES = "charges", pgettext_lazy("money", "late charges received")
        REVERSAL = "reversal", _("entry reversed")

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="payments")
    sort = models.CharField(max_length=8, choices=Sort)
    amount = models.DecimalField(_("amount"), max_digits=14, decimal_places=2)
    means = models.CharField(pgettext_lazy("means of payment", "how"), max_length=2, choices=Means)
    paid_on = models.DateField(pgettext_lazy("day of a payment", "on"), db_index=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    fee_part = models.DecimalField(max_digits=14, decimal_places=2, default=NOTHING)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, related_name="reversal")
    noted_at = models.DateTimeField()
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    objects = PaymentQuerySet.as_manager()

    class Meta:
        ordering = ["paid_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(sort="received", amount__gt=0, reverses__isnull=True)
                | Q(sort="refund", amount__lt=0, reverses__isnull=True)
                | Q(sort="charges", amount__gt=0, reverses__isnull=True)
                | (Q(sort="reversal", reverses__isnull=False) & ~Q(amount=0)),
                name="payment_has_its_sign",
            ),
            models.CheckConstraint(
                condition=Q(fee_part=0)
                | Q(sort="charges", fee_part__gt=0, fee_part__lte=F("amount"))
                | Q(sort="reversal", fee_part__lt=0, fee_part__gte=F("amount")),
                name="payment_fee_of_charges_only",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} {self.paid_on}"

    @property
    def is_charges(self) -> bool:
        return (self.reverses or self).sort == self.Sort.CHARGES

    @property
    def may_be_reversed(self) -> bool:
        """A set-off has two sides, which stand or fall together."""
        if self.sort == self.Sort.REVERSAL or self.means == Means.SET_OFF:
            return False
        return not hasattr(self, "reversal")


class ClosedYear(KeptForEver):
    """A year of the books in which nothing more may be issued, credited or paid."""

    year = models.PositiveSmallIntegerField(primary_key=True)
    totals = models.JSONField()
    closed_at = models.DateTimeField()
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-year"]

    def __str__(self) -> str:
        return str(self.year)
