"""The register of instruments: what each is, by whom, and whose."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.hazards import Standing, fill_standing, grouped
from repairs.instruments.kinds import kind_of
from repairs.instruments.pattern import Kind
from repairs.language.text import folded, in_language, sought


class InstrumentQuerySet(models.QuerySet["Instrument"]):
    """Instruments by likeness and by words."""

    def alike(self, instrument: Instrument) -> InstrumentQuerySet:
        """Those that may be the same object: same serial number, or same owner, kind and maker."""
        same = Q(
            owner_id=instrument.owner_id,
            kind=instrument.kind,
            folded_maker=folded(instrument.maker),
        )
        if instrument.serial.strip():
            # Within the kind: a violin and a guitar may both bear number 12.
            same |= Q(kind=instrument.kind, serial__iexact=instrument.serial.strip())
        return self.filter(same).exclude(pk=instrument.pk)

    def matching(self, words: str) -> InstrumentQuerySet:
        """Those in which each word stands: maker, name, kind, label, place, number or owner."""
        found = self
        for word in sought(words):
            found = found.filter(
                Q(folded_maker__contains=word)
                | Q(folded_text__contains=word)
                | Q(number__icontains=word)
                | Q(owner__folded_name__contains=word)
            )
        return found

    def with_hazards(self) -> list[Instrument]:
        """All of them, each with what stands against it, by one query more for the whole list."""
        found = list(self)
        fill_standing(found, self.values("pk"))
        return found


class Instrument(models.Model):
    """One instrument, identified for good by its shop number."""

    class MakerSurety(models.TextChoices):
        """How surely the maker is known; a label alone makes nobody its maker."""

        SIGNED = "signed", _("signed")
        ATTRIBUTED = "attributed", _("attributed")
        WORKSHOP_OF = "workshop_of", _("workshop of")
        UNKNOWN = "unknown", _("unknown")

    number = models.CharField(_("number"), max_length=12, unique=True, editable=False)
    sequence = models.PositiveIntegerField(unique=True, editable=False)  # numbers sort by it
    kind = models.CharField(_("kind"), max_length=40)
    owner = models.ForeignKey(
        "repairs.Client", models.PROTECT, related_name="instruments", verbose_name=_("owner")
    )
    name = models.CharField(
        _("name"),
        max_length=160,
        blank=True,
        help_text=_("What its owner calls it, or its title in a collection."),
    )
    maker = models.CharField(_("maker"), max_length=160, blank=True)
    maker_surety = models.CharField(
        _("how sure"), max_length=12, choices=MakerSurety, default=MakerSurety.UNKNOWN
    )
    place_made = models.CharField(_("place"), max_length=160, blank=True)
    date_text = models.CharField(
        _("date"),
        max_length=60,
        blank=True,
        help_text=_("1771, 1650–1720, c. 1720, 18th century."),
    )
    year_first = models.SmallIntegerField(null=True, editable=False)
    year_last = models.SmallIntegerField(null=True, editable=False)
    serial = models.CharField(_("serial or inventory number"), max_length=80, blank=True)
    label_text = models.TextField(
        _("label, word for word"),
        max_length=4000,
        blank=True,
        help_text=_("Keep the lines and the spelling as they are."),
    )
    marks = models.TextField(_("marks, stamps, inscriptions"), max_length=4000, blank=True)
    hs_number = models.CharField(
        _("Hornbostel–Sachs number"),
        max_length=40,
        blank=True,
        help_text=_("Filled from the kind when left empty."),
    )
    # The mirror image of the usual one: pictures of parts and charts are turned round with it.
    left_handed = models.BooleanField(
        _("left-handed"),
        default=False,
        db_default=False,
        help_text=_("Built or strung for the left hand: maps, charts and drawings are mirrored."),
    )
    key_count = models.PositiveSmallIntegerField(_("number of keys"), null=True, blank=True)
    mass_g = models.PositiveIntegerField(_("mass"), null=True, blank=True, help_text="g")
    accessories = models.TextField(
        _("accessories"),
        max_length=2000,
        blank=True,
        help_text=_("Case, bow, belt, spare strings: one a line."),
    )
    missing = models.TextField(
        _("missing parts"), max_length=2000, blank=True, help_text=_("One a line.")
    )
    # The owner's word for the insurance; the house appraises nothing.
    declared_value = models.DecimalField(
        _("value declared by the owner"),
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    currency = models.CharField(_("currency"), max_length=3, default="EUR")
    provenance = models.TextField(_("history and proof of ownership"), max_length=4000, blank=True)
    restrictions = models.TextField(
        _("restrictions"),
        max_length=2000,
        blank=True,
        help_text=_("Deposit, listing, lender’s conditions, sampling or photos refused."),
    )
    folded_maker = models.CharField(max_length=200, blank=True, editable=False)
    folded_text = models.TextField(blank=True, editable=False)
    created_at = models.DateTimeField(editable=False)

    objects = InstrumentQuerySet.as_manager()

    class Meta:
        verbose_name = _("instrument")
        ordering = ["-sequence"]
        constraints = [
            models.CheckConstraint(
                condition=Q(year_first__isnull=True) | Q(year_last__gte=F("year_first")),
                name="instrument_years_in_order",
            ),
            models.CheckConstraint(
                condition=Q(declared_value__isnull=True) | Q(declared_value__gte=0),
                name="instrument_value_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return ", ".join(part for part in (self.name or self.kind_label, self.maker) if part)

    def save(self, *args: object, **kwargs: object) -> None:
        """Fold maker and words for the search first."""
        self.folded_maker = folded(self.maker)[:200]
        self.folded_text = folded(
            " ".join((self.name, self.kind_label, self.label_text, self.place_made, self.serial))
        )
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def get_absolute_url(self) -> str:
        """The page of the instrument."""
        return reverse("instruments:detail", args=[self.number])

    @property
    def log_key(self) -> str:
        """Under which key the log keeps what was done to it."""
        return f"instrument:{self.number}"

    @property
    def pattern(self) -> Kind:
        """What is known of its kind; the kind for all the rest when its file is gone."""
        return kind_of(self.kind)

    @property
    def kind_label(self) -> str:
        """The kind in the reader's language."""
        return in_language(self.pattern.label)

    @cached_property
    def standing_hazards(self) -> tuple[Standing, ...]:
        """The dangers that nobody lifted; a list of instruments gets them by ``fill_standing``."""
        return grouped(self.hazard_rows.standing())

    @cached_property
    def hazard_history(self) -> tuple[HazardNoted, ...]:
        """Every hazard that was ever noted, the newest first, with its lifting."""
        return tuple(self.hazard_rows.with_lift())

    @property
    def accessory_lines(self) -> list[str]:
        """What belongs to it, one thing a line."""
        return [line.strip() for line in self.accessories.splitlines() if line.strip()]

    @property
    def missing_lines(self) -> list[str]:
        """What is missing of it, one thing a line."""
        return [line.strip() for line in self.missing.splitlines() if line.strip()]


class InstrumentSeries(models.Model):
    """The last shop number given; the row is locked while one is taken."""

    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return str(self.last)
