"""What is billed and paid: issued invoices, money that came and went, closed years.

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

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.einvoice.document import SERVICES
from repairs.invoices.codes import Category, Kind, Means
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.refusals import InvoiceKeptError
from repairs.invoices.series_models import InvoiceSeries
from repairs.money import NOTHING
from repairs.storage.rows import KeptForEver

PLACES = 2
MONEY: models.DecimalField[Any, Any] = models.DecimalField(max_digits=14, decimal_places=PLACES)
HALF_A_CENT = Decimal("0.005")


def _summed(rows: models.QuerySet[Any], amount: str, *, by: str) -> Coalesce:
    """The sum over the rows that point to the outer one, as a subquery; 0 when there is none."""
    own = rows.filter(**{by: OuterRef("pk")}).order_by().values(by).annotate(sum=Sum(amount))
    return Coalesce(Round(Subquery(own.values("sum")), PLACES), NOTHING, output_field=MONEY)


class InvoiceQuerySet(VouchedQuerySet["Invoice"]):
    """Issued invoices with what is left to pay of them."""

    def with_balance(self) -> InvoiceQuerySet:
        """What was credited and paid, and what is left of each invoice."""
        credited = _summed(Invoice.objects.all(), "gross", by="credits")
        paid = _summed(Payment.objects.of_invoices(), "amount", by="invoice")
        left = ExpressionWrapper(F("due") - F("credited") - F("paid"), output_field=MONEY)
        balance = Round(left, PLACES, output_field=MONEY)  # SQLite's own sums are a hair off
        return self.annotate(credited=credited, paid=paid).annotate(balance=balance)  # type: ignore[no-redef] # told in Invoice

    def asking(self) -> InvoiceQuerySet:
        """Those that ask for money: invoices and deposit invoices."""
        return self.exclude(kind=Kind.CREDIT)

    def open(self) -> InvoiceQuerySet:
        """Those on which something is left to pay, or to pay back; the oldest due first."""
        rows = self.asking().with_balance().filter(~Q(balance=0))
        return rows.select_related("client", "case").order_by("due_on", "pk")


class Invoice(Vouched, KeptForEver):
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

    covers = (
        Cover(
            plain=(
                "number kind series sequence draft client case credits currency issued_on "
                "due_on net vat gross prepaid due xml_name xml_sha256 paper issued_at issued_by"
            ),
            personal="content",
        ),
    )

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
                # Equal to the cent: SQLite adds decimals up as binary fractions.
                condition=Q(gross__gt=F("net") + F("vat") - HALF_A_CENT)
                & Q(gross__lt=F("net") + F("vat") + HALF_A_CENT)
                & Q(due__gt=F("gross") - F("prepaid") - HALF_A_CENT)
                & Q(due__lt=F("gross") - F("prepaid") + HALF_A_CENT),
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
        """The page of the issued invoice."""
        return reverse("invoices:invoice", args=[self.number])

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refused: a number that was given out must be found for as long as the books are kept."""
        raise InvoiceKeptError(number=self.number)

    @property
    def log_key(self) -> str:
        """How the log and the papers name this invoice."""
        return f"invoice:{self.number}"

    @property
    def is_credit(self) -> bool:
        """Whether it is a credit note."""
        return self.kind == Kind.CREDIT


class TaxRow(Vouched, KeptForEver):
    """What one invoice adds to the books under one tax: less than zero where it takes away."""

    class Part(models.TextChoices):
        """Where the row stands in the books: a sale, a deposit, or a deposit taken off later."""

        SALE = "sale", pgettext_lazy("in the books", "sale")
        DEPOSIT = "deposit", pgettext_lazy("in the books", "deposit")
        DEDUCTION = "deduction", pgettext_lazy("in the books", "deposit deducted")

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="tax_rows")
    part = models.CharField(max_length=9, choices=Part)
    category = models.CharField(max_length=2, choices=Category)
    rate_pct = models.DecimalField(max_digits=5, decimal_places=2)
    base = models.DecimalField(max_digits=14, decimal_places=2)
    tax = models.DecimalField(max_digits=14, decimal_places=2)

    covers = (Cover(plain="invoice part category rate_pct base tax"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.invoice_id} {self.category} {self.rate_pct}"


class Deduction(Vouched, KeptForEver):
    """A deposit invoice taken off a later invoice: once, and whole."""

    deposit = models.OneToOneField(Invoice, models.PROTECT, related_name="deduction")
    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="deductions")
    amount = models.DecimalField(max_digits=14, decimal_places=2)

    covers = (Cover(plain="deposit invoice amount"),)

    objects = VouchedQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.deposit_id} in {self.invoice_id}"


class PaymentQuerySet(VouchedQuerySet["Payment"]):
    """Payments by what they pay."""

    def of_charges(self) -> PaymentQuerySet:
        """Late charges that came, and their reversals: they change the balance of no invoice."""
        return self.filter(Q(sort="charges") | Q(reverses__sort="charges"))

    def of_invoices(self) -> PaymentQuerySet:
        """Those that change the balance of an invoice."""
        return self.exclude(Q(sort="charges") | Q(reverses__sort="charges"))


class Payment(Vouched, KeptForEver):
    """Money that came (more than zero) or went back; a mistake is reversed by another row.

    Late charges are penalty and fixed fee as a reminder claimed them; ``fee_part`` is the fee.
    """

    class Sort(models.TextChoices):
        """Why money moved; the sign of the amount follows from it."""

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

    covers = (
        Cover(
            plain="invoice sort amount means paid_on fee_part reverses noted_at noted_by",
            personal="note",
        ),
    )

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
        """Whether it paid late charges, or takes such a payment back."""
        return (self.reverses or self).sort == self.Sort.CHARGES

    @property
    def may_be_reversed(self) -> bool:
        """A set-off has two sides, which stand or fall together."""
        if self.sort == self.Sort.REVERSAL or self.means == Means.SET_OFF:
            return False
        return not hasattr(self, "reversal")


class ClosedYear(Vouched, KeptForEver):
    """A year of the books in which nothing more may be issued, credited or paid."""

    year = models.PositiveSmallIntegerField(primary_key=True)
    totals = models.JSONField()
    closed_at = models.DateTimeField()
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    covers = (Cover(plain="year totals closed_at closed_by"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["-year"]

    def __str__(self) -> str:
        return str(self.year)


def operation_of(invoice: Invoice) -> str:
    """What was sold, as the paper says; a credit note is about what its invoice sold."""
    return str((invoice.credits or invoice).content.get("operation") or SERVICES)
