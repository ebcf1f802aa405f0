"""Nothing asks a violin to turn its wheel: every page, form and paper of a case is walked."""

from __future__ import annotations

import dataclasses
import html
import re
from collections.abc import Iterator

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.compile import case_label, intake_receipt
from repairs.instruments.kinds import kind_of
from repairs.papers import kinds as kinds_of_paper
from repairs.press.render import to_html
from tests import factories
from tests.papers.conftest import going

OF_A_WHEEL = {
    "en": r"wheel|crank|cranks|keybox|tangents?|trompette|chanterelles?|dog|keys?|rim",
    "fr": r"roue|manivelle|clavier|sautereaux?|trompette|chien|bandage|vielle",
}
# What is the same on every page, whatever the instrument, and what no person reads.
HOUSE = re.compile(
    r"<nav.*?</nav>|<footer.*?</footer>|<script.*?</script>|<style.*?</style>|<head>.*?</head>",
    re.S,
)
MOST_PAGES = 120


def read(page: str) -> str:
    """What a person reads on a page: its text, and what its fields say of themselves."""
    page = HOUSE.sub(" ", page)
    said = re.findall(r'(?:placeholder|aria-label|alt|title)="([^"]*)"', page)
    return html.unescape(" ".join([re.sub(r"<[^>]+>", " ", page), *said]))


def of_a_wheel(words: str, language: str) -> list[str]:
    found = re.finditer(rf"(?<![\w’-])({OF_A_WHEEL[language]})(?![\w-])", words, re.I)
    return [" ".join(words[max(0, m.start() - 40) : m.end() + 40].split()) for m in found]


def pages(client, *, start: list[str], about: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Every page that can be reached by links from the first ones and is about this stay."""
    seen, ahead = set(start), list(start)
    while ahead and len(seen) < MOST_PAGES:
        address = ahead.pop(0)
        answer = client.get(address)
        if answer.status_code != 200 or "text/html" not in answer["Content-Type"]:
            continue
        yield address, answer.text
        for link in re.findall(r'href="(/[^"#]*)', answer.text):
            link = html.unescape(link)
            if link not in seen and any(part in link for part in about):
                seen.add(link)
                ahead.append(link)


@pytest.fixture
def stay(house, owner, helene, armand):
    """A case of a kind, looked over, with a finding and an option agreed."""

    def make(kind: str):
        instrument = factories.instrument(owner, by=helene, kind=kind)
        case = factories.case(
            instrument,
            by=armand,
            owner_words="It sounds dull.",
            state_at_intake="Strings slack.\nA crack in the soundboard.\nPegs stiff.",
        )
        finding = factories.finding(case, by=armand, part="soundboard", location="")
        factories.examination(case, by=armand)
        agreed = factories.agreed_work(case, "string_change", by=armand)
        factories.begun_work(agreed, by=armand)
        assert finding.case == case
        return case

    return make


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("kind", ["violin", "guitar"])
def test_no_page_of_a_case_asks_for_a_wheel_or_keys(client, stay, helene, kind, language):
    case = stay(kind)
    helene.language = language
    helene.save()
    client.force_login(helene)
    start = [
        case.get_absolute_url(),
        case.instrument.get_absolute_url(),
        reverse("instruments:edit", args=[case.instrument.number]),
        reverse("instruments:parts", args=[case.instrument.number]),
        reverse("cases:take_in", args=[case.instrument.number]),
        reverse("cases:edit", args=[case.number]),
    ]
    walked, found = 0, {}
    for address, page in pages(client, start=start, about=(case.number, case.instrument.number)):
        walked += 1
        if words := of_a_wheel(read(page), language):
            found[address] = words

    assert found == {}
    assert walked >= 25


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("kind", ["violin", "guitar"])
def test_no_paper_of_a_case_speaks_of_a_wheel_or_keys(stay, armand, kind, language, monkeypatch):
    known = kinds_of_paper.KINDS.items()
    each = {key: dataclasses.replace(one, lack=lambda _facts: None) for key, one in known}
    monkeypatch.setattr(kinds_of_paper, "KINDS", each)  # print each, however empty
    case = stay(kind)
    going(case, armand, items="Case", state_at_return="Crack closed.\nStrung to pitch.\nPlays.")
    how = {"language": language, "made_at": timezone.now()}
    sheets = [
        intake_receipt(case, **how),
        case_label(case, **how),
        *(kinds_of_paper.compile_paper(name, case, **how) for name in kinds_of_paper.KINDS),
    ]

    found = {sheet.title: of_a_wheel(read(to_html(sheet)), language) for sheet in sheets}

    assert {title: words for title, words in found.items() if words} == {}


@pytest.mark.parametrize("kind", ["vielle_french", "wheel_lira"])
def test_the_walk_would_notice(client, stay, helene, kind):
    """The same look at the intake of a wheel fiddle finds its wheel."""
    case = stay(kind)
    client.force_login(helene)

    page = client.get(reverse("cases:edit", args=[case.number])).text

    assert any("turned" in words for words in of_a_wheel(read(page), "en"))
    assert kind_of(kind).sheet("wheel")
