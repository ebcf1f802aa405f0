"""The recovery sheet: one page of paper for whoever must bring the casebook back without us.

It is no issued paper: nothing of it is kept, neither the sheet nor the key that stands on it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.keep.keys import in_groups, new_keeper_key
from repairs.people.block import house_block
from repairs.people.models import User
from repairs.press.document import Sheet
from repairs.press.render import render

KIND = "recovery_sheet"


@dataclass(frozen=True, kw_only=True)
class Body:
    """What stands on the sheet beside its fixed words."""

    place: str
    hour: str
    keep_n: int
    day: dt.date
    groups: tuple[str, ...]
    key: str
    public: str
    is_open: bool


@dataclass(frozen=True)
class Printed:
    """The PDF, and the public half of the key on it; empty without one."""

    pdf: bytes
    public: str


@deed()
def recovery_sheet(*, language: str, with_key: bool, at: dt.datetime, by: User | None) -> Printed:
    """Print the sheet, with a new key that only the paper then has, or with lines to write on."""
    secret, public = new_keeper_key() if with_key else ("", "")
    body = Body(
        place=settings.BACKUP_TO,
        hour=settings.BACKUP_AT,
        keep_n=settings.BACKUP_KEEP,
        day=at.date(),
        groups=tuple(in_groups(secret)) if secret else (),
        key=secret,
        public=public,
        is_open=not with_key and not settings.BACKUP_RECIPIENTS
        and not settings.BACKUP_PASSPHRASE_FILE,
    )  # fmt: skip
    with translation.override(language):
        title = _("Recovery sheet")
    sheet = Sheet(
        kind=KIND,
        template="keep/recovery_sheet.html",
        subject="house",
        language=language,
        title=title,
        reference="",
        house=house_block(),
        made_at=at,
        body=body,
    )
    pdf, _pages = render(sheet)
    record(by, "keep.sheet", "house:keep", at=at, public=public)
    return Printed(pdf, public)
