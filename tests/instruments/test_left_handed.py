"""A left-handed instrument says so, and only such a one."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from repairs.cases.compile import intake_receipt
from repairs.instruments.models import Instrument
from repairs.papers.condition import instrument_units
from tests import factories


def test_it_is_ticked_on_the_form_and_kept(client, send):
    send(left_handed="on")

    entered = Instrument.objects.get()
    assert entered.left_handed is True
    page = client.get(reverse("instruments:edit", args=[entered.number])).text
    assert "checked" in page.partition('name="left_handed"')[2].partition(">")[0]


def test_an_instrument_is_right_handed_unless_somebody_says_otherwise(send):
    send()

    assert Instrument.objects.get().left_handed is False


@pytest.mark.parametrize(("language", "said"), [("en", "Left-handed"), ("fr", "Pour gaucher")])
def test_page_receipt_and_report_say_it_only_where_it_is_so(client, vielle, armand, language, said):
    armand.language = language
    armand.save()
    case = factories.case(vielle, by=armand)
    client.force_login(armand)

    for is_so in (False, True):
        vielle.left_handed = is_so
        vielle.save()
        case.refresh_from_db()
        receipt = intake_receipt(case, language=language, made_at=timezone.now()).body
        with translation.override(language):
            report = {row.key: row.label for row in instrument_units.identity_rows(vielle)}
        page = client.get(reverse("instruments:detail", args=[vielle.number])).text
        assert (f"<dt>{said}</dt>" in page) is is_so
        assert (said in dict(receipt.instrument)) is is_so
        assert (report.get("left_handed") == said) is is_so
