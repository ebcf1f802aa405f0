"""Checks with a made-up room, for the advice."""

from repairs.gauges.action.plan import Check
from repairs.gauges.action.side import SideCheck
from repairs.gauges.base.verdict import Limit, judge

ROOM = Limit(0.0, None, "mm")


def check(kind, value, u=0.0, *, note=5, key=5, string=1, limit=ROOM, **more):
    return Check(kind, note, key, string, judge(value, u, limit), **more)


def seen(kind, value, nut, bridge=0.0, u=0.0, **more):
    """A room of the side view that changes by so much for each mm at nut and bridge."""
    return SideCheck(check(kind, value, u, **more), nut, bridge)
