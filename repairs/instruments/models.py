"""The register of instruments: what it is, by whom, of what, and its parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.hazards import Standing, grouped
from repairs.instruments.kinds import kind_of, material_label, protection_of
from repairs.instruments.pattern import Kind
from repairs.instruments.scales import scale_label
from repairs.language.text import folded, in_language


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
        for word in folded(words).split():
            found = found.filter(
                Q(folded_maker__contains=word)
                | Q(folded_text__contains=word)
                | Q(number__icontains=word)
                | Q(owner__folded_name__contains=word)
            )
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


class Dimension(models.Model):
    """One measured size of the whole instrument, under the kind's name for it."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="dimensions")
    key = models.CharField(_("dimension"), max_length=40)
    value_mm = models.DecimalField(
        _("value"), max_digits=7, decimal_places=2, validators=[MinValueValidator(0)]
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "key"], name="one_dimension_a_key"),
            models.CheckConstraint(
                condition=Q(value_mm__gt=0) & Q(value_mm__lt=5000), name="dimension_plausible"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.value_mm} mm"

    @property
    def label(self) -> str:
        """The kind's name for it; the bare key where the kind knows no such size any more."""
        rows = self.instrument.pattern.dimensions
        return next((in_language(row.label) for row in rows if row.key == self.key), self.key)


class Part(models.Model):
    """A node of the instrument's own parts tree, copied from its kind when it is entered."""

    class Originality(models.TextChoices):
        """Whether the maker made it, or who after him."""

        ORIGINAL = "original", _("original")
        OLD = "old_replacement", _("old replacement")
        LATER = "later_replacement", _("later replacement")
        UNKNOWN = "unknown", _("unknown")

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="parts")
    parent = models.ForeignKey("self", models.CASCADE, null=True, related_name="children")
    key = models.CharField(max_length=40)
    own_label = models.CharField(_("name of the part"), max_length=80, blank=True)
    position = models.PositiveSmallIntegerField()
    depth = models.PositiveSmallIntegerField(default=0)
    # Empty until somebody looked: white bone, ivory and casein are told apart under the lens, not
    # from the armchair.
    material = models.CharField(_("material"), max_length=40, blank=True)
    material_note = models.CharField(
        _("how the material was identified"), max_length=160, blank=True
    )
    originality = models.CharField(
        _("originality"), max_length=20, choices=Originality, default=Originality.UNKNOWN
    )

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "key"], name="one_part_a_key"),
        ]

    def __str__(self) -> str:
        return self.label()

    def label(self, code: str | None = None) -> str:
        """Its own name, else its kind's, in the language of ``code`` or the one in force."""
        if self.own_label:
            return self.own_label
        pattern = next((p for p in self.instrument.pattern.parts if p.key == self.key), None)
        return in_language(pattern.label, code) if pattern else self.key

    @property
    def material_label(self) -> str:
        """The material in the reader's language; empty until it was seen."""
        return material_label(self.material) if self.material else ""

    @property
    def originality_label(self) -> str:
        """The originality in the reader's language."""
        return scale_label("originality", self.originality)

    @property
    def protection(self) -> Mapping[str, Any] | None:
        """What species protection says of its material; None when it is free."""
        return protection_of(self.material)
