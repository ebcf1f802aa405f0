"""A case as a table of contents: a line for each room, its sign, its state and one figure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.bench.readings import ReadingLine
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.language.durations import duration_words
from repairs.language.text import labelled
from repairs.money import money_words
from repairs.readings.show import figure_rows
from repairs.treatment.show import AgreedLine, Plan

DONE, PARTLY, OPEN, WRONG = "●", "◐", "○", "✕"
COLOURS = {DONE: "moss", WRONG: "red"}
Docket = Mapping[str, Any]


@dataclass(frozen=True)
class RoomLine:
    """One room of a case: its anchor and name, a sign, what to know of it, and one figure."""

    key: str
    name: str
    sign: str
    state: str
    figure: str

    @property
    def colour(self) -> str:
        """The class of the sign's colour; the sign says the same without it."""
        return COLOURS.get(self.sign, "")


def contents(docket: Docket, *, with_prices: bool, with_money: bool) -> list[RoomLine]:
    """The rooms of a case in the order of the work; money only for who may see it."""
    lines = [
        _photos(docket),
        _findings(docket),
        _readings(docket),
        _estimate(docket, with_prices=with_prices),
        _work(docket["plan"]),
        _proof(docket["plan"]),
        _papers(docket),
    ]
    if with_money:
        lines.append(_money(docket))
    if docket["protected"]:
        lines.append(_protected(docket))
    return [*lines, _custody(docket), _log(docket)]


def _line(key: str, name: str, sign: str, state: str, figure: object = "") -> RoomLine:
    return RoomLine(key, name, sign, state, str(figure))


def _photos(docket: Docket) -> RoomLine:
    photos, missing, name = docket["photos"], len(docket["missing_views"]), _("Photos")
    if not photos:
        return _line("photos", name, OPEN, _("none yet"))
    if not missing:
        return _line("photos", name, DONE, _("all standard views are there"), photos.count)
    still = ngettext(
        "%(count)s standard view still to be shot",
        "%(count)s standard views still to be shot",
        missing,
    )
    return _line("photos", name, PARTLY, still % {"count": missing}, photos.count)


def _findings(docket: Docket) -> RoomLine:
    case: Case = docket["case"]
    found: list[Finding] = list(docket["all_findings"])
    is_over = case.step != Case.Step.TAKEN_IN
    name = _("Findings")
    if not found:
        state = _("nothing found") if is_over else _("not looked over yet")
        return _line("findings", name, DONE if is_over else OPEN, state)
    grave = sum(one.severity >= Finding.Severity.MAJOR for one in found)
    active = sum(one.stability == Finding.Stability.ACTIVE for one in found)
    state = ngettext("%(count)s major or worse", "%(count)s major or worse", grave) % {
        "count": grave
    }
    if active:
        goes_on = ngettext("%(count)s goes on", "%(count)s go on", active) % {"count": active}
        state = f"{state}, {goes_on}"
    return _line("findings", name, DONE if is_over else PARTLY, state, len(found))


def _readings(docket: Docket) -> RoomLine:
    lines: list[ReadingLine] = docket["all_readings"]
    name = _("Readings")
    if not lines:
        return _line("readings", name, OPEN, _("nothing measured yet"))
    last = _last_of_each(lines)
    wrong = [line for line in last if line.word == "outside"]
    if wrong:
        return _outside(name, wrong)
    if any(line.word == "doubtful" for line in last):
        return _line("readings", name, PARTLY, _("some of it is doubtful"), len(lines))
    inside = _("nothing measured lies outside its limits")
    return _line("readings", name, DONE, inside, len(lines))


def _last_of_each(lines: list[ReadingLine]) -> list[ReadingLine]:
    """The last reading of each thing that was measured: an older one says how it was."""
    last: dict[tuple[str, str], ReadingLine] = {}
    for line in sorted(lines, key=lambda one: (one.reading.taken_at, one.reading.number)):
        last[(line.reading.gauge, line.reading.subject)] = line
    return list(last.values())


def _outside(name: str, wrong: list[ReadingLine]) -> RoomLine:
    """The first figure outside its limits, with the limit; and how many others are."""
    line = wrong[0]
    row = next((one for one in figure_rows(line.reading) if one.word == "outside"), None)
    state = labelled(line.title, row.limit if row else line.word_label)
    if others := len(wrong) - 1:
        more = ngettext("%(count)s other too", "%(count)s others too", others) % {"count": others}
        state = f"{state}, {more}"
    figure = row.value if row else ""
    return _line("readings", name, WRONG, state, figure)


