"""Those who work here, and those who own instruments."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.core.validators import RegexValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.language.text import LANGUAGES, OWN_NAMES, folded, sought
from repairs.law.countries import country_name
from repairs.people.house_models import country_field


class Role(models.TextChoices):
    """What somebody is in the house; ``access.py`` says what each may do."""

    PRINCIPAL = "principal", _("principal")
    LUTHIER = "luthier", _("luthier")
    APPRENTICE = "apprentice", _("apprentice")
    BOOKKEEPER = "bookkeeper", _("bookkeeper")
    READER = "reader", _("reader")


class User(AbstractUser):
    """Someone who signs in. What they may do follows from the role alone; see ``access.py``."""

    role = models.CharField(_("role"), max_length=12, choices=Role, default=Role.READER)
    language = models.CharField(
        _("language"), max_length=2, choices=OWN_NAMES, default=LANGUAGES[0]
    )
    qualification = models.CharField(
        _("qualification"),
        max_length=160,
        blank=True,
        default="",
        db_default="",
        help_text=_("As reports name it: luthier, 31 years in the trade."),
    )

    class Meta:
        ordering = ["last_name", "first_name", "username"]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def initials(self) -> str:
        """Two letters for narrow columns; of the user name where no name is known."""
        letters = [word[0] for word in (self.first_name, self.last_name) if word]
        return "".join(letters).upper() or self.username[:2].upper()


FOLDED_MOST = 200


class ClientQuerySet(models.QuerySet["Client"]):
    """Clients by likeness and by words."""

    def like(self, *, name: str, email: str, phone: str) -> ClientQuerySet:
        """Those who may be the same person: same name without accents, e-mail or telephone."""
        same = models.Q(folded_name=folded(name)[:FOLDED_MOST])
        if email:
            same |= models.Q(email__iexact=email)
        digits = "".join(c for c in phone if c.isdigit())
        if len(digits) >= 6:
            # An extension or a short number of six digits is still worth a question; fewer match
            # half the town.
            same |= models.Q(phone_digits__endswith=digits[-9:])
        return self.filter(same)

    def matching(self, words: str) -> ClientQuerySet:
        """By every word of the name, whatever its case and accents."""
        found = self
        for word in sought(words):
            found = found.filter(folded_name__contains=word)
        return found


class Client(models.Model):
    """An owner, an agent or an institution."""

    class Kind(models.TextChoices):
        """Whether texts for a consumer or for a business follow."""

        PERSON = "person", _("person")
        INSTITUTION = "institution", _("institution")
        HOUSE = "house", _("the workshop itself")

    kind = models.CharField(_("kind"), max_length=12, choices=Kind, default=Kind.PERSON)
    name = models.CharField(_("name"), max_length=160)
    contact = models.CharField(
        _("contact person"), max_length=160, blank=True, help_text=_("For an institution.")
    )
    address = models.TextField(_("address"), max_length=400, blank=True)
    country = country_field()
    postcode = models.CharField(_("postcode"), max_length=12, blank=True)
    city = models.CharField(_("town"), max_length=80, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    vat_id = models.CharField(_("VAT number"), max_length=20, blank=True)
    company_number = models.CharField(
        _("company number"),
        max_length=20,
        blank=True,
        help_text=_("In France the SIREN, 9 digits, or the SIRET, 14 digits."),
    )
    buyer_reference = models.CharField(
        _("their reference"),
        max_length=80,
        blank=True,
        help_text=_("What they want to read on invoices: a cost centre, an order, a service code."),
    )
    e_address = models.CharField(
        _("address for electronic invoices"),
        max_length=80,
        blank=True,
        help_text=_("With its scheme, such as 0225:732829320; empty: the company number is used."),
        validators=[
            RegexValidator(
                r"^(\d{4}|EM):\S{1,70}$", _("Write the scheme, a colon and the address.")
            )
        ],
    )
    language = models.CharField(
        _("language of papers"), max_length=2, choices=OWN_NAMES, default=LANGUAGES[0]
    )
    # Read by everybody of the house, and by the client who asks for what is kept of him (GDPR art.
    # 15).
    note = models.TextField(_("note"), max_length=2000, blank=True)
    folded_name = models.CharField(max_length=FOLDED_MOST, db_index=True, editable=False)
    # “06 12 34 56 78” and “+33 6 12 34 56 78” end in the same nine digits.
    phone_digits = models.CharField(max_length=40, blank=True, editable=False)
    created_at = models.DateTimeField(editable=False)

    objects = ClientQuerySet.as_manager()

    class Meta:
        verbose_name = _("client")
        ordering = ["folded_name", "pk"]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        """Fold the name and keep the bare digits of the telephone, for the search."""
        self.folded_name = folded(self.name)[:FOLDED_MOST]
        self.phone_digits = "".join(c for c in self.phone if c.isdigit())
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @property
    def address_lines(self) -> list[str]:
        """The address as it is written on an envelope, without empty lines."""
        lines = (*self.address.splitlines(), self.town_line)
        return [line.strip() for line in lines if line.strip()]

    @property
    def town_line(self) -> str:
        """Postcode and town on one line."""
        return f"{self.postcode} {self.city}".strip()

    @property
    def is_business(self) -> bool:
        """Whether they buy in the way of trade, or as a public body: what texts then follow."""
        return self.kind == self.Kind.INSTITUTION or self.has_business_number

    @property
    def has_business_number(self) -> bool:
        """Whether a number shows that they are a business: what taxes abroad then follow."""
        return bool(self.vat_id or self.company_number)

    @property
    def country_words(self) -> str:
        """The country in the reader's language."""
        return country_name(self.country)


class DataConsent(Vouched):
    """What a client allowed the workshop to keep or show, when, and how it was said."""

    class Purpose(models.TextChoices):
        """For what the consent was given; each needs its own."""

        KEEP = "keep", _("keep contact data after the stay")
        PHOTOS = "photos", _("show photos of the instrument")
        CONTACT = "contact", _("be written to about upkeep")

    class How(models.TextChoices):
        """How it was said, should anyone ask for proof."""

        WRITTEN = "written", _("in writing")
        SPOKEN = "spoken", _("by word of mouth")
        MESSAGE = "message", _("by message")

    client = models.ForeignKey(Client, models.CASCADE, related_name="data_consents")
    purpose = models.CharField(_("purpose"), max_length=8, choices=Purpose)
    how = models.CharField(_("how it was said"), max_length=8, choices=How)
    given_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)

    covers = (Cover(plain="client purpose how given_at withdrawn_at"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["purpose", "-given_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(withdrawn_at__isnull=True)
                | models.Q(withdrawn_at__gte=models.F("given_at")),
                name="data_consent_withdrawn_after_given",
            )
        ]

    def __str__(self) -> str:
        return self.get_purpose_display()
