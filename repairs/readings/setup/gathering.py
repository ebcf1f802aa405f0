"""What a set-up asks the database: as many questions for two readings as for two thousand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from django.db.models.fields.json import KT

from repairs.cases.models import Case
from repairs.press.models import Paper
from repairs.readings.models import Verdict
from repairs.readings.setup.orders import Order, order_for
from repairs.readings.setup.standing import Mark, Standing, Taken, standing
from repairs.readings.setup_models import SetUp, SetUpMark


def open_setup(case: Case) -> SetUp | None:
    """The set-up that goes on, or the last that was ended; None where none was begun."""
    rows = list(case.setups.all())
    return next((row for row in rows if row.ended_at is None), rows[-1] if rows else None)


def standing_of(setup: SetUp, order: Order) -> Standing:
    """How it stands, from its readings and marks."""
    strings = len(setup.case.instrument.pattern.strings)
    marks = [*marks_of(setup), *_papers(setup, order)]
    return standing(order, taken_since(setup, order), marks, strings=strings)


def _papers(setup: SetUp, order: Order) -> list[Mark]:
    """A step that ends in a paper is done once that was issued."""
    steps = {step.paper: step.key for step in order.steps if step.paper}
    rows = Paper.objects.filter(
        subject=setup.case.log_key, kind__in=steps, issued_at__gte=setup.begun_at
    )
    return [
        Mark(0, steps[row.kind], SetUpMark.What.SEEN, row.issued_at, row.title)
        for row in rows.only("kind", "issued_at", "title")
    ]


def line_of(case: Case) -> tuple[SetUp | None, Standing | None]:
    """What the page of the case says in a line; no standing where no set-up goes on."""
    setup = open_setup(case)
    order = order_for(case)
    if setup is None or order is None or setup.ended_at is not None:
        return setup, None
    setup.case = case
    return setup, standing_of(setup, order)


def marks_of(setup: SetUp) -> list[Mark]:
    """Its marks in their order, with who made them."""
    rows = setup.marks.select_related("by")
    return [Mark(r.pk, r.step, r.what, r.at, r.words, str(r.by), r.tap) for r in rows]


def taken_since(setup: SetUp, order: Order) -> list[Taken]:
    """The readings that count for it: taken since it began, and not withdrawn."""
    rows = setup.case.readings.present().filter(
        gauge__in=order.sheets, saved_at__gte=setup.begun_at
    )
    if setup.ended_at is not None:
        rows = rows.filter(saved_at__lte=setup.ended_at)
    words = _words(setup, order)
    # A card of one string names it in a cell; all else in the line “of what”.
    named = rows.annotate(string=KT("raw__fields__string")).values_list(
        "pk", "number", "gauge", "subject", "string", "taken_at", "saved_at", "not_permitted"
    )
    return [
        Taken(
            pk, number, gauge, string or subject, taken_at, saved_at, words.get(pk, _NONE), bool(no)
        )
        for pk, number, gauge, subject, string, taken_at, saved_at, no in named
    ]


_NONE: frozenset[str] = frozenset()


def _words(setup: SetUp, order: Order) -> Mapping[int, frozenset[str]]:
    """The words of each reading's newest result."""
    rows = (
        Verdict.objects.filter(
            result__reading__case=setup.case_id,
            result__reading__withdrawn_at=None,
            result__reading__gauge__in=order.sheets,
            result__reading__saved_at__gte=setup.begun_at,
        )
        .order_by("result_id")
        .values_list("result__reading_id", "result_id", "word")
        .distinct()
    )
    newest: dict[int, int] = {}
    words: dict[int, set[str]] = defaultdict(set)
    for reading, result, word in rows:
        if newest.get(reading) != result:
            newest[reading], words[reading] = result, set()
        words[reading].add(word)
    return {reading: frozenset(said) for reading, said in words.items()}
