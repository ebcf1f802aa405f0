"""What a person answers to an estimate: with a signature, through the link, or by word of mouth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.estimates.consent.said import SPOKEN, Said, why_not_by_word
from repairs.estimates.consent.signature import SignatureError, Strokes, read_strokes
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate
from repairs.estimates.standing import standing_decision
from repairs.screens.fields import LocalMomentInput

DECLINED = "declined"
SLACK = dt.timedelta(minutes=2)  # between the clock of the page and the server's


class DecisionForm(forms.Form):
    """Which option, by whom; whether with what cannot be undone, and in the place of what."""

    replaces = forms.BooleanField(
        label=_("Replace that decision with this one"),
        error_messages={"required": _("A decision stands already: tick that it is replaced.")},
    )
    choice = forms.ChoiceField(label=_("decision"), widget=forms.RadioSelect)
    irreversible_agreed = forms.BooleanField(
        label=_("I also agree to what is marked ✕ in the option chosen: it cannot be undone"),
        required=False,
    )
    name = forms.CharField(
        label=_("name of the person who decides"),
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    may_decide = forms.BooleanField(
        label=_("I am the owner or may decide for them"), required=False
    )

    def __init__(self, *args: Any, estimate: Estimate, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.estimate = estimate
        self.content = shown_content(estimate)
        self.standing = standing_decision(estimate)
        if self.standing is None:
            del self.fields["replaces"]
        choices = [(str(one["number"]), choice_words(one)) for one in self.content["options"]]
        field = self.fields["choice"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - it is declared so
        field.choices = [*choices, (DECLINED, _("None of them: no work is done"))]
        if not any(one["irreversible"] or one["sampling"] for one in self.content["options"]):
            del self.fields["irreversible_agreed"]

    def said(self, how: str) -> Said:
        """What was decided, ready for ``decide``; ``how`` is by which way it was said."""
        given = self.cleaned_data
        is_declined = given["choice"] == DECLINED
        option = None
        if not is_declined:
            option = self.estimate.options.get(position=int(given["choice"]))
        return Said(
            decision=Consent.Decision.DECLINED if is_declined else Consent.Decision.AGREED,
            how=how,
            name=given["name"],
            option=option,
            may_decide=given["may_decide"],
            replaces=given.get("replaces", False),
            irreversible_agreed=given.get("irreversible_agreed", False),
            **self.how_said(),
        )

    def how_said(self) -> dict[str, Any]:
        """What this way of saying it adds; each form below knows its own."""
        return {}


class SignedForm(DecisionForm):
    """Signed with a finger or a pen; or, without script or hand, by typing the name once more."""

    signature = forms.CharField(required=False, widget=forms.HiddenInput)
    signed_name = forms.CharField(
        label=_("or sign by typing the name once more"),
        max_length=160,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_signature(self) -> Strokes:
        """The strokes of the pen. Refuses a dot, and what arrived broken."""
        try:
            return read_strokes(self.cleaned_data["signature"])
        except SignatureError:
            raise forms.ValidationError(
                _("This is too little to be a signature, or did not arrive whole. Sign again.")
            ) from None

    def how_said(self) -> dict[str, Any]:
        """The strokes, and the name typed below them."""
        given = self.cleaned_data
        return {"signature": given["signature"], "signed_name": given["signed_name"]}


class SpokenForm(DecisionForm):
    """By telephone or message: who, when, in which words, and how it was confirmed."""

    how = forms.ChoiceField(
        label=_("how"), choices=[(how.value, how.label) for how in SPOKEN], widget=forms.RadioSelect
    )
    said_at = forms.DateTimeField(label=_("when"), widget=LocalMomentInput())
    words = forms.CharField(
        label=_("words agreed"),
        max_length=1500,
        widget=forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
        help_text=_("As they were said or written."),
    )
    confirmation = forms.CharField(
        label=_("confirmation sent"),
        max_length=200,
        required=False,
        help_text=_("How and when, such as: e-mail of today. Needed for an agreement."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["may_decide"].label = _("They are the owner or may decide for them")
        self.fields.pop("irreversible_agreed", None)  # not by word of mouth
        self.order_fields(["replaces", "how", "said_at", "name", "may_decide", "choice", "words"])
        self._mark_too_heavy()

    def _mark_too_heavy(self) -> None:
        """Say beforehand which options a word of mouth cannot agree to, and why."""
        rows = {str(row.position): row for row in self.estimate.options.all()}
        said = {key: why_not_by_word(self.estimate, row) for key, row in rows.items()}
        self.too_heavy = {key: why for key, why in said.items() if why}
        field: Any = self.fields["choice"]
        mark = _("needs a signature or the link")
        field.choices = [
            (key, f"{label} · ✕ {mark}" if key in self.too_heavy else label)
            for key, label in field.choices
        ]

    def clean_choice(self) -> str:
        """The option chosen, unless it is too heavy to be agreed to by word of mouth."""
        choice: str = self.cleaned_data["choice"]
        if why := self.too_heavy.get(choice):
            raise forms.ValidationError(why[:1].upper() + why[1:])
        return choice

    def clean_said_at(self) -> dt.datetime:
        """When it was said; a clock a little ahead is taken as now."""
        moment: dt.datetime = self.cleaned_data["said_at"]
        now = timezone.now()
        if moment > now + SLACK:
            raise forms.ValidationError(_("This cannot have been said in the future."))
        return min(moment, now)

    def how_said(self) -> dict[str, Any]:
        """The very words, how they were confirmed, and when they were said."""
        given = self.cleaned_data
        return {name: given[name] for name in ("words", "confirmation", "said_at")}


def shown_content(estimate: Estimate) -> Mapping[str, Any]:
    """What the issued paper says: the same for every eye."""
    assert estimate.paper is not None  # noqa: S101 - asked only of issued ones
    content: Mapping[str, Any] = estimate.paper.data["content"]
    return content


def choice_words(option: Mapping[str, Any]) -> str:
    """“1 · Make it playable · 478.32 – 898.32 EUR”."""
    parts = (
        str(option["number"]),
        capfirst(option["kind_label"]),
        option["title"],
        option["total"],
    )
    return " · ".join(part for part in parts if part)
