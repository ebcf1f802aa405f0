"""Bad input, one table over every entry sheet: a sentence with field, row and mend; all stays."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest
from django.utils import translation

from repairs.gauges.everything import gauges
from repairs.readings.models import Reading
from repairs.readings.parse import cell_name, raw_of
from repairs.readings.sheets.base import Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.table import table_of
from repairs.readings.weighed import weighed
from tests.readings import samples
from tests.readings.bad import OWN, Slip, name_of, slips

pytestmark = pytest.mark.django_db
MEND = re.compile(r"[.;:] \S.*\.$")  # what is wrong, and then what to do
ENGLISH = {"the", "is", "row", "than", "not", "must", "which", "here", "check", "missing", "of"}


class Form(HTMLParser):
    """What stands in each control of a page, as a browser would send it again."""

    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.inside = self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        name = said.get("name") or ""
        if tag == "input" and said.get("type") not in ("checkbox", "file", "hidden"):
            self.values[name] = said.get("value") or ""
        elif tag == "textarea":
            self.inside = name
            self.values[name] = ""
        elif tag == "select":
            self.select = name
            self.values[name] = ""
        elif tag == "option" and "selected" in said:
            self.values[self.select] = said.get("value") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.values[self.inside] += data


def plain(words: str) -> str:
    return " ".join(html.unescape(words).replace("\u00a0", " ").replace("\u202f", " ").split())


def _after_name(sentence: str) -> str:
    """What is said of a cell, or all of a sentence that begins with no name."""
    name, _colon, rest = sentence.partition(":")
    return sentence if "." in name else rest or sentence


def faults(slip: Slip, sheet: Sheet) -> list[str]:
    """What is not said of a slip, or lost of what was typed."""
    raw = raw_of(sheet, slip.words)
    problems, doubts, _computed = weighed(sheet, raw)
    table = table_of(sheet, raw, problems)
    typed = {one.name: one for one in (*table.cells, *(one for row in table.rows for one in row))}
    said = [plain(one.words) for one in (*problems, *doubts)]
    found = [f"held {word!r}" for name, word in slip.words.items() if typed[name].typed != word]
    found += [f"how to mend: {one}" for one in said if not MEND.search(_after_name(one))]
    found += [f"no cell {one.anchor}: {one.words}" for one in problems if one.anchor not in typed]
    cells = {cell.key: cell for cell in (*sheet.cells, *sheet.columns)}
    for key, row in slip.named:
        name = plain(cell_name(cells[key], row)) if key in cells else ""
        of_it = [one for one in said if name.casefold() in one.casefold()]
        if not any(row is None or re.search(rf"\b{row}\b", one) for one in of_it):
            found.append(f"{name_of((key, row))} is not named in {said}")
    return [f"{slip.kind}: {one}" for one in found]


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_what_cannot_be_is_said_with_field_row_and_mend_and_stays(gauge):
    """Where the view finds a problem or a doubt it keeps nothing: see the next test."""
    wrong = []
    for slip in (one for one in slips(SHEETS[gauge]) if one.named):
        said = {}
        for language in ("en", "fr"):
            with translation.override(language):
                wrong += faults(slip, SHEETS[gauge])
                problems, doubts, _computed = weighed(
                    SHEETS[gauge], raw_of(SHEETS[gauge], slip.words)
                )
                said[language] = {one.words for one in (*problems, *doubts)}
        wrong += [f"{slip.kind}: only in English: {one}" for one in said["en"] & said["fr"]]
        for one in said["fr"]:
            if ENGLISH & set(re.sub(r"«[^»]*»", "", one).casefold().split()):
                wrong.append(f"{slip.kind}: English in {one}")
    assert wrong == []


@pytest.mark.share(2)
@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_the_page_says_it_shows_all_that_was_typed_and_keeps_nothing(
    post, armand, case, gauge, language
):
    armand.language = language
    armand.save()
    letters = next(one for one in slips(SHEETS[gauge]) if one.kind == "letters")
    slip = letters if letters.named else next(slips(SHEETS[gauge]))

    answer = post(slip.words, gauge)

    page = answer.text
    form = Form()
    form.feed(page)
    lost = {name for name, typed in slip.words.items() if form.values.get(name) != typed}
    links = re.findall(r'href="#cell-([^"]+)"', page)
    assert answer.status_code == 422
    assert lost == set()
    assert {name_of(place) for place in slip.named} <= set(links)
    assert all(f'id="cell-{name}"' in page for name in links)
    assert not Reading.objects.exists()


def test_every_sheet_has_a_row_of_its_own_slips():
    """A new sheet says in ``OWN`` what only it can be told wrongly, or that there is nothing."""
    assert set(OWN) == set(SHEETS)
    for gauge, sheet in SHEETS.items():
        kinds = {own.kind for own in OWN[gauge]}
        names = [column for column in sheet.columns if column.index and column.kind == "number"]
        assert not names or "twice" in kinds, gauge
        assert "swapped" in kinds or "key" not in [column.key for column in names], gauge
        turns = [column.key for column in sheet.columns if column.key in ("second", "third")]
        assert len(turns) < 2 or "unequal turns" in kinds, gauge


def test_the_table_bites():
    """Of each sheet the slips name most of its cells, and every slip has some sheet."""
    kinds = set()
    for gauge, sheet in SHEETS.items():
        named = {key for slip in slips(sheet) if slip.named for key, _row in slip.named}
        kinds |= {slip.kind for slip in slips(sheet) if slip.named}
        numbers = {c.key for c in (*sheet.cells, *sheet.columns) if c.kind == "number"}
        assert numbers <= named, (gauge, numbers - named)
        assert gauge in gauges()
    assert {"missing", "letters", "ten metres", "wrong sign", "in metres", "twice", "swapped"} <= (
        kinds
    )
    assert {"far too large", "beyond a turn", "unequal turns", "not a choice"} <= kinds


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_the_sample_that_is_typed_badly_is_itself_in_order(gauge):
    problems, doubts, computed = weighed(SHEETS[gauge], samples.raw(gauge))

    assert (problems, doubts) == ([], [])
    assert computed is not None
