"""The docket: one stay of one instrument, its steps, and who holds the instrument."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.cases.reasons import endings_for, reason_label, steps_for
from repairs.instruments.hazards import fill_standing
from repairs.language.text import folded, sought

# An owner who says nothing has allowed nothing: turning a wheel with a lifted band, or stringing a
# loose bar to pitch, can cost the instrument.
LEAVES: Mapping[str, Any] = {
    "may_turn": _("wheel may be turned"),
    "may_string": _("may be strung to pitch"),
    "may_play": _("may be played"),
}


class CaseQuerySet(models.QuerySet["Case"]):
    """Cases by who may see them, whether they go on, and what was said in them."""

    def visible_to(self, user: AbstractBaseUser | AnonymousUser) -> CaseQuerySet:
        """Every role of the house sees every case; a stranger sees none."""
        return self if getattr(user, "is_active", False) else self.none()

    def with_names(self) -> CaseQuerySet:
        """With the instrument and the owner, for lists that name both."""
        return self.select_related("instrument", "owner")

    def open(self) -> CaseQuerySet:
        """Those that have not ended."""
        return self.filter(ended_at=None)

    def matching(self, words: str) -> CaseQuerySet:
        """By every word, whatever its case and accents, in number, talk, owner or instrument."""
        found = self
        for word in sought(words):
            found = found.filter(
                Q(number__contains=word)
                | Q(folded_words__contains=word)
                | Q(owner__folded_name__contains=word)
                | Q(instrument__folded_maker__contains=word)
                | Q(instrument__folded_text__contains=word)
                | Q(instrument__number__icontains=word)
            )
        return found

    def with_hazards(self, most: int) -> list[Case]:
        """The first of them, each with its instrument and what stands against that."""
        found = list(self.select_related("instrument")[:most])
        here = [case.instrument for case in found]
        fill_standing(here, [one.pk for one in here])
        return found


class Case(models.Model):
    """One stay. Everything that happens to the instrument meanwhile hangs on it."""

    class Step(models.TextChoices):
        """How far a stay has come; ``reasons.py`` says which steps each reason for coming has."""

        TAKEN_IN = "taken_in", _("taken in")
        LOOKED_OVER = "looked_over", _("looked over")
        REPORTED = "reported", _("reported")
        AGREED = "agreed", _("agreed")
        ON_BENCH = "on_bench", _("on the bench")
        PROVED = "proved", _("proved")
        HANDED_BACK = "handed_back", _("handed back")
        TO_STOCK = "to_stock", _("to stock")
        SOLD = "sold", _("sold")

    class WaitsFor(models.TextChoices):
        """Why nobody can go on with it now."""

        OWNER = "owner", _("the owner")
        PART = "part", _("a part")
        GLUE = "glue", _("glue or varnish to set")
        SEASON = "season", _("the season")

    class Leave(models.TextChoices):
        """What the owner allows meanwhile; “ask” is the answer of a silent owner."""

        YES = "yes", _("yes")
        NO = "no", _("no")
        ASK = "ask", _("not decided: ask first")

    number = models.CharField(_("number"), max_length=12, unique=True, editable=False)
    year = models.PositiveSmallIntegerField(editable=False)
    sequence = models.PositiveIntegerField(editable=False)  # numbers sort by it, not as text
    instrument = models.ForeignKey("repairs.Instrument", models.PROTECT, related_name="cases")
    owner = models.ForeignKey("repairs.Client", models.PROTECT, related_name="cases")
    reason = models.CharField(_("reason"), max_length=20)
    owner_words = models.TextField(
        _("the owner’s words"),
        max_length=6000,
        help_text=_("What is wrong or wished, as they say it."),
    )
    state_at_intake = models.TextField(
        _("state at intake, in three lines"),
        max_length=1200,
        help_text=_("What anyone can see at the counter. It stands on the receipt."),
    )
    received_items = models.TextField(
        _("received with it"), max_length=2000, blank=True, help_text=_("One a line.")
    )
    bringer_name = models.CharField(
        _("brought by"),
        max_length=160,
        blank=True,
        help_text=_("When it is not the owner in person."),
    )
    bringer_contact = models.CharField(_("how to reach them"), max_length=160, blank=True)
    bringer_may_agree = models.BooleanField(_("they may agree to work and cost"), default=False)
    title_proof = models.CharField(
        _("proof of ownership seen"),
        max_length=200,
        blank=True,
        help_text=_("Bill, insurance paper, inventory; or that none was asked for."),
    )
    received_at = models.DateTimeField(_("received"))
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    promised_on = models.DateField(_("promised for"), null=True, blank=True)
    review_on = models.DateField(_("to be collected or reviewed by"), null=True, blank=True)
    insured_value = models.DecimalField(
        _("value insured during the stay"), max_digits=12, decimal_places=2, null=True, blank=True
    )
    liability = models.CharField(
        _("liability and insurance"),
        max_length=300,
        blank=True,
        help_text=_("Who insures what during the stay."),
    )
    place = models.CharField(_("place in the shop"), max_length=80)
    room_t_c = models.DecimalField(
        _("room temperature"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    room_rh_pct = models.DecimalField(
        _("room humidity"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    may_turn = models.CharField(
        _("may its wheel be turned"), max_length=3, choices=Leave, default=Leave.ASK
    )
    may_string = models.CharField(
        _("may it be strung to pitch"), max_length=3, choices=Leave, default=Leave.ASK
    )
    may_play = models.CharField(
        _("may it be played"), max_length=3, choices=Leave, default=Leave.ASK
    )
    leave_decided_by = models.CharField(_("who decided this"), max_length=160, blank=True)
    consumables_kept = models.BooleanField(
        _("the owner wants old strings and cotton back"), default=False
    )
    step = models.CharField(max_length=12, choices=Step, default=Step.TAKEN_IN)
    waits_for = models.CharField(_("waits for"), max_length=8, choices=WaitsFor, blank=True)
    waits_note = models.CharField(_("note"), max_length=200, blank=True)
    waits_since = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    next_finding = models.PositiveSmallIntegerField(default=1)
    folded_words = models.TextField(blank=True, editable=False)

    objects = CaseQuerySet.as_manager()

    class Meta:
        ordering = ["-year", "-sequence"]
        indexes = [models.Index(fields=["ended_at", "promised_on"], name="case_bench")]
        constraints = [
            models.UniqueConstraint(fields=["year", "sequence"], name="one_case_a_number"),
            models.CheckConstraint(
                condition=Q(room_rh_pct__isnull=True) | Q(room_rh_pct__range=(0, 100)),
                name="case_humidity_possible",
            ),
            models.CheckConstraint(
                condition=Q(insured_value__isnull=True) | Q(insured_value__gte=0),
                name="case_value_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def save(self, *args: object, **kwargs: object) -> None:
        """Fold the words for the search first, so that no row is found by its old words."""
        self.folded_words = folded(f"{self.owner_words} {self.state_at_intake}")
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def get_absolute_url(self) -> str:
        """The page of the case."""
        return reverse("bench:case", args=[self.number])

    @property
    def log_key(self) -> str:
        """How the log and the papers name this case."""
        return f"case:{self.number}"

    @property
    def reason_label(self) -> str:
        """Why it came, in the reader's language."""
        return reason_label(self.reason)

    @property
    def path(self) -> list[str]:
        """The steps that this stay goes through, as its reason has it, to the end that it took."""
        steps = steps_for(self.reason)
        return [*steps[:-1], self.step] if self.step in self.endings else steps

    @property
    def endings(self) -> list[str]:
        """The steps that end this stay: usually one; an instrument of the house has several."""
        return endings_for(self.reason)

    @property
    def received_lines(self) -> list[str]:
        """What came with it, one thing a line, as it is ticked off at the return."""
        return [line.strip() for line in self.received_items.splitlines() if line.strip()]

    @property
    def leaves_asked(self) -> tuple[str, ...]:
        """What may be done with it that can be asked of its kind: a violin has no wheel to turn.

        What somebody did decide about stays, though the kind was changed meanwhile.
        """
        permissions = self.instrument.pattern.permissions
        return tuple(
            name
            for name in LEAVES
            if name.removeprefix("may_") in permissions or getattr(self, name) != self.Leave.ASK
        )

    @property
    def leaves(self) -> tuple[tuple[str, str], ...]:
        """What may be done with it, in words: (question, answer)."""
        return tuple(
            (str(LEAVES[name]), str(getattr(self, f"get_{name}_display")()))
            for name in self.leaves_asked
        )

    def is_late(self, today: dt.date) -> bool:
        """Whether the promised day has gone by and it is still here."""
        return bool(self.promised_on and self.ended_at is None and self.promised_on < today)
