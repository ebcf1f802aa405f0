"""What the search says, as sentences: for and against, contradictions, what to look at next."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.causes.tables import Row, label_of, row_of
from repairs.findings.vocabulary import term_label, terms
from repairs.gauges.causes.look import Look
from repairs.gauges.causes.net import Value
from repairs.gauges.causes.reasons import Contradiction, Reason
from repairs.gauges.causes.search import Found
from repairs.language.text import in_language, labelled, rounded

# From this probability on, in words.
SAID = (
    (0.95, gettext_lazy("almost certain")),
    (0.8, gettext_lazy("very likely")),
    (0.5, gettext_lazy("likely")),
    (0.2, gettext_lazy("possible")),
    (0.05, gettext_lazy("not likely")),
    (0.0, gettext_lazy("hardly")),
)


def said(probability: float) -> str:
    """A probability in words."""
    return str(next(words for least, words in SAID if probability >= least))


def per_cent(probability: float, places: int = 0) -> str:
    """A probability in per cent; what is not sure is never said to be 0 or 100."""
    if probability < 0.01:
        return _("under 1 %%") % {}
    if probability > 0.99:
        return _("over 99 %%") % {}
    return _("%(share)s %%") % {"share": rounded(100 * probability, places)}


def practice_words(one: Found) -> str:
    """Where a cause starts from: common practice, and what closed cases here made of it."""
    prior = per_cent(one.prior, 1)
    if not one.confirmed.cases:
        return _("%(share)s of the cases with a complaint, by common practice") % {"share": prior}
    here = ngettext(
        "of %(n)s confirmed case here: %(confirmed)s",
        "of %(n)s confirmed cases here: %(confirmed)s",
        one.confirmed.cases,
    ) % {"n": one.confirmed.cases, "confirmed": one.confirmed.confirmed}
    return _("prior from practice %(share)s, %(here)s; together %(sharpened)s") % {
        "share": prior,
        "here": here,
        "sharpened": per_cent(one.sharpened, 1),
    }


def heard_words(kind: str, one: Found) -> Iterator[str]:
    """How often each symptom of a cause was heard where that cause was confirmed."""
    for symptom, counts in one.heard.items():
        facts = {
            "what": label_of(kind, "symptoms", symptom),
            "heard": counts.confirmed,
            "n": counts.cases,
        }
        yield _("“%(what)s” was heard in %(heard)s of %(n)s of them that were asked") % facts


def reason_words(kind: str, reason: Reason) -> str:
    """One piece of evidence as a sentence, with how much it weighs."""
    facts = {"what": _what(kind, reason), "weight": weight_words(reason.times)}
    if reason.kind == "heard":
        return _("Heard: %(what)s (%(weight)s).") % facts
    if reason.kind == "denied":
        return _("Asked and not heard: %(what)s (%(weight)s).") % facts
    if reason.kind == "finding":
        return _("Seen on the instrument: %(what)s (%(weight)s).") % facts
    if reason.kind == "again":
        return _("Heard again with a cause put out of the way: %(what)s (%(weight)s).") % facts
    if reason.kind == "check":
        return (
            _("Looked at, and it is so (%(weight)s).")
            if reason.times > 1
            else _("Looked at, and it is not so (%(weight)s).")
        ) % facts
    if reason.kind == "history":
        return _("From its history: %(what)s (%(weight)s).") % facts
    return _("Read: %(what)s (%(weight)s).") % facts


def weight_words(times: float) -> str:
    """By how much a piece of evidence multiplies or divides the odds of a cause."""
    factor = times if times > 1 else 1 / times
    places = 1 if factor < 10 else 0
    number = rounded(min(factor, 1000.0), places)
    if factor > 1000:
        return _("odds × more than 1000") if times > 1 else _("odds ÷ more than 1000")
    return (_("odds × %(n)s") if times > 1 else _("odds ÷ %(n)s")) % {"n": number}


def _what(kind: str, reason: Reason) -> str:
    if reason.kind in ("heard", "denied", "again"):
        return label_of(kind, "symptoms", reason.what)
    if reason.kind == "check":
        return label_of(kind, "causes", reason.what)
    if reason.kind == "finding":
        return term_label(reason.what) if reason.what in terms() else reason.what
    if reason.kind == "history":
        return label_of(kind, "history", reason.what, "what")
    return figure_words(kind, reason.what, reason.values)


def figure_words(kind: str, key: str, values: tuple[Value, ...]) -> str:
    """A figure with its values: “eccentricity of the wheel 0.111 mm”."""
    row = row_of(kind, "figures", key)
    read = " · ".join(_value(row, one) for one in values)
    return _("%(figure)s %(values)s") % {"figure": in_language(row["label"]), "values": read}


# Units that are kept in English, and read as words.
UNITS = {
    "": "",
    "mm": "mm",
    "N": "N",
    "cents": gettext_lazy("cents"),
    "% RH": gettext_lazy("% RH"),
    "turns/min": gettext_lazy("turns/min"),
}


def _value(figure: Row, one: Value) -> str:
    if isinstance(one.value, str):
        words = figure.get("words", {}).get(one.value)
        value = in_language(words) if words else ""
    else:
        value = f"{rounded(one.value, figure['places'])} {UNITS[figure['unit']]}".strip()
    return labelled(one.subject, value) if one.subject else value


def contradiction_words(kind: str, one: Contradiction) -> str:
    """What does not go together, as a sentence."""
    if one.kind == "unexplained":
        what = label_of(kind, "symptoms", one.what)
        return _(
            "“%(what)s” was heard, and no likely cause makes it: hear it again, and look for what "
            "is not on the list."
        ) % {"what": what}
    if one.kind == "silent":
        facts = {
            "what": label_of(kind, "symptoms", one.what),
            "cause": label_of(kind, "causes", one.cause),
        }
        return _("“%(cause)s” is likely, yet “%(what)s” was not heard: ask for it again.") % facts
    figure = label_of(kind, "figures", one.what)
    return _(
        "%(figure)s: this value goes with no likely cause, nor with a sound instrument. Read it "
        "again."
    ) % {"figure": capfirst(figure)}


def look_name(kind: str, look: Look) -> str:
    """What is looked at: the check of a cause, a sheet of readings, a symptom to hear, or how a
    cause is put out of the way for a moment."""
    if look.kind == "check":
        return in_language(row_of(kind, "causes", look.key)["check"])
    if look.kind == "undo":
        return in_language(row_of(kind, "causes", look.key)["undo"])
    if look.kind == "symptom":
        return _("Ask or listen: %(what)s") % {"what": label_of(kind, "symptoms", look.key)}
    return capfirst(label_of(kind, "looks", look.key, "gauge"))


def moved_words(kind: str, look: Look) -> str:
    """What the look would do: “would move … from 45 % to 88 % or 8 %”."""
    return _("would move “%(cause)s” from %(now)s to %(if_so)s or %(if_not)s") % {
        "cause": label_of(kind, "causes", look.cause),
        "now": per_cent(look.now),
        "if_so": per_cent(look.if_so),
        "if_not": per_cent(look.if_not),
    }
