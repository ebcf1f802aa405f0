"""The deeds in whose middle processes are killed: how each is done, counted, and held to be whole.

Each bears a mark of its own by which its rows are found again. ``prepare`` opens what the deed
needs, ``do`` is the deed itself, ``count`` says how often it stands in the database, and ``odd``
tells what of its kind is half or does not add up.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any, Protocol

from django.db.models import Count, Sum
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localtime

from repairs.estimates.consent.links import make_link
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.invoices.series_models import InvoiceSeries
from repairs.measures.killed.house import OWNER, Laid, draft
from repairs.measures.killed.pages import Act, browser, filled, sent
from repairs.people.models import Client, User
from repairs.photos.models import Photo
from repairs.storage import files as store
from repairs.treatment.models import AgreedWork, WorkSpell
from repairs.wood.models import Piece, Withdrawal

OK, SEEN_OTHER = 200, 302
MOST_PIECES = 8


class Deed(Protocol):
    """One kind of deed."""

    name: str

    def prepare(self, laid: Laid, mark: str) -> Act: ...

    def do(self, act: Act) -> tuple[int, str]: ...

    def count(self, mark: str) -> int: ...

    def odd(self) -> Iterator[str]: ...


class Opening:
    """A deed in browsers: those of Django's own tests, or ones of the real server."""

    def __init__(self, opens: Callable[[str], Any] = browser) -> None:
        self.opens = opens


class Formed(Opening):
    """A deed that is done by sending a form."""

    def do(self, act: Act) -> tuple[int, str]:
        """The status of the answer, and where it led."""
        return sent(act, self.opens(""))

    def odd(self) -> Iterator[str]:
        """Nothing beside what every batch is held against."""
        return iter(())


class Wood(Formed):
    """Wood is taken off a board."""

    name = "wood"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """The form of the board."""
        sizes = {"length_mm": "10", "width_mm": "10", "thickness_mm": "4"}
        page = reverse("wood:take", args=[laid.piece])
        return filled(self.opens(laid.session), mark, page, "purpose", purpose=mark, **sizes)

    def count(self, mark: str) -> int:
        """Withdrawals for that purpose."""
        return Withdrawal.objects.filter(purpose=mark).count()

    def odd(self) -> Iterator[str]:
        """Numbers of withdrawals with gaps, and amounts that do not add up."""
        for piece in Piece.objects.all():
            rows = piece.withdrawals.filter(returned_at=None)
            numbers = sorted(piece.withdrawals.values_list("number", flat=True))
            if numbers != list(range(1, len(numbers) + 1)):
                yield f"{piece.number}: withdrawals are numbered {numbers[-5:]}"
            taken = rows.aggregate(all=Sum("volume_cm3"))["all"] or Decimal(0)
            if abs(piece.volume_cm3 - taken - piece.rest_cm3) > Decimal("0.001"):
                yield f"{piece.number}: {taken} taken, {piece.rest_cm3} left"


class Paid(Formed):
    """Money that came is noted."""

    name = "payment"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """The form on the page of the invoice."""
        page = reverse("invoices:invoice", args=[laid.invoice])
        words = {"amount": "1.00", "means": "30", "sort": "received", "note": mark}
        return filled(self.opens(laid.session), mark, page, "amount", **words)

    def count(self, mark: str) -> int:
        """Payments with that note."""
        return Payment.objects.filter(note=mark).count()

    def odd(self) -> Iterator[str]:
        """Invoices whose balance is not what their rows say."""
        for row in Invoice.objects.with_balance():
            came = row.payments.aggregate(all=Sum("amount"))["all"] or Decimal(0)
            if row.credits is None and row.balance != row.due - came:
                yield f"{row.number}: {row.due} due, {came} came, {row.balance} open"


class Minutes(Formed):
    """Minutes at the bench are typed."""

    name = "minutes"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """The form of the work."""
        page = reverse("treatment:minutes", args=[laid.case, laid.work])
        begun = localtime() - dt.timedelta(hours=2)
        words = {"started_at": f"{begun:%Y-%m-%dT%H:%M}", "minutes": "15", "note": mark}
        return filled(self.opens(laid.session), mark, page, "minutes", person=laid.person, **words)

    def count(self, mark: str) -> int:
        """Spells with that note."""
        return WorkSpell.objects.filter(note=mark).count()


class Agreed(Formed):
    """An owner agrees by a link; each deed has one of its own."""

    name = "consent"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """A new link, and its form; a decision that stands is replaced."""
        by, offer = User.objects.get(pk=laid.person), Estimate.objects.get(pk=laid.estimate)
        link, token = make_link(offer, by=by, at=timezone.now())
        page = reverse("estimates:decide", args=[token])
        words = {"choice": "1", "name": OWNER, "signed_name": OWNER, "replaces": "on"}
        return filled(self.opens(""), str(link.pk), page, "signed_name", **words)

    def count(self, mark: str) -> int:
        """Decisions by that link."""
        return Consent.objects.filter(link_id=int(mark)).count()

    def odd(self) -> Iterator[str]:
        """A consent without its work or the other way round, a link that says otherwise."""
        numbers = sorted(Consent.objects.values_list("number", flat=True))
        if numbers != list(range(1, len(numbers) + 1)):
            yield f"consents are numbered {numbers[-5:]}"
        agreed = Consent.objects.filter(decision=Consent.Decision.AGREED)
        works = AgreedWork.objects.filter(case__in=agreed.values("case")).count()
        if works != agreed.count():
            yield f"{agreed.count()} consents, {works} works agreed"
        used = set(ConsentLink.objects.exclude(used_at=None).values_list("pk", flat=True))
        if used != set(Consent.objects.exclude(link=None).values_list("link_id", flat=True)):
            yield "links that are used up are not those of the consents"


