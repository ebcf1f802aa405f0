"""What goes into the work and what comes out: materials, removed parts, new parts."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.instruments.kinds import material_label
from repairs.language.text import decimal_words, labelled


class MaterialUse(models.Model):
    """A material that went into the work, with its lot."""

    intervention = models.ForeignKey(
        "repairs.Intervention", models.PROTECT, related_name="materials"
    )
    name = models.CharField(_("material"), max_length=120)
    lot = models.CharField(
        _("maker and lot"), max_length=120, blank=True, help_text=_("As the pot or packet says.")
    )
    amount = models.DecimalField(
        _("amount"),
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    unit = models.CharField(_("unit"), max_length=12, blank=True)
    glue_t_c = models.DecimalField(
        _("temperature of the glue"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    price = models.DecimalField(
        _("price to charge"),
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text=_("Of the whole amount, before tax; empty when it is not charged apart."),
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def amount_words(self) -> str:
        """Amount and unit; empty when nobody weighed it."""
        return "" if self.amount is None else f"{decimal_words(self.amount)} {self.unit}".strip()


class RemovedPart(models.Model):
    """What was taken off: its bag, where it sat, and what became of it."""

    class Fate(models.TextChoices):
        """Where it is now; a part of an old instrument is never simply gone."""

        KEPT = "kept", _("kept here with the record")
        GIVEN_BACK = "given_back", _("given back to the owner")
        REFITTED = "refitted", _("put back in its place")
        SAMPLED = "sampled", _("sampled: a piece of it was used up by a test")
        DISCARDED = "discarded", _("discarded, as the owner agreed")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="removed_parts")
    number = models.PositiveSmallIntegerField(editable=False)
    intervention = models.ForeignKey(
        "repairs.Intervention", models.PROTECT, related_name="removed_parts"
    )
    part = models.ForeignKey(
        "repairs.Part",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="removed_pieces",
        verbose_name=_("part"),
    )
    description = models.CharField(_("what it is"), max_length=200)
    position = models.CharField(
        _("where it sat"),
        max_length=200,
        blank=True,
        help_text=_("Side, its number among its like, which way round."),
    )
    is_consumable = models.BooleanField(
        _("strings, cotton or rosin"), default=False, help_text=_("They are one line together.")
    )
    photo = models.ForeignKey(
        "repairs.Photo",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("photo"),
    )
    fate = models.CharField(_("what became of it"), max_length=10, choices=Fate, default=Fate.KEPT)
    fate_words = models.CharField(
        _("who agreed, when; or where it lies"), max_length=300, blank=True
    )
    removed_at = models.DateTimeField()
    removed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    fate_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_bag_a_number"),
            models.CheckConstraint(
                condition=~Q(fate__in=["discarded", "sampled"]) | ~Q(fate_words=""),
                name="discarded_part_says_who_agreed",
            ),
        ]

    def __str__(self) -> str:
        return labelled(self.bag, self.description)

    @property
    def bag(self) -> str:
        """What stands on its bag: the case and its own number."""
        return f"{self.case.number}/{self.number}"


class NewPart(models.Model):
    """A part put in, of what, from where, and how it can be told from the old work."""

    class Origin(models.TextChoices):
        """Where its material came from, which decides what proof of lawful wood there is."""

        WOOD_STORE = "wood_store", _("the wood store")
        MADE = "made", _("made here of bought material")
        BOUGHT = "bought", _("bought")
        OWNER = "owner", _("brought by the owner")

    intervention = models.ForeignKey(
        "repairs.Intervention", models.PROTECT, related_name="new_parts"
    )
    part = models.ForeignKey(
        "repairs.Part",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="new_pieces",
        verbose_name=_("part"),
    )
    description = models.CharField(_("what it is"), max_length=200)
    material = models.CharField(_("material"), max_length=40)
    origin = models.CharField(_("from where"), max_length=10, choices=Origin)
    withdrawal = models.OneToOneField(
        "repairs.Withdrawal", models.PROTECT, null=True, related_name="new_part"
    )
    supplier = models.CharField(_("supplier and lot"), max_length=160, blank=True)
    marking = models.CharField(
        _("how it is told from the old"),
        max_length=160,
        blank=True,
        help_text=_("Signed, dated, branded, under ultraviolet: where and how."),
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(origin="wood_store") | Q(withdrawal__isnull=False),
                name="part_of_the_store_has_its_piece",
            )
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def material_words(self) -> str:
        """The material in the reader's language."""
        return material_label(self.material)
