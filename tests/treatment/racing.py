"""What a second process does in these tests: one verb at the same moment as another process."""

from __future__ import annotations

import sys
from collections.abc import Callable
from decimal import Decimal

from django.utils import timezone

from repairs.language.refusal import WorkshopError
from repairs.people.models import User
from repairs.treatment.actions import open_work
from repairs.treatment.clocks import start_clock
from repairs.treatment.models import AgreedWork, Intervention
from repairs.treatment.part_models import NewPart
from repairs.treatment.parts import fit_new_part
from repairs.treatment.signing import sign_off
from repairs.wood.models import Piece, Withdrawal
from tests.beside import ready


def start(username: str, work: str) -> None:
    person, row = User.objects.get(username=username), Intervention.objects.get(pk=work)
    ready()
    _say(lambda: start_clock(row, by=person, at=timezone.now()))


def begin(username: str, agreed: str) -> None:
    person, row = User.objects.get(username=username), AgreedWork.objects.get(pk=agreed)
    work = Intervention(case=row.case, agreed=row)
    ready()
    _say(lambda: open_work(work, findings=[], parts=[], by=person, at=timezone.now()))


def sign(username: str, work: str) -> None:
    person, row = User.objects.get(username=username), Intervention.objects.get(pk=work)
    reasons = {"steps": "seen"}
    ready()
    _say(lambda: sign_off(row, reasons=reasons, words="", by=person, at=timezone.now()))


def cut(username: str, work: str, piece: str) -> None:
    """Take 300 of the 400 cm³ of a board."""
    person, row = User.objects.get(username=username), Intervention.objects.get(pk=work)
    board = Piece.objects.get(pk=piece)
    length, width, thickness = Decimal(375), Decimal(200), Decimal(4)
    taken = Withdrawal(piece=board, length_mm=length, width_mm=width, thickness_mm=thickness)
    part = NewPart(intervention=row, description="bar", origin=NewPart.Origin.WOOD_STORE)
    ready()
    _say(lambda: fit_new_part(part, taken, by=person, at=timezone.now()))


def _say(verb: Callable[[], object]) -> None:
    try:
        verb()
    except WorkshopError as refusal:
        sys.stdout.write(type(refusal).__name__)
    else:
        sys.stdout.write("done")
