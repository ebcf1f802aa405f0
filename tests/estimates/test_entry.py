"""The page of an estimate row by row: how many options and lines, which of them stand open."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.http import QueryDict

from repairs.estimates.entry import EstimateEntry
from repairs.estimates.forms import LineForm, OptionForm, _what_choices
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.procedures.procedure import Procedure
from tests import factories
from tests.estimates.screens import sent


def typed(draft: Estimate, **fields: Any) -> EstimateEntry:
    data = QueryDict(mutable=True)
    for name, value in sent(**fields).items():
        data.setlist(name, value if isinstance(value, list) else [value])
    return EstimateEntry(draft, data)


def kept(case, armand, *wishes: OptionWish) -> EstimateEntry:
    return EstimateEntry(factories.estimate(case, *wishes, by=armand, issued=False))


def shape(entry: EstimateEntry) -> list[tuple[int, str, int]]:
    return [(one.number, one.form.initial["kind"], len(one.lines)) for one in entry.options]


def test_a_new_page_has_three_ways_of_two_lines_and_the_first_stands_open(draft):
    entry = EstimateEntry(draft)

    assert shape(entry) == [(1, "safe", 2), (2, "playable", 2), (3, "full", 2)]
    assert [one.is_open for one in entry.options] == [True, False, False]
    assert [line.prefix for line in entry.options[1].lines] == ["o2l1", "o2l2"]
    assert entry.may_grow
    assert not entry.is_sent
    assert not entry.is_valid()
    assert not entry.errors
    assert entry.form.initial["seen"] == 0


def test_a_kept_version_has_its_own_options_and_each_a_line_to_spare(house, case, armand):
    material = LineWish(kind="material", words="gut", amount=Decimal("12.50"))
    wishes = [
        OptionWish(kind="full", lines=[factories.work_line()]),
        OptionWish(kind="other", title="later", lines=[]),
        OptionWish(kind="other", lines=[material]),
        OptionWish(kind="safe"),
    ]

    entry = kept(case, armand, *wishes)

    assert shape(entry) == [(1, "full", 2), (2, "other", 1), (3, "other", 2), (4, "safe", 1)]
    assert [one.is_open for one in entry.options] == [True, True, True, False]
    assert entry.options[0].lines[0].initial["what"] == "seam"
    assert entry.options[2].lines[0].initial["what"] == "material"
    assert not entry.may_grow


@pytest.mark.parametrize(("lines", "shown", "full"), [(8, 9, False), (10, 10, True)])
def test_an_option_has_ten_lines_at_most(house, case, armand, lines, shown, full):
    wish = OptionWish(kind="safe", lines=[factories.work_line()] * lines)

    [option] = kept(case, armand, wish).options

    assert (len(option.lines), option.is_full) == (shown, full)


COUNTS = [
    ("3", "", 3),
    ("3", "o1", 3),
    ("3", "option", 4),
    ("4", "option", 4),  # no page has five
    ("9", "", 4),
    ("1", "", 1),
    ("0", "", 1),
    ("", "", 1),
    ("", "option", 1),  # what cannot be read counts as none
    ("003", "", 3),
    ("0003", "", 1),  # more than three signs are no count of rows
    ("1000", "", 1),
]


def test_so_many_options_are_shown_as_were_sent(draft):
    for count, more, shown in COUNTS:
        entry = typed(draft, options=count, more=more)

        assert [one.number for one in entry.options] == list(range(1, shown + 1)), (count, more)
        assert entry.may_grow == (shown < 4)


def test_the_row_that_was_asked_for_stands_open(draft):
    for more, asked in (
        ("option", [False, False, False, True]),
        ("o1", [True, False, False]),
        ("o2", [False, True, False]),
    ):
        entry = typed(draft, more=more)

        assert [one.is_asked for one in entry.options] == asked
        assert [one.is_open for one in entry.options] == [True, *asked[1:]]


def test_one_more_line_comes_to_that_option_alone(draft):
    entry = typed(draft, more="o2", **{"o2l2-words": "glue"})

    assert [[line.prefix for line in one.lines] for one in entry.options] == [
        ["o1l1", "o1l2"],
        ["o2l1", "o2l2", "o2l3"],
        ["o3l1", "o3l2"],
    ]
    assert entry.options[1].lines[1]["words"].value() == "glue"


def test_the_fourth_way_is_another_way(draft):
    assert [one.kind_label for one in typed(draft, more="option").options] == [
        "the minimum that keeps it safe",
        "make it playable",
        "full restoration",
        "another way",
    ]


def test_an_option_is_named_by_what_was_chosen(draft):
    for kind, label in (("alchemy", ""), ("full", "full restoration")):
        assert typed(draft, **{"o1-kind": kind}).options[0].kind_label == label


def test_what_was_sent_and_says_something_stands_open(draft):
    entry = typed(draft, **{"o2-title": "x", "o3-kind": "other"})

    assert [one.is_open for one in entry.options] == [True, True, False]
    assert entry.is_valid()
    assert entry.errors is False
    assert [wish.title for wish in entry.wishes()] == ["", "x"]
    assert [len(wish.lines) for wish in entry.wishes()] == [1, 0]


def test_the_list_of_problems_places_the_fields_of_all_rows_that_say_something(draft):
    entry = typed(draft, **{"o2l2-words": "glue", "tax_pct": "120"})

    places = list(dict.fromkeys(field.place for field in entry))
    assert places == ["", "Option 1", "Option 1, line 1", "Option 2", "Option 2, line 2"]
    assert [field.label for field in entry if field.errors and not field.place] == ["VAT"]
    assert entry.errors


def test_the_fields_of_a_line_come_in_the_order_of_the_page(draft):
    line = typed(draft).options[0].lines[0]

    order = ["what", "words", "minutes_low", "minutes_high", "amount"]
    assert list(line.fields)[:5] == order


def test_the_usual_minutes_of_the_chosen_procedure_stand_in_the_empty_fields(draft):
    chosen, empty = typed(draft).options[0].lines

    def faint(line: LineForm) -> list[str | None]:
        names = ("minutes_low", "minutes_high")
        return [line.fields[name].widget.attrs.get("placeholder") for name in names]

    assert faint(chosen) == ["60", "90"]
    assert faint(empty) == [None, None]


def test_the_ticked_findings_are_counted(draft, finding):
    first, second = typed(draft, **{"o1l1-findings": ["1"]}).options[0].lines

    assert (first.chosen_count, second.chosen_count) == (1, 0)


def test_what_cannot_be_undone_is_marked_in_the_choice_of_work(db):
    procedures: dict[str, Procedure] = {
        key: factories.procedure(key).procedure for key in ("seam", "turning")
    }

    choices = [str(words).replace("\u00a0", " ") for _key, words in _what_choices(procedures)]

    assert choices == [
        "—",
        "material",
        "cost from outside",
        "The seam of a test (1 h – 1 h 30)",
        "The turning of a test (2 h – 4 h) ✕",
    ]


def test_long_words_of_an_option_are_typed_in_boxes_of_two_rows():
    form = OptionForm(currency="EUR")

    rows = {name: field.widget.attrs.get("rows") for name, field in form.fields.items()}
    boxes = {"promise": 2, "risk": 2, "reversibility": 2, "left_out": 2}
    assert rows == {"kind": None, "title": None, "ceiling": None, **boxes}
