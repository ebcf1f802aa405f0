"""The one table of addresses: the deed that each wants, and how it answers who may."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLResolver, get_resolver
from django.utils import timezone

from repairs.people.models import Role

NOBODY = "nobody"
TODAY = timezone.localdate().isoformat()
OPEN = "open"


@dataclass(frozen=True)
class Route:
    """What one address wants, and how it answers someone who may: method, status, what is sent."""

    deed: str
    method: str = "GET"
    status: int = 200
    sent: tuple[tuple[str, Any], ...] = ()


def page(deed: str) -> Route:
    return Route(deed)


def post(deed: str, status: int = 302, **sent: Any) -> Route:
    return Route(deed, "POST", status, tuple(sent.items()))


TABLE = {
    "people:sign_in": page(OPEN),
    "people:sign_out": post(OPEN),
    "people:language": post(OPEN, language="en"),
    "people:clients": page("view"),
    "people:client_add": page("people"),
    "people:client": page("view"),
    "people:client_edit": page("people"),
    "people:consent_add": post("people", purpose="keep", how="spoken"),
    "people:consent_withdraw": post("people"),
    "people:house_as_owner": post("take_in"),
    "people:house": page("house"),
    "people:house_billing": page("house"),
    "people:seal": page("house"),
    "people:seal_new": post("house"),
    "people:seal_stamps": post("house"),
    "people:user_add": page("house"),
    "people:user": page("house"),
    "bench:log_head": page("house"),
    "bench:go_on": post("house"),
    "bench:look_at_number": post("house"),
    "keep:trust": page(OPEN),
    "keep:trust_file": Route(OPEN, status=404),
    "press:verify": page(OPEN),
    "press:verify_code": page(OPEN),
    "press:proof": page(OPEN),
    "instruments:list": page("view"),
    "instruments:add": page("take_in"),
    "instruments:detail": page("view"),
    "instruments:edit": page("take_in"),
    "instruments:parts": page("record"),
    "instruments:part_add": post("record", label="Crank flange"),
    "instruments:usual": post("record"),
    "instruments:hazards": page("record"),
    "instruments:hazard_lift": Route("examine", "POST", 302, (("lead-because", "None found."),)),
    "wood:list": page("view"),
    "wood:add": page("record"),
    "wood:piece": page("view"),
    "wood:edit": page("record"),
    "wood:test": page("record"),
    "wood:take": page("record"),
    "wood:put_back": post("record"),
    "wood:offcut": page("record"),
    "wood:used_up": post("record"),
    "cases:choose": page("take_in"),
    "cases:new": page("take_in"),
    "cases:take_in": page("take_in"),
    "cases:edit": page("take_in"),
    "cases:wait": post("record", waits_for="part"),
    "cases:place": post("record", place="North bench"),
    "cases:receipt": page("receipt"),
    "cases:receipt_preview": page("see_prices"),
    "cases:label": page("view"),
    "photos:add": page("record"),
    "photos:name": post("record", view_1="front"),
    "photos:begin": post("record", 200, name="IMG_2.jpg", size=10, phase="arrival"),
    "photos:send": post("record", 200),
    "photos:states": page("view"),
    "photos:picture": page("view"),
    "photos:describe": post("record", phase="before", caption="The wheel"),
    "photos:develop": post("record"),
    "photos:withdraw": post("record", 200),
    "photos:restore": post("record"),
    "findings:add": page("record"),
    "findings:edit": page("record"),
    "findings:withdraw": post("record", 200),
    "findings:restore": post("record"),
    "findings:look_over": page("record"),
    "findings:parts": page("record"),
    "findings:finish": post("examine"),
    "findings:photo": page("view"),
    "findings:note_seen": post("record", 200),
    "findings:more_of": post("record", 200, seen=0, note="It goes on."),
    "findings:take_back": post("record", 200),
    "findings:lay_map": post("record", 200, taps={}),
    "findings:part_map": page("view"),
    "findings:annotations": page("view"),
    "findings:tag_create": post("record", 201, shape="point", points=[[0.5, 0.5]]),
    "findings:tag_change": post("record", 200, points=[[0.1, 0.1], [0.2, 0.2]]),
    "findings:tag_withdraw": post("record", 200),
    "findings:tag_restore": post("record", 200),
    "readings:choose": page("record"),
    "readings:take": page("record"),
    "readings:try": post("record", status=200),
    "readings:detail": page("view"),
    "readings:measured": post("record"),
    "readings:card": page("view"),
    "readings:setup": page("view"),
    "readings:setup_begin": post("record"),
    "readings:setup_mark": post(
        "record", step="air", what="seen", known=0, tap="7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8a"
    ),
    "readings:setup_end": post("record"),
    "readings:recompute": post("record"),
    "readings:withdraw": post("record"),
    "readings:diagnosis": page("view"),
    "readings:what_it_was": post(
        "record", none_of_these="on", known=0, tap="7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8b"
    ),
    "readings:tools": page("record"),
    "readings:limits": page("house"),
    "readings:limit_edit": page("house"),
    "estimates:list": page("view"),
    "estimates:new": post("estimate"),
    "estimates:detail": page("see_prices"),
    "estimates:edit": page("estimate"),
    "estimates:preview": page("see_prices"),
    "estimates:issue": post("estimate", language="en"),
    "estimates:withdraw": post("estimate"),
    "estimates:link": post("estimate"),
    "estimates:link_shown": Route("estimate", status=302),  # nothing was made to be shown
    "estimates:revoke": post("estimate"),
    "estimates:premises": page("estimate"),
    "estimates:spoken": page("estimate"),
    "estimates:consent": page("see_prices"),
    "estimates:record_preview": page("see_prices"),
    "estimates:record": post("estimate"),
    "estimates:decide": page(OPEN),
    "estimates:decide_file": page(OPEN),
    "estimates:decide_photo": page(OPEN),
    "estimates:thanks": Route(OPEN, status=410),
    "invoices:money": page("see_money"),
    "invoices:draft_add": page("bill"),
    "invoices:draft": page("bill"),
    "invoices:draft_discard": post("bill"),
    "invoices:issue": page("bill"),
    "invoices:preview": page("bill"),
    "invoices:invoice": page("see_money"),
    "invoices:pay": post("bill", sort="received", amount="1", means="30", paid_on=TODAY),
    "invoices:reverse": post("bill"),
    "invoices:credit": post("bill"),
    "invoices:remind": page("bill"),
    "invoices:send": page("bill"),
    "invoices:xml": page("see_money"),
    "invoices:file": page("see_money"),
    "invoices:paper": page("see_money"),
    "invoices:statement": page("see_money"),
    "invoices:books": page("books"),
    "invoices:export": page("books"),
    "invoices:closing": page("books"),
    "invoices:close": post("books"),
    "invoices:check": page("see_money"),
    "treatment:wheel_ledger": page("view"),
    "treatment:agree": page("agree"),
    "treatment:begin": page("record"),
    "treatment:drop": post("sign_off", because="sold"),
    "treatment:work": page("view"),
    "treatment:clock": post("record", do="start"),
    "treatment:minutes": page("record"),
    "treatment:steps": post("record", rest="1"),
    "treatment:step_states": page("view"),
    "treatment:card": page("view"),
    "treatment:describe": post("record", words="Tight again."),
    "treatment:proof": page("sign_off"),
    "treatment:follow": post("record", amount="0,05"),
    "treatment:material_add": post("record", name="hide glue"),
    "treatment:material_back": post("record"),
    "treatment:removed_add": post("record", description="key 4"),
    "treatment:new_part": page("record"),
    "treatment:new_part_back": post("record"),
    "treatment:bag": page("view"),
    "treatment:fate": post("record", fate="given_back"),
    "treatment:bag_label": page("view"),
    "treatment:procedures": page("view"),
    "treatment:procedure": page("view"),
    "treatment:procedure_edit": page("house"),
    "papers:list": page("view"),
    "papers:detail": page("view"),
    "papers:file": page("view"),
    "papers:data": page("view"),
    "papers:make": page("view"),
    "papers:make_preview": post("record"),
    "papers:make_issue": post("receipt"),
    "papers:preview_file": page("view"),
    "papers:return": page("receipt"),
    "keep:store": page("house"),
    "keep:store_mend": post("house"),
    "keep:failed": page("record"),
    "keep:failed_again": post("record"),
    "keep:failed_let_go": post("record"),
    "keep:backups": page("house"),
    "keep:now": post("house"),
    "keep:sheet": post("house", 200),
    "bench:home": page("view"),
    "bench:start": page("house"),
    "bench:start_pass": post("house", step="limits"),
    "bench:counter": page("take_in"),
    "bench:search": page("view"),
    "bench:case": page("view"),
}
JSON_ROUTES = {
    "photos:begin",
    "findings:tag_create",
    "findings:tag_change",
    "findings:more_of",
    "findings:lay_map",
}
ROLES = [*Role.values, NOBODY]


@dataclass(frozen=True)
class Found:
    """An address as the URLconf has it: its view, and the parts of it that vary."""

    view: Any
    arguments: tuple[str, ...]


def walk(
    patterns: list[Any], spaces: tuple[str, ...] = (), outer: tuple[str, ...] = ()
) -> Iterator[tuple[str, Found]]:
    for row in patterns:
        arguments = (*outer, *row.pattern.converters)
        if isinstance(row, URLResolver):
            inner = (*spaces, row.namespace) if row.namespace else spaces
            yield from walk(row.url_patterns, inner, arguments)
        else:
            name = ":".join((*spaces, row.name or f"unnamed {row.pattern}"))
            yield name, Found(row.callback, arguments)


ADDRESSES = dict(walk(get_resolver().url_patterns))
