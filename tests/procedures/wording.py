"""A procedure is worded anew, and what then stands."""

from __future__ import annotations

import html
from typing import Any

from repairs.procedures import versions
from repairs.procedures.forms import ProcedureForm
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import shipped


def typed(key: str = "wheel_recentring", **changed: Any) -> dict[str, Any]:
    """What the form would send if nothing but the changed fields was touched."""
    form = ProcedureForm(content=dict(shipped()[key]))
    words = {name: form[name].value() for name in form.fields}
    filled = {name: value for name, value in words.items() if value not in (None, "")}
    return filled | {"because": "as we do it here"} | changed


def lines(key: str, code: str) -> list[str]:
    return [row["label"][code] for row in shipped()[key]["steps"]]


def newest(key: str = "wheel_recentring") -> ProcedureVersion:
    return versions.newest_versions()[key]


def said(answer: Any) -> str:
    return html.unescape(answer.content.decode())
