"""Plays a guided set-up: its readings, what was seen and changed, its rounds, its sheet."""

from __future__ import annotations

from uuid import NAMESPACE_URL, uuid5

from repairs.audit.actions import deed
from repairs.cases.models import Case
from repairs.demo.cast import Cast, Row, moment
from repairs.demo.going import issue_paper
from repairs.demo.look import take_reading
from repairs.people.models import User
from repairs.readings.setup import actions
from repairs.readings.setup.orders import Order, order_for
from repairs.readings.setup_models import SetUp


def set_up(cast: Cast, stay: Row, case: Case) -> None:
    """Play the session of a stay that has one; what is there already is passed over."""
    said = stay.get("setup")
    order = order_for(case)
    if said is None or order is None:
        return
    by = cast.people[said["by"]]
    setup = case.setups.first()
    if setup is None:
        setup = actions.begin(case, by=by, at=moment(said["begun_at"]))
        cast.tell(case, "a guided set-up begun")
    setup.case = case
    for number, one in enumerate(said["deeds"]):
        if "reading" in one:
            take_reading(case, one["reading"], by=by)
        elif "mark" in one:
            _mark(setup, order, number, one["mark"], by=by)
        else:
            kind, at = one["paper"]
            issue_paper(cast, case, kind, case.owner.language, moment(at))


@deed()
def _mark(setup: SetUp, order: Order, number: int, said: list[str], *, by: User) -> None:
    """A mark bears a name that follows from its place: played twice, it is kept once."""
    key, what, at, words = said
    step = order.step(key)
    if step is None:
        raise LookupError(f"fixtures/demo/setup.json: no step “{key}” in the order {order.key}")
    last = setup.marks.last()
    tap = uuid5(NAMESPACE_URL, f"{setup.case.number}/{setup.number}/{number}")
    wish = actions.Wish(step, what, words, tap, known=last.pk if last else 0)
    actions.mark(setup, order, wish, by=by, at=moment(at))
