"""What the force of the wheel over a turn says, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.language.text import rounded
from repairs.readings.sheets.base import Advice, Text

FORCE_ADVICE: Mapping[str, Text] = {
    "force.once": _(
        "%(target)s: the force swings by ±%(amount)s %% (u %(u)s %%) once a turn; at %(turns)s "
        "turns a minute that is %(pace)s: %(why)s."
    ),
    "force.twice": _(
        "%(target)s: the force swings by ±%(amount)s %% (u %(u)s %%) twice a turn; at %(turns)s "
        "turns a minute that is %(pace)s: %(why)s."
    ),
    "force.often": _(
        "%(target)s: the force swings by ±%(amount)s %% (u %(u)s %%) %(order)s times a turn; at "
        "%(turns)s turns a minute that is %(pace)s: %(why)s."
    ),
    "force.in_all": _(
        "%(target)s: all lobes together make ±%(amount)s %% (u %(u)s %%) over a turn: %(why)s."
    ),
    "force.leaves": _(
        "%(target)s: the rim leaves it for a part of each turn. True the wheel first, or the tone "
        "breaks off there."
    ),
    "force.cure_once": _(
        "What swings once a turn goes when the wheel is centred on its axle: see the reading of "
        "the wheel."
    ),
    "force.cure_twice": _(
        "What swings twice a turn is an oval wheel: centring does not take it away. Bring it to "
        "its air first, then read it again."
    ),
    "force.steady": _("No lobe of the rim is sure enough to make a force swing."),
}
# How often a swing of that size is heard; common practice.
HEARD: Mapping[str, Text] = {
    "heard_seldom": _("it passes unheard, as a rule"),
    "heard_at_times": _("it is heard now and then"),
    "heard_mostly": _("it is heard more often than not"),
    "heard_nearly_always": _("it is heard nearly always"),
}


def pace_words(hz: float) -> str:
    """How often a second: “once a second”, “1.5 times a second”."""
    if abs(hz - 1.0) < 0.005:
        return gettext("once a second")
    if abs(hz - 2.0) < 0.005:
        return gettext("twice a second")
    return gettext("%(hz)s times a second") % {"hz": rounded(hz, 1)}


def force_own(line: Advice) -> dict[str, Any]:
    """What fills a sentence about the force beside the plain details."""
    hz = line.details.get("hz")
    return {} if hz is None else {"pace": pace_words(float(hz))}
