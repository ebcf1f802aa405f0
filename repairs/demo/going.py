"""Plays the end of a stay: its papers, what becomes of the bags, and the return."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial
from operator import itemgetter

from repairs.cases import actions as case_actions
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.demo.cast import Cast, Row, day, moment, room
from repairs.invoices.codes import Kind
from repairs.invoices.from_case import draft_of_case
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import fingerprint, issue_invoice, proposed
from repairs.papers import actions as paper_actions
from repairs.papers.owner.return_receipt import RETURN_RECEIPT
from repairs.press.models import Paper
from repairs.treatment import parts as things


def issue_paper(cast: Cast, case: Case, kind: str, language: str, at: dt.datetime) -> None:
    """Preview, then issue, as the screens do; the jobs' own functions run here at once."""
    if Paper.objects.current(kind, case.log_key) is not None:
        return
    draft = paper_actions.draft_of(case, kind, language, by=cast.head, at=at)
    paper_actions.make_preview(draft)
    paper_actions.issue_paper(draft, by=cast.head, at=at)
    cast.tell(case, f"{kind.replace('_', ' ')} issued")


def return_instrument(cast: Cast, stay: Row, case: Case) -> None:
    """Give back the bags and issue the papers in their order, then hand the instrument over."""
    if "return" not in stay:
        return
    deeds: list[tuple[dt.datetime, Callable[[], None]]] = [
        (moment(at), partial(_say_fate, cast, case, number, fate, words, moment(at)))
        for number, fate, at, words in stay["fates"]
    ]
    deeds += [
        (moment(at), partial(issue_paper, cast, case, kind, language, moment(at)))
        for kind, language, at in stay["papers"]
    ]
    for _at, deed in sorted(deeds, key=itemgetter(0)):
        deed()
    said = stay["return"]
    if not case.hand_backs.exists():
        _write_return(cast, said, case)
    language, at = case.owner.language, moment(said["issued_at"])
    issue_paper(cast, case, RETURN_RECEIPT.key, language, at)
    case.refresh_from_db()


def _say_fate(cast: Cast, case: Case, number: int, fate: str, words: str, at: dt.datetime) -> None:
    piece = case.removed_parts.get(number=number)
    if piece.fate_at is None:
        things.set_fate(piece, fate, words, by=cast.head, at=at)


def _write_return(cast: Cast, said: Row, case: Case) -> None:
    row = HandBack(
        case=case,
        ending=Case.Step.HANDED_BACK,
        received_name=said["received_name"],
        returned_at=moment(said["returned_at"]),
        state_at_return=said["state_at_return"],
        items=said["items"],
        reserve=said["reserve"],
        next_check_on=day(said["next_check_on"]),
        **room(said["room"]),
    )
    case_actions.write_hand_back(row, by=cast.people[said["by"]], at=moment(said["at"]))


def bill(cast: Cast, stay: Row, case: Case) -> None:
    """Draft what the case gives to bill, and issue it as the page shows it."""
    if "invoiced_at" not in stay or case.invoices.exists():
        return
    at, clerk = moment(stay["invoiced_at"]), cast.people["odile"]
    draft = case.invoice_drafts.first() or draft_of_case(case, kind=Kind.INVOICE, by=clerk, at=at)
    shown = fingerprint(proposed(facts_of(draft, at), at))
    invoice = issue_invoice(draft, shown=shown, by=clerk, clock=lambda: at)
    cast.tell(case, f"invoice {invoice.number} issued")
