"""The pages of money: what waits, one invoice, its payments."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.invoices.access import invoice_for
from repairs.invoices.models import Payment
from repairs.language.refusal import WorkshopError
from repairs.payments.actions import note_parted, noted_words, usual_payment
from repairs.payments.actions import reverse_payment as reverse
from repairs.payments.forms import PaymentForm
from repairs.payments.show import invoice_facts, money_facts
from repairs.people.access import SignedInRequest, needs


@needs("see_money")
def money(request: SignedInRequest) -> HttpResponse:
    """What waits to be invoiced, to be issued, to be paid."""
    return render(request, "payments/money.html", money_facts(timezone.localdate()))


@needs("see_money")
def invoice_page(request: SignedInRequest, invoice: str) -> HttpResponse:
    """One invoice with its papers, its payments and the form for the next one."""
    row = invoice_for(invoice)
    facts = invoice_facts(row, timezone.localdate())
    usual = usual_payment(row, facts["balance"])
    initial = {**usual, "paid_on": timezone.localdate(), "means": row.draft.means}
    form = PaymentForm(instance=Payment(invoice=row), initial=initial)
    return render(request, "payments/invoice.html", {**facts, "payment_form": form})


@needs("bill")
@require_POST
def pay(request: SignedInRequest, invoice: str) -> HttpResponse:
    """Note a payment; what is refused or odd comes back in the form."""
    row = invoice_for(invoice)
    form = PaymentForm(request.POST, instance=Payment(invoice=row))
    if form.is_valid():
        try:
            rows = note_parted(form.save(commit=False), by=request.user, at=timezone.now())
        except WorkshopError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, noted_words(rows))
            return redirect(row)
    facts = invoice_facts(row, timezone.localdate())
    return render(request, "payments/invoice.html", {**facts, "payment_form": form})


@needs("bill")
@require_POST
def reverse_payment(request: SignedInRequest, invoice: str, payment: int) -> HttpResponse:
    """Undo a wrong entry by one that says the contrary."""
    row = invoice_for(invoice)
    wrong = get_object_or_404(row.payments.select_related("invoice", "reversal"), pk=payment)
    reverse(wrong, timezone.localdate(), by=request.user, at=timezone.now())
    messages.success(request, _("The entry is reversed; both stand in the books."))
    return redirect(row)
