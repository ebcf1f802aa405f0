"""An agreement that stands is replaced on purpose only, and done work is not agreed to twice."""

from __future__ import annotations

import datetime as dt
import html
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import ConsentRefusedError
from repairs.estimates.wishes import OptionWish
from repairs.people.house_models import House
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import AgreedWork, WorkSpell
from tests import factories


@pytest.fixture
def offer(house, case, finding, armand) -> Estimate:
    """One option: a seam and cleats, each for the one finding."""
    lines = [factories.work_line(key, findings=[finding]) for key in ("seam", "cleats")]
    return factories.estimate(case, OptionWish(kind="safe", lines=lines), by=armand)


@pytest.fixture
def done(offer, armand) -> AgreedWork:
    """The seam was agreed to, took twenty minutes, and is signed off."""
    factories.consent(offer, by=armand)
    agreed = AgreedWork.objects.get(version__key="seam")
    work = factories.begun_work(agreed, by=armand)
    start = timezone.now() - dt.timedelta(hours=1)
    spell = WorkSpell(intervention=work, person=armand, started_at=start, minutes=20)
    type_minutes(spell, by=armand, at=timezone.now())
    factories.signed_off(factories.ticked(work, by=armand), by=armand)
    return agreed


def page(answer) -> str:
    return html.unescape(answer.text).replace("\u00a0", " ")


def test_work_that_is_signed_off_is_not_agreed_to_a_second_time(offer, case, done, armand):
    factories.consent(offer, by=armand)

    live = [row.version.key for row in case.agreed_works.live()]
    assert live == ["seam", "cleats"]
    assert case.agreed_works.filter(version__key="seam").count() == 1


def test_the_new_ceiling_holds_for_all_even_when_nothing_new_is_agreed(case, done, finding, armand):
    factories.begun_work(AgreedWork.objects.live().get(version__key="cleats"), by=armand)
    lines = [factories.work_line(key, findings=[finding]) for key in ("seam", "cleats")]
    dearer = OptionWish(kind="safe", lines=lines, ceiling=Decimal("900"))

    factories.consent(factories.estimate(case, dearer, by=armand), by=armand)

    assert case.agreed_works.count() == 2
    assert {row.ceiling for row in case.agreed_works.live()} == {Decimal("900.00")}


def test_the_same_work_for_another_finding_is_new_work(case, done, armand):
    other = factories.finding(case, by=armand)
    lines = [factories.work_line("seam", findings=[other])]
    offer = factories.estimate(case, OptionWish(kind="safe", lines=lines), by=armand)

    factories.consent(offer, by=armand)

    assert case.agreed_works.live().filter(version__key="seam").count() == 2


def test_an_agreement_is_not_replaced_unless_that_is_said(offer, done, armand):
    with pytest.raises(ConsentRefusedError, match="decision 1 stands already"):
        factories.consent(offer, by=armand, replaces=False)

    assert Consent.objects.count() == 1


@pytest.mark.parametrize("name", ["premises", "spoken", "link"])
def test_the_pages_show_what_stands_and_ask_to_replace_it(client, offer, done, armand, name):
    client.force_login(armand)
    House.objects.update(spoken_consent_most=Decimal("1000"))
    address = reverse("estimates:premises", args=[offer.case.number, offer.version])
    if name == "spoken":
        address = reverse("estimates:spoken", args=[offer.case.number, offer.version])
    elif name == "link":
        address = reverse("estimates:decide", args=[factories.link(offer, by=armand)[1]])
    said = {
        "choice": "1",
        "name": "Garance Ollivant",
        "signed_name": "Garance Ollivant",
        "how": "telephone",
        "said_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "words": "“The first.”",
        "confirmation": "message of today",
    }

    shown = page(client.get(address))
    unticked = page(client.post(address, said))
    ticked = client.post(address, said | {"replaces": "on"})

    assert "Decision 1: Garance Ollivant agreed to option 1 of version 1" in shown
    assert "done and signed off, 20 min" in shown
    assert "1 piece of work is not begun" in shown
    assert "Spent so far: 24.00 EUR, tax included." in shown
    assert "holds for everything together" in shown
    assert "In option 1 this is begun or done already" in shown
    assert "tick that it is replaced" in unticked
    assert ticked.status_code == 302
    assert Consent.objects.count() == 2


def test_a_first_decision_is_asked_no_such_thing(client, offer, armand):
    client.force_login(armand)

    shown = page(client.get(reverse("estimates:premises", args=[offer.case.number, 1])))

    assert 'name="replaces"' not in shown
    assert "A decision stands already" not in shown


# An offer that was declined -----------------------------------------------------------------------


@pytest.mark.parametrize("decision", ["agreed", "declined"])
def test_a_decision_to_decline_is_not_replaced_unless_that_is_said(offer, armand, decision):
    factories.consent(offer, by=armand, decision="declined", option=None)

    with pytest.raises(ConsentRefusedError, match="decision 1 stands already"):
        factories.consent(offer, by=armand, decision=decision, replaces=False)

    assert not AgreedWork.objects.exists()
    assert factories.consent(offer, by=armand, decision=decision).number == 2


def test_to_decline_one_version_says_nothing_of_the_next(offer, case, armand):
    factories.consent(offer, by=armand, decision="declined", option=None)
    second = factories.estimate(case, by=armand)

    assert factories.consent(second, by=armand, replaces=False).number == 2


def test_the_page_tells_who_declined_and_asks_to_replace_it(client, offer, armand):
    factories.consent(offer, by=armand, decision="declined", option=None)
    client.force_login(armand)
    address = reverse("estimates:premises", args=[offer.case.number, offer.version])
    said = {"choice": "1", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"}

    shown = page(client.get(address))
    unticked = page(client.post(address, said))
    ticked = client.post(address, said | {"replaces": "on"})

    assert "✕ declined · Garance Ollivant, on the premises, signed" in shown
    assert "ceiling of a new decision" not in shown
    assert "tick that it is replaced" in unticked
    assert ticked.status_code == 302
    assert Consent.objects.get(number=2).decision == "agreed"
