"""Which wording of a procedure is in force, and how a wording gets its version."""

from __future__ import annotations

import datetime as dt
from typing import Any

from repairs.audit.actions import deed, record
from repairs.instruments.kinds import kind_of
from repairs.people.models import User
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import Procedure, content_hash, procedure_of, shipped


def procedures() -> list[Procedure]:
    """Every procedure in its newest wording: the house's where it has one, else as delivered."""
    newest = newest_versions()
    known = [*shipped(), *(key for key in newest if key not in shipped())]
    return [
        newest[key].procedure if key in newest else procedure_of(shipped()[key]) for key in known
    ]


def newest_versions() -> dict[str, ProcedureVersion]:
    """The newest version of each procedure that was ever pinned, by its key."""
    rows = ProcedureVersion.objects.order_by("key", "version")
    return {row.key: row for row in rows}


def procedures_for(kind: str) -> list[Procedure]:
    """Those that fit the kind of instrument of that slug."""
    pattern = kind_of(kind)
    return [one for one in procedures() if one.fits(pattern)]


@deed()
def pin(key: str, *, at: dt.datetime) -> ProcedureVersion:
    """The version in force of a procedure, as a row that work may refer to for ever.

    The wording as delivered becomes a version when it is first used, and again when a later
    delivery words it otherwise and the house has not worded it itself. Raises KeyError for a
    procedure that is none.
    """
    newest = ProcedureVersion.objects.filter(key=key).first()
    if newest is not None and (
        newest.origin == ProcedureVersion.Origin.HOUSE or key not in shipped()
    ):
        return newest
    content = dict(shipped()[key])
    digest = content_hash(content)
    if newest is not None and newest.content_hash == digest:
        return newest
    row, _made = ProcedureVersion.objects.get_or_create(
        key=key,
        version=newest.version + 1 if newest else 1,
        defaults={
            "content": content,
            "content_hash": digest,
            "origin": ProcedureVersion.Origin.SHIPPED,
            "made_at": at,
        },
    )
    return row


@deed()
def reword(
    key: str, content: dict[str, Any], *, because: str, by: User, at: dt.datetime
) -> ProcedureVersion:
    """Keep the house's own wording as the next version; work begun keeps the one that it has."""
    present = pin(key, at=at) if key in shipped() or newest_versions().get(key) else None
    if present is not None and present.content_hash == content_hash(content):
        return present
    row = ProcedureVersion.objects.create(
        key=key,
        version=present.version + 1 if present else 1,
        content=content,
        content_hash=content_hash(content),
        origin=ProcedureVersion.Origin.HOUSE,
        because=because,
        made_at=at,
        made_by=by,
    )
    record(by, "procedure.reworded", f"procedure:{key}", at=at, version=row.version)
    return row
