"""Reports that carry their data, compiled once for all tests that read them; and spoilt copies."""

from __future__ import annotations

import copy
import datetime as dt
import io
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import override_settings
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings.look_models import PartLook
from repairs.papers.carried.opened import open_paper
from repairs.press.document import Sheet
from repairs.press.render import render, to_html
from repairs.readings.actions import keep_tool, set_house_limit
from repairs.readings.models import HouseLimit, Tool
from tests import factories
from tests.papers import every, working
from tests.papers.conftest import sheet
from tests.readings import samples

BOTH = ("condition_report", "treatment_report")
SPOILT = "wheel"
Change = Callable[[dict[str, Any]], None]


@dataclass(frozen=True)
class Made:
    """A report as it was compiled, its pages as HTML, and its PDF."""

    sheet: Sheet
    html: str
    pdf: bytes

    @property
    def data(self) -> dict[str, Any]:
        """What it carries, read out of the PDF: the test's own copy."""
        return copy.deepcopy(dict(open_paper(self.pdf, "report.pdf").data))


class Reports(dict[tuple[str, str], Made]):
    """Reports by kind and language, each made when it is first asked for."""

    def __init__(self, case: Case, principal: Any, folder: Path) -> None:
        super().__init__()
        self.case, self.principal, self.folder = case, principal, folder

    def __missing__(self, key: tuple[str, str]) -> Made:
        with override_settings(MEDIA_ROOT=self.folder):
            one = sheet(key[0], self.case, self.principal, key[1])
            self[key] = Made(one, to_html(one), render(one)[0])
        return self[key]


@pytest.fixture(scope="module")
def reports(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Reports]:
    """Of a case that was looked over, worked on and measured."""
    folder = tmp_path_factory.mktemp("reports")
    media = override_settings(MEDIA_ROOT=folder, LANGUAGE_CODE="en")
    with django_db_blocker.unblock(), media, transaction.atomic():
        yield Reports(*lived_case(), folder)
        transaction.set_rollback(True)


def lived_case() -> tuple[Case, Any]:
    """Every gauge read before and after, one reading not permitted, a limit of the house."""
    factories.house()
    principal = factories.person("helene", "principal")
    luthier = factories.person("armand", "luthier")
    instrument = factories.instrument(factories.owner(by=principal), by=principal)
    case = factories.case(instrument, by=luthier)
    limit = HouseLimit(gauge="wheel", figure="tir_mm", upper=0.04, source="our own bench")
    set_house_limit(limit, by=principal, at=timezone.now())
    finding = factories.finding(case, by=luthier, note="Runs on under the keybox.")
    factories.examination(case, by=luthier, alternatives="Leave it open.", proposal="Glue.")
    PartLook.objects.create(case=case, part=instrument.parts.get(key="back"), state="looked")
    working.worked(case, finding, by=luthier)
    case.refresh_from_db()
    _tuned(case, luthier)
    case.refresh_from_db()
    every.filled(case, finding, by=luthier)
    samples.reading(case, by=luthier, gauge="dog_card", not_permitted="the owner said no")
    _with_tool(case, luthier)
    return Case.objects.with_names().get(pk=case.pk), principal


def _tuned(case: Case, luthier: Any) -> None:
    worn = factories.finding(case, by=luthier, part="tangents_1", term="worn", severity=2)
    case.instrument.parts.filter(key__startswith="tangents").update(originality="later_replacement")
    working.keys_reading(case, working.CENTS_BEFORE, phase="before", by=luthier)
    samples.reading(case, by=luthier, gauge="action", phase="before", taken_at=working.BEFORE)
    agreed = working.agree(case, "tangent_refit", worn, by=luthier)
    work = working.begin(agreed, "tangents_1", by=luthier)
    working.finish(work, luthier)


def _with_tool(case: Case, luthier: Any) -> None:
    tool = Tool(name="Dial, blue", resolution=Decimal("0.01"), calibrated_on=dt.date(2026, 3, 2))
    keep_tool(tool, by=luthier, at=timezone.now())
    samples.reading(
        case,
        by=luthier,
        gauge="wheel",
        words=samples.wheel(samples.wheel_rows(7.0, 2.0)),
        subject="spare wheel",
        tool=tool,
        room_t_c=Decimal("18.5"),
        room_rh_pct=Decimal("46"),
    )


def spoilt(pdf: bytes, change: Change) -> bytes:
    """A copy of the report in whose data something was changed."""

    def rewritten(content: bytes) -> bytes:
        data = json.loads(content)
        change(data)
        return json.dumps(data).encode()

    return with_file(pdf, rewritten)


def with_file(
    pdf: bytes, rewrite: Callable[[bytes], bytes | None], name: str = "report.json"
) -> bytes:
    """A copy with another content of the enclosed file of that ending, or without it."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        found = next(key for key in document.attachments if key.endswith(name))
        content = rewrite(document.attachments[found].get_file().read_bytes())
        del document.attachments[found]
        if content is not None:
            document.attachments[found] = pikepdf.AttachedFileSpec(
                document, content, filename=found
            )
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def reading_of(data: dict[str, Any], gauge: str, *, last: bool = False) -> dict[str, Any]:
    """The first or last reading of that gauge in the data of a report."""
    rows: list[dict[str, Any]] = [one for one in data["data"]["readings"] if one["gauge"] == gauge]
    return rows[-1 if last else 0]


Said = tuple[int, dict[str, Any], str]


@pytest.fixture
def read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[[bytes], Said]:
    """Run ``read_paper`` on a PDF; give its exit code, its JSON and what it says beside."""

    def run(pdf: bytes) -> Said:
        path, code = tmp_path / "report.pdf", 0
        path.write_bytes(pdf)
        try:
            call_command("read_paper", str(path))
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return code, json.loads(said.out) if said.out else {}, said.err

    return run


@pytest.fixture
def condition(reports: Reports) -> bytes:
    """A condition report in English, as it was issued."""
    return reports["condition_report", "en"].pdf
