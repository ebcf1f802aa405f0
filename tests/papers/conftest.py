"""What the tests of papers share: a case with work on it, and how a paper is made and read."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pypdf
import pytest
from django.utils import timezone

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.findings.look_models import PartLook
from repairs.papers import actions
from repairs.papers.kinds import compile_paper
from repairs.press.actions import propose_seal
from repairs.press.document import Sheet
from repairs.press.models import Paper
from repairs.press.render import render
from tests import factories
from tests.papers import working
from tests.readings import samples

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


def sheet(kind: str, case: Case, by: Any, language: str = "en") -> Sheet:
    seal = propose_seal(kind, case.log_key, by=by, at=NOW)
    return compile_paper(kind, case, language=language, made_at=NOW, seal=seal)


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    words = " ".join(" ".join(page.extract_text().split()) for page in pages)
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def printed(kind: str, case: Case, by: Any, language: str = "en") -> str:
    return text_of(render(sheet(kind, case, by, language))[0])


def issued(kind: str, case: Case, by: Any, language: str = "en") -> Paper:
    """Preview, then issue, as the jobs do."""
    draft = actions.draft_of(case, kind, language, by=by, at=timezone.now())
    actions.make_preview(draft)
    return actions.issue_paper(draft, by=by, at=timezone.now())


def going(case: Case, by: Any, **fields: Any) -> HandBack:
    """The return is written down, as the screen does it."""
    said = {
        "ending": "handed_back",
        "received_name": case.owner.name,
        "returned_at": dt.datetime(2026, 11, 24, 17, 0, tzinfo=dt.UTC),
        "state_at_return": "Crack closed.\nStrung to pitch.\nPlays.",
        "items": "Case\nCrank",
        "reserve": "Twelve months.",
        "next_check_on": dt.date(2027, 5, 3),
    } | fields
    return working.write_down(HandBack(case=case, **said), by=by)


@pytest.fixture
def work(house, case, finding, armand, photo):
    """The crack is glued and signed off: the case is proved."""
    factories.examination(
        case, by=armand, alternatives="Leave it open.", risk="It may open again.", proposal="Glue."
    )
    done = working.worked(case, finding, by=armand)
    case.refresh_from_db()
    return done


@pytest.fixture
def tuned(case, armand, work):
    """A second piece of work: tangents moved, measured before and after."""
    finding = factories.finding(case, by=armand, part="tangents_1", term="worn", severity=2)
    case.instrument.parts.filter(key__startswith="tangents").update(originality="later_replacement")
    working.keys_reading(case, working.CENTS_BEFORE, phase="before", by=armand)
    samples.reading(case, by=armand, gauge="action", phase="before", taken_at=working.BEFORE)
    agreed = working.agree(case, "tangent_refit", finding, by=armand)
    return working.begin(agreed, "tangents_1", by=armand)


@pytest.fixture
def full_case(house, case, armand, photo, finding):
    """A case with a photo, a bound tag, a note, parts looked at and a judgement."""
    factories.tag(photo, finding, by=armand)
    factories.examination(case, by=armand)
    parts = {part.key: part for part in case.instrument.parts.all()}
    PartLook.objects.create(case=case, part=parts["back"], state="looked")
    PartLook.objects.create(
        case=case, part=parts["axle"], state="not_examined", why="hidden by the wheel"
    )
    return case
