"""The pages about money: what waits, one act each; and who may look."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.show import cases_to_invoice
from tests import factories


def proved(case):
    case.step = "proved"
    case.save()
    return case


def test_a_case_that_is_proved_waits_to_be_invoiced(books_open, shop, case):
    before = list(cases_to_invoice())
    proved(case)

    page = books_open.get(reverse("invoices:money")).text

    assert before == []
    assert f'value="{case.number}"' in page


def test_its_button_opens_a_draft_and_it_waits_no_more(books_open, shop, case):
    proved(case)

    books_open.post(reverse("invoices:draft_add"), {"case": case.number})

    assert InvoiceDraft.objects.get().case == case
    assert not cases_to_invoice().exists()


def test_a_case_whose_draft_was_thrown_away_waits_again(books_open, shop, case):
    proved(case)
    books_open.post(reverse("invoices:draft_add"), {"case": case.number})

    books_open.post(reverse("invoices:draft_discard", args=[InvoiceDraft.objects.get().pk]))

    assert list(cases_to_invoice()) == [case]


def test_a_client_is_found_and_billed(books_open, payer):
    page = books_open.get(reverse("invoices:draft_add"), {"q": "ollivant"}).text

    answer = books_open.post(reverse("invoices:draft_add"), {"client": payer.pk, "kind": "386"})

    assert "Garance Ollivant" in page
    assert InvoiceDraft.objects.get().kind == "386"
    assert answer.url == InvoiceDraft.objects.get().get_absolute_url()


@pytest.mark.parametrize("client_said", ["", "²", "0", "777777", "x"])
def test_nobody_is_not_billed(books_open, shop, client_said):
    answer = books_open.post(reverse("invoices:draft_add"), {"client": client_said})

    assert answer.status_code == 404


def test_a_credit_note_is_not_opened_from_nothing(books_open, payer):
    books_open.post(reverse("invoices:draft_add"), {"client": payer.pk, "kind": "381"})

    assert InvoiceDraft.objects.get().kind == "380"


def test_late_and_due_stand_apart_with_one_act_each(books_open, payer, invoice, helene):
    late = factories.draft(payer, by=helene, payment_days=0)
    old = factories.issued(late, by=helene, at=timezone.now() + dt.timedelta(seconds=1))
    Invoice.objects.filter(pk=old.pk).update(due_on=timezone.localdate() - dt.timedelta(days=40))

    page = books_open.get(reverse("invoices:money"))

    assert [item.invoice for item in page.context["late"]] == [old]
    assert [item.invoice for item in page.context["due"]] == [invoice]
    assert "40 days late" in page.text
    assert reverse("invoices:remind", args=[old.number]) in page.text


def test_what_is_to_be_paid_back_is_a_plain_amount(books_open, payer, invoice, helene):
    factories.payment(invoice, "500.00", by=helene)

    page = books_open.get(reverse("invoices:money"))

    assert [item.amount for item in page.context["to_pay_back"]] == [Decimal("82.40")]
    assert "82.40" in page.text
    assert "−82.40" not in page.text
    assert "Note the repayment" in page.text
    assert 'id="ages"' not in page.text


def test_a_repayment_is_proposed_with_its_sum(books_open, payer, invoice, helene):
    factories.payment(invoice, "500.00", by=helene)

    page = books_open.get(invoice.get_absolute_url())
    account = books_open.get(reverse("invoices:statement", args=[payer.pk])).text

    initial = page.context["payment_form"].initial
    assert (initial["sort"], initial["amount"]) == ("refund", Decimal("82.40"))
    assert '<option value="refund" selected>' in page.text
    assert re.search(r'<dd class="big told">\s*82.40\u00a0EUR\s*</dd>', page.text)
    assert '<span class="big">82.40\u00a0EUR' in account


def test_only_the_ages_in_which_something_stands_are_shown(books_open, invoice):
    ages = books_open.get(reverse("invoices:money")).context["aged"]

    assert [key for key, _words, _sum in ages.owed_sums] == ["not_due"]
    assert ages.owed == Decimal("417.60")


@pytest.mark.parametrize(
    ("role", "sees"),
    [("principal", True), ("bookkeeper", True), ("luthier", False), ("reader", False)],
)
def test_money_stands_in_the_navigation_of_whoever_may_see_it(client, db, house, role, sees):
    client.force_login(factories.person("basile", role))

    page = client.get(reverse("bench:home")).text

    assert (f'href="{reverse("invoices:money")}"' in page) is sees


def test_a_line_folds_its_tax_and_discount_away_and_says_them_in_short(books_open, draft):
    draft.lines.update(discount=Decimal("5.50"))

    page = books_open.get(draft.get_absolute_url()).text

    assert "Work, 20 %, discount 5.5" in page
    assert re.search(r"<details>\s*<summary>", page)
    assert "Discount, EUR" in page


def test_a_folded_field_that_is_to_be_mended_is_shown(books_open, draft):
    page = books_open.get(draft.get_absolute_url())
    form = page.context["lines"].forms[0]
    sent = {f"lines-0-{name}": str(form[name].value()) for name in form.base_fields}
    counts = {"lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "1"}

    answer = books_open.post(draft.get_absolute_url(), counts | sent | {"lines-0-rate_pct": "200"})

    assert re.search(r"<details open>\s*<summary>", answer.text)
    assert "More than 100 % is not possible here" in answer.text


def test_who_may_not_enter_the_workshops_data_is_told_whom_to_ask(client, owner, helene, odile):
    draft = factories.draft(owner, by=helene)
    said = {}

    for person in (helene, odile):
        client.force_login(person)
        said[person] = client.get(reverse("invoices:issue", args=[draft.pk])).text

    assert "only the principal enters: ask them." in said[odile]
    assert reverse("people:house_billing") not in said[odile]
    assert "only the principal enters" not in said[helene]
    assert reverse("people:house_billing") in said[helene]