class Issued(Formed):
    """An invoice is issued, with its e-invoice, paper and books."""

    name = "invoice"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """A new draft, and the page that shows what would be issued."""
        by, client = User.objects.get(pk=laid.person), Client.objects.get(pk=laid.client)
        row = draft(client, by)
        page = reverse("invoices:issue", args=[row.pk])
        return filled(self.opens(laid.session), str(row.pk), page, "shown")

    def count(self, mark: str) -> int:
        """Invoices of that draft."""
        return Invoice.objects.filter(draft_id=int(mark)).count()

    def odd(self) -> Iterator[str]:
        """Gaps and twins of numbers, times against them, rows or files that lack."""
        rows = list(Invoice.objects.order_by("issued_at").select_related("paper"))
        yield from self._odd_numbers(rows)
        sums = TaxRow.objects.order_by("invoice").values_list("invoice").annotate(all=Sum("tax"))
        taxes = dict(sums)
        for row in rows:
            if taxes.get(row.pk) != row.vat:
                yield f"{row.number}: its tax rows say {taxes.get(row.pk)}, not {row.vat}"
            for name in (row.paper.file_name, row.xml_name):
                if not store.path_of(name).is_file():
                    yield f"{row.number}: {name} is not there"

    @staticmethod
    def _odd_numbers(rows: list[Invoice]) -> Iterator[str]:
        for series in InvoiceSeries.objects.all():
            numbers = sorted(row.sequence for row in rows if row.series_id == series.pk)
            if numbers != list(range(1, series.last + 1)):
                yield f"{series} is at {series.last}, and has gaps or twins: {numbers[-5:]}"
        if (order := [(row.series_id, row.sequence) for row in rows]) != sorted(order):
            yield "numbers do not follow the time of issue"
        open_of = InvoiceDraft.objects.open().filter(pk__in=[row.draft_id for row in rows])
        if open_of.exists():
            yield "drafts that were issued are still open"


class Sent(Opening):
    """A photo is sent in two pieces; its mark is the hash of its bytes."""

    name = "photo"

    def prepare(self, laid: Laid, mark: str) -> Act:
        """A small picture with the mark in it; nothing is sent yet."""
        data = picture(mark)
        words = {"seed": [mark], "case": [laid.case]}
        return Act(hashlib.sha256(data).hexdigest(), "", words, {"session": laid.session})

    def do(self, act: Act) -> tuple[int, str]:
        """Begin, or go on where it was cut, and send the rest; 302 once it is said to be there."""
        (case,), (seed,), data = act.words["case"], act.words["seed"], picture(act.words["seed"][0])
        who = self.opens(act.cookies["session"])
        who.get(reverse("photos:add", args=[case]))  # the guard's token comes with a page
        guard = {"X-CSRFToken": who.cookies["csrftoken"].value}
        said = {"name": f"{seed}.jpg", "size": len(data), "modified": "1", "phase": "arrival"}
        status, begun = _asked(who, reverse("photos:begin", args=[case]), json.dumps(said), guard)
        offset = int(begun.get("offset", 0))
        for _piece in range(MOST_PIECES):
            if status != OK:
                break
            # Of one that had come whole, but was not yet kept, nothing is left to send but that.
            piece = data[offset : offset + len(data) // 2]
            place = reverse("photos:send", args=[case, begun["upload"]])
            status, told = _asked(who, f"{place}?offset={offset}", piece, guard)
            if told.get("done"):
                return SEEN_OTHER, str(told["photo"])
            offset = int(told.get("offset", offset))
        return status, ""

    def count(self, mark: str) -> int:
        """Whether its bytes came. A twin by another page is refused later on."""
        return int(Photo.objects.filter(original__sha256=mark).exists())

    def odd(self) -> Iterator[str]:
        """Photos without their original, shown twice, or numbered with gaps; once developed."""
        for photo in Photo.objects.filter(original=None).exclude(state=Photo.State.REFUSED):
            yield f"photo {photo.pk} has no original"
        shown = Photo.objects.filter(state=Photo.State.READY, withdrawn_at=None)
        for row in shown.values("original").annotate(n=Count("pk")).filter(n__gt=1).order_by():
            yield f"original {row['original']} is shown {row['n']} times"
        numbers = sorted(Photo.objects.values_list("number", flat=True))
        if numbers != list(range(1, len(numbers) + 1)):
            yield f"photos are numbered {numbers[-5:]}"


def _asked(who: Any, place: str, body: Any, guard: dict[str, str]) -> tuple[int, dict[str, Any]]:
    kind = "application/json" if isinstance(body, str) else "application/octet-stream"
    answer = who.post(place, body, content_type=kind, headers=guard)
    is_told = answer.headers.get("Content-Type", "").startswith("application/json")
    return answer.status_code, answer.json() if is_told else {}


def picture(mark: str) -> bytes:
    """A small photo that no other mark has."""
    from PIL import Image  # noqa: PLC0415 - of one kind of deed

    out, colour = io.BytesIO(), hashlib.sha256(mark.encode()).digest()
    Image.new("RGB", (160, 120), (colour[0], colour[1], colour[2])).save(out, "JPEG")
    return out.getvalue() + mark.encode()


DEEDS: dict[str, Deed] = {
    deed.name: deed for deed in (Wood(), Paid(), Minutes(), Agreed(), Issued(), Sent())
}