def _estimate(docket: Docket, *, with_prices: bool) -> RoomLine:
    line, consent, name = docket["estimate"], docket["consent"], _("Estimate and consent")
    plan: Plan = docket["plan"]
    most = plan.spent.ceiling
    figure = money_words(most, plan.spent.currency) if with_prices and most is not None else ""
    if line is None:
        none = _("nothing is offered yet") if docket["may_have_estimate"] else _("none needed")
        agreed = _("agreed without an estimate")
        is_agreed = bool(plan.lines)
        sign = DONE if is_agreed or not docket["may_have_estimate"] else OPEN
        return _line("estimates", name, sign, agreed if is_agreed else none, figure)
    state = line.state.label
    if consent is not None:
        day = date_format(timezone.localtime(consent.said_at), "DATE_FORMAT")
        state = f"{consent.get_decision_display()}, {day}"
    return _line("estimates", name, line.state.sign, state, figure)


def _work(plan: Plan) -> RoomLine:
    name = _("Work")
    if not plan.lines:
        return _line("work", name, OPEN, _("nothing is agreed yet"))
    done = sum(_is_done(line) for line in plan.lines)
    going = sum(line.work is not None and not _is_done(line) for line in plan.lines)
    ahead = len(plan.lines) - done - going
    told = [
        (done, ngettext("%(count)s done", "%(count)s done", done)),
        (going, ngettext("%(count)s in work", "%(count)s in work", going)),
        (ahead, ngettext("%(count)s to come", "%(count)s to come", ahead)),
    ]
    state = ", ".join(words % {"count": count} for count, words in told if count)
    sign = DONE if done == len(plan.lines) else PARTLY if done or going else OPEN
    spent = plan.spent.minutes
    return _line("work", name, sign, state, duration_words(spent) if spent else "")


def _is_done(line: AgreedLine) -> bool:
    return line.work is not None and line.work.ended_at is not None


def _proof(plan: Plan) -> RoomLine:
    name, every = _("Proof"), len(plan.lines)
    if not every:
        return _line("proof", name, OPEN, _("nothing to prove yet"))
    signed = sum(line.work is not None and line.work.is_signed for line in plan.lines)
    weak = any(line.weak_points for line in plan.lines if line.work and line.work.is_signed)
    if signed == every:
        state = _("signed off, not all as it must be") if weak else _("all signed off")
        return _line("proof", name, PARTLY if weak else DONE, state, f"{signed}/{every}")
    ready = plan.next_to_prove
    state = labelled(_("to be proved"), ready.agreed) if ready else _("after the work")
    return _line("proof", name, PARTLY if signed or ready else OPEN, state, f"{signed}/{every}")


def _papers(docket: Docket) -> RoomLine:
    papers, name = docket["papers"], _("Papers")
    if not papers:
        return _line("papers", name, OPEN, _("nothing issued yet"))
    last = papers.rows[0]
    day = date_format(timezone.localtime(last.issued_at), "DATE_FORMAT")
    state = _("the last: %(title)s, %(day)s") % {"title": last.title, "day": day}
    return _line("papers", name, DONE, state, papers.count)


def _money(docket: Docket) -> RoomLine:
    invoices, draft, name = docket["invoices"], docket["invoice_draft"], _("Money")
    if not invoices:
        state = _("a draft is open") if draft else _("nothing was invoiced")
        return _line("money", name, PARTLY if draft else OPEN, state)
    last = invoices[-1]
    state = f"{last.get_kind_display()} {last.number}"
    return _line("money", name, DONE, state, money_words(last.gross, last.currency))


def _protected(docket: Docket) -> RoomLine:
    rows = docket["protected"]
    named = ", ".join(one.material for one in rows)
    return _line("protected", _("Protected materials"), PARTLY, named, len(rows))


def _custody(docket: Docket) -> RoomLine:
    case: Case = docket["case"]
    return _line("custody", _("Intake, place and custody"), "", case.place)


def _log(docket: Docket) -> RoomLine:
    lines = docket["log"]
    if not lines:
        return _line("log", _("Log"), "", "")
    day = date_format(timezone.localtime(lines[0].at), "SHORT_DATE_FORMAT")
    return _line("log", _("Log"), "", f"{day}, {lines[0].who}")
