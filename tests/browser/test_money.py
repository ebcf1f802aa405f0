"""The pages about money before axe-core, on a phone and on a desk, in the light and in the dark;
and the way from a draft to a payment, as a person goes it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from repairs.einvoice.write.cii import build_cii
from repairs.invoices.models import Invoice
from repairs.payments.reminders import issue_reminder
from tests import factories
from tests.browser.judge import faults
from tests.browser.test_accessibility import LEAST_PX, TOO_SMALL, both_sizes
from tests.browser.walk import PHONE
from tests.einvoice.samples import TWO_RATES

pytestmark = pytest.mark.browser


@pytest.fixture
def addresses(threads_database, helene) -> dict[str, str]:
    """A late invoice that was reminded of and paid in part, and a draft."""
    factories.billing_house(penalty_rate_pct=Decimal("12"))
    payer = factories.payer(by=helene, name="Musée de Valbrune", company_number="356000000")
    ago = timezone.now() - dt.timedelta(days=70)
    invoice = factories.issued(factories.draft(payer, by=helene), by=helene, at=ago)
    factories.payment(invoice, "100.00", by=helene)
    issue_reminder(invoice, by=helene, at=timezone.now() - dt.timedelta(days=20))
    draft = factories.draft(payer, by=helene)
    page = f"/papers/money/invoices/{invoice.number}/"
    return {
        "money": "/papers/money/",
        "bill-whom": "/papers/money/drafts/add/",
        "draft": f"/papers/money/drafts/{draft.pk}/",
        "issue": f"/papers/money/drafts/{draft.pk}/issue/",
        "invoice": page,
        "remind": f"{page}remind/",
        "send": f"{page}send/",
        "xml": f"{page}xml/",
        "account": f"/papers/money/clients/{payer.pk}/",
        "books": f"/papers/money/books/?period={ago.year}",
        "closing": f"/papers/money/books/{timezone.localdate().year}/closing/",
        "check": "/papers/money/check/",
        "billing": "/house/billing/",
    }


@pytest.mark.share(4, 1)
@pytest.mark.parametrize("quarter", range(4))
def test_every_page_about_money_is_good_to_read_and_wide_enough_for_a_thumb(
    addresses, helene, open_window, quarter
):
    walk = open_window(helene, size=PHONE)
    found, small = {}, {}

    for name, address in list(addresses.items())[quarter::4]:
        walk.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        walk.go(address, name)
        small[name] = walk.page.evaluate(TOO_SMALL, LEAST_PX)
        for width in both_sizes(walk.page):
            found[name, width] = faults(walk.page)
            assert walk.too_wide() == [], (name, width)

    assert {place: what for place, what in found.items() if what} == {}
    assert {name: what for name, what in small.items() if what} == {}


@pytest.mark.share(2)
def test_axe_finds_nothing_in_the_dark(addresses, helene, open_window):
    walk = open_window(helene, color_scheme="dark")
    found = {}

    for name in ("money", "draft", "issue", "invoice", "books"):
        walk.go(addresses[name], f"dark-{name}")
        found[name] = faults(walk.page)

    assert {place: what for place, what in found.items() if what} == {}


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_check_of_a_received_file_fits_a_phone(addresses, helene, open_window, language):
    helene.language = language
    helene.save()
    walk = open_window(helene, size=PHONE, language=language)
    wrong = build_cii(TWO_RATES).replace(b"357.75", b"507.75").replace(b"20261120", b"19991120")
    walk.go(addresses["check"], "check")

    walk.page.locator("#id_file").set_input_files(
        {"name": "theirs.xml", "mimeType": "text/xml", "buffer": wrong}
    )
    walk.press("Check it")
    walk.arrive(f"checked-{language}")

    found = walk.page.locator(".finding-line p[lang]")
    assert set(found.evaluate_all("all => all.map(one => one.lang)")) == {"en", "fr"}
    for width in both_sizes(walk.page):
        assert walk.page.evaluate("document.documentElement.scrollWidth") <= width
        assert faults(walk.page) == ""


def test_from_the_draft_to_the_payment(addresses, helene, open_window):
    walk = open_window(helene, size=PHONE)
    walk.go(addresses["draft"], "draft")

    walk.page.locator("#id_lines-0-quantity").fill("2,5")
    walk.press("Save and see what will be issued")
    walk.arrive("issue", path="/issue/$")
    number = f"FA-{timezone.localdate().year}-0002"
    walk.press("Issue %(number)s".replace("%(number)s", number))
    walk.arrive("invoice", path=f"/{number}/$")
    walk.page.locator("#id_amount").fill("144,00")
    walk.press("Note the payment")
    walk.arrive("paid", path=f"/{number}/$")

    expect(walk.page.get_by_text("settled")).to_be_visible()
    assert Invoice.objects.get(number=number).due == Decimal("144.00")
