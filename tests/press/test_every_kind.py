"""Every kind of paper is printed and signed for good, in both languages, and held against the
standards.

The seven papers of a case that can be made at its desk: ``tests/papers/test_kinds.py``.
"""

from __future__ import annotations

import dataclasses

import pytest

from repairs.cases.compile import case_label, intake_receipt
from repairs.papers.kinds import KINDS
from repairs.people.models import User
from repairs.press.actions import propose_seal
from repairs.press.document import Sheet
from repairs.press.kinds import registered
from repairs.press.render import render
from repairs.press.sealing import seal
from tests import factories
from tests.outside.verapdf import validate
from tests.papers import every

CLEAN: dict[str, list[str]] = {"3a": [], "ua1": []}


def sealed(sheet: Sheet, *, by: User) -> Sheet:
    """As it would be issued; a label has no seal, as it claims nothing."""
    if sheet.kind == "label":
        return sheet
    proposed = propose_seal(sheet.kind, sheet.subject, by=by, at=every.AT)
    return dataclasses.replace(sheet, seal=proposed)


@pytest.mark.real_press
@pytest.mark.share(2)
def test_every_other_paper_is_archival_and_accessible_in_both_languages(
    shop, payer, helene, house_key, tmp_path
):
    made = []
    for language in ("en", "fr"):
        instrument = factories.instrument(payer, by=helene)
        case = factories.looked_over(factories.case(instrument, by=helene), by=helene)
        made += [
            case_label(case, language=language, made_at=every.AT),
            intake_receipt(case, language=language, made_at=every.AT),
            *every.of_the_offer(case, language, by=helene),
            *every.of_the_payer(payer, language, by=helene),
        ]
    for number, sheet in enumerate(made):
        whole = sealed(sheet, by=helene)
        pdf, _pages = render(whole)
        if whole.seal:
            pdf = seal(pdf, whole).pdf
            assert b"/ByteRange" in pdf
        (tmp_path / f"{number}-{sheet.kind}-{sheet.language}.pdf").write_bytes(pdf)

    found = validate(sorted(tmp_path.glob("*.pdf")))

    assert len(found) == len(made)
    assert {name: faults for name, faults in found.items() if faults != CLEAN} == {}
    printed = {(sheet.kind, sheet.language) for sheet in made}
    wanted = {kind for kind in registered() if kind not in KINDS} | {"label"}
    assert printed == {(kind, language) for kind in wanted for language in ("en", "fr")}
