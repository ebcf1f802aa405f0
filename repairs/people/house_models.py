"""The house itself: how its papers introduce it, how it charges, and what it may charge."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

SERIES_PREFIX = RegexValidator(r"^[A-Z]{1,6}$", _("One to six capital letters, such as FA."))


def country_field() -> models.CharField[str, str]:
    """A country by its two letters."""
    return models.CharField(
        _("country"),
        max_length=2,
        default="FR",
        help_text=_("Two letters, such as FR."),
        validators=[RegexValidator(r"^[A-Z]{2}$", _("Two capital letters, such as FR."))],
    )


class House(models.Model):
    """The workshop, as its papers introduce it: a single row."""

    class VatRegime(models.TextChoices):
        """Whether VAT stands on invoices; without it, the exemption is named there."""

        NORMAL = "normal", _("charged on invoices")
        SMALL_BUSINESS = "small_business", _("not charged: small-business exemption")

    name = models.CharField(_("name of the workshop"), max_length=120)
    trade = models.CharField(_("what it does, in a line"), max_length=160, blank=True)
    address = models.TextField(_("address"), max_length=400, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    registration = models.CharField(
        _("registration"),
        max_length=160,
        blank=True,
        help_text=_("Number of the business register and of VAT, as they must stand on papers."),
    )
    currency = models.CharField(
        _("currency"),
        max_length=3,
        default="EUR",
        validators=[RegexValidator(r"^[A-Z]{3}$", _("Three capital letters, such as EUR."))],
    )
    hourly_rate = models.DecimalField(
        _("usual hourly rate, before tax"),
        max_digits=10,
        decimal_places=2,
        default=Decimal("50.00"),
        validators=[MinValueValidator(0)],
    )
    # A house rule, well below the 1,500 € above which the law wants a writing as proof (code civil
    # 1359, recalled, not verified).
    spoken_consent_most = models.DecimalField(
        _("most that may be agreed by word of mouth or message"),
        max_digits=10,
        decimal_places=2,
        default=Decimal("300.00"),
        validators=[MinValueValidator(0)],
        help_text=_("Above it a signature or the owner’s link is needed."),
    )
    terms = models.TextField(
        _("terms of the intake receipt"),
        max_length=4000,
        blank=True,
        help_text=_("Storage, liability, insurance, collection: have them checked locally."),
    )
    legal_name = models.CharField(
        _("name in the business register"),
        max_length=160,
        blank=True,
        help_text=_("When it differs from the name of the workshop."),
    )
    legal_form = models.CharField(
        _("legal form"),
        max_length=160,
        blank=True,
        help_text=_("With capital and register where the law wants them, such as “EI” or “SARL”."),
    )
    company_number = models.CharField(
        _("company number"),
        max_length=20,
        blank=True,
        help_text=_("In France the SIRET, 14 digits, or the SIREN, 9 digits."),
    )
    vat_id = models.CharField(_("VAT number"), max_length=20, blank=True)
    tax_number = models.CharField(
        _("tax number"),
        max_length=30,
        blank=True,
        help_text=_("Where invoices must bear one beside or instead of the VAT number."),
    )
    iban = models.CharField(_("IBAN"), max_length=42, blank=True)
    bic = models.CharField(_("BIC"), max_length=11, blank=True)
    country = country_field()
    postcode = models.CharField(_("postcode"), max_length=12, blank=True)
    city = models.CharField(_("town"), max_length=80, blank=True)
    vat_regime = models.CharField(
        _("VAT"), max_length=16, choices=VatRegime, default=VatRegime.NORMAL
    )
    # What was done before the day of the change stays under the regime of its own day.
    vat_regime_since = models.DateField(
        _("so since"),
        null=True,
        blank=True,
        help_text=_(
            "Empty: always. What was done before that day is billed under the other regime."
        ),
    )
    # CGI 269-2 c: VAT on services falls due with the money, on debits only by option; goods keep
    # their own rule.
    vat_on_debits = models.BooleanField(
        _("VAT of services paid on issue"),
        default=False,
        help_text=_(
            "France only: tick it if you asked the tax office to pay VAT on debits (“option pour "
            "le paiement de la taxe d’après les débits”). Without it, VAT of services is due when "
            "you are paid. Invoices then say so."
        ),
    )
    # 20 % is the French normal rate; the rates that can be chosen are dated data of ``law.rates``.
    default_rate_pct = models.DecimalField(
        _("usual VAT rate"), max_digits=4, decimal_places=2, default=Decimal("20.00")
    )
    payment_days = models.PositiveSmallIntegerField(_("days to pay"), default=30)
    # Left empty, the text of the law applies; a rate of one's own must be at least three times the
    # legal one (C. com. L441-10 II, recalled).
    penalty_rate_pct = models.DecimalField(
        _("late-payment rate a year"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        help_text=_("Empty: three times the legal rate of interest, as the paper then says."),
    )
    invoice_prefix = models.CharField(
        _("invoice numbers begin with"),
        max_length=6,
        default="FA",
        validators=[SERIES_PREFIX],
    )
    credit_prefix = models.CharField(
        _("credit note numbers begin with"),
        max_length=6,
        default="AV",
        validators=[SERIES_PREFIX],
    )

    class Meta:
        verbose_name = _("workshop")
        constraints = [
            models.CheckConstraint(
                # No member state charges more than 27 %.
                condition=models.Q(default_rate_pct__range=(0, 30)),
                name="house_rate_possible",
            ),
            models.CheckConstraint(
                condition=models.Q(penalty_rate_pct__isnull=True)
                | models.Q(penalty_rate_pct__range=(0, 60)),
                name="house_penalty_possible",
            ),
            models.CheckConstraint(
                # Two papers of a year never share a number (BOI-TVA-DECLA-30-20-20-10 §§ 70–110).
                condition=~models.Q(invoice_prefix=models.F("credit_prefix")),
                name="house_series_differ",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def pays_vat(self) -> bool:
        """Whether the house charges VAT, as it stands now."""
        return self.vat_regime == self.VatRegime.NORMAL

    def pays_vat_on(self, day: dt.date) -> bool:
        """Whether it charges VAT on what is done on that day."""
        is_before = self.vat_regime_since is not None and day < self.vat_regime_since
        return self.pays_vat is not is_before

    @property
    def pays_on_debits(self) -> bool:
        """Whether VAT of services is due on issue and not on payment: an option of French law."""
        return self.vat_on_debits and self.pays_vat and self.country == "FR"

    @property
    def lawful_name(self) -> str:
        """The name in the register where there is one; the sign over the door otherwise."""
        return self.legal_name or self.name

    @classmethod
    def present(cls) -> House:
        """The house as it is set up; before that a blank one, not saved."""
        return cls.objects.first() or cls(name="Sautereau")
