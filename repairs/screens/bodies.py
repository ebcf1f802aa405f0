"""The body of a request that is no form: what a script of ours sends."""

from __future__ import annotations

import json
from typing import Any

from django.http import HttpRequest
from django.http.request import RawPostDataException


def raw_body(request: HttpRequest) -> bytes | None:
    """Its bytes; None when it came as a form, which a guard has read by then."""
    try:
        return request.body
    except RawPostDataException:
        return None


def json_object(request: HttpRequest) -> dict[str, Any] | None:
    """The JSON object in it, empty where nothing came; None when it is no such thing."""
    body = raw_body(request)
    try:
        sent = None if body is None else json.loads(body or b"{}")
    except (ValueError, RecursionError):
        return None
    return sent if isinstance(sent, dict) else None
