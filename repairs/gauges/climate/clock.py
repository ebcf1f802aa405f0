"""Summer time in a logger’s file: the clock went forward or back, the air did not.

A logger that follows a telephone’s clock leaves out an hour one night in March and writes one
twice one night in October. Neither is a hole, a contradiction or a disorder.
"""

from __future__ import annotations

from repairs.gauges.base.arrays import NDArray, Seconds, np

HOUR_S, DAY_S = 3600, 86_400
MOST_STEP_S = 2 * HOUR_S  # a slower logger does not show it
SUNDAY = 6
LAST_HOUR = 3  # clocks are changed between midnight and four


def summer_time(clock_s: Seconds) -> tuple[NDArray[np.bool_], int]:
    """Return which rows, in the order of the file, bear summer time, and how often it changed.

    ``clock_s`` (N,): seconds on the file’s own clock. A change is a step that is just an hour
    longer or shorter than the one before it, in the night of a Sunday on which the European Union
    (Directive 2000/84/EC) or the United States change their clocks.
    """
    steps = np.diff(clock_s)
    is_summer = np.zeros(len(clock_s), dtype=np.bool_)
    before = np.concatenate((steps[1:2], steps[:-1]))
    usual = (before > 0) & (before <= MOST_STEP_S)
    forward = np.flatnonzero(usual & (steps == before + HOUR_S))
    back = np.flatnonzero(usual & (steps == before - HOUR_S))
    changes = [(int(at), True) for at in forward if _is_night(clock_s, int(at), in_spring=True)]
    changes += [(int(at), False) for at in back if _is_night(clock_s, int(at), in_spring=False)]
    began = 0
    for at, in_spring in sorted(changes):
        if in_spring:
            began = at + 1
            is_summer[began:] = True
        else:
            is_summer[began : at + 1] = True
            is_summer[at + 1 :] = False
    return is_summer, len(changes)


def _is_night(clock_s: Seconds, at: int, *, in_spring: bool) -> bool:
    """Do both rows lie in a night on which clocks are changed?"""
    second = int(clock_s[at])
    days, seconds = divmod(second, DAY_S)
    if (days + 3) % 7 != SUNDAY or seconds >= (LAST_HOUR + 1) * HOUR_S:
        return False
    date = np.datetime64(second, "s")
    month = int(date.astype("datetime64[M]").astype(np.int64)) % 12 + 1
    day = int((date.astype("datetime64[D]") - date.astype("datetime64[M]")).astype(np.int64)) + 1
    if in_spring:
        return month == 3 and (day > 24 or 7 < day < 15)
    return (month == 10 and day > 24) or (month == 11 and day < 8)
