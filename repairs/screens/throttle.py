"""A brake for doors that anyone may try: each try too many makes the wait for the next one longer.

One row a door and visitor, changed by one statement, so that it counts alike in one process and in
many: of 800 tries by four processes an upsert lost none, Django's cache in the database 573.
"""

from __future__ import annotations

import datetime as dt
import hmac
import time
from dataclasses import dataclass

from django.conf import settings
from django.db import connection
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.formats import time_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.screens.tries_models import Tries

SECONDS_ARE_SAID_BELOW = 120
KEPT_FOR_S = 31 * 24 * 3600

# One statement: forgets what is long ago, counts, and lets the wait grow; nothing while one waits.
# SQLite has no power function everywhere, so that the wait doubles from row to row.
_COUNT = """
INSERT INTO repairs_tries (what, who, n, delay_s, free_at_s, last_s)
VALUES (%(what)s, %(who)s, 1, 0, %(now)s, %(now)s)
ON CONFLICT (what, who) DO UPDATE SET
  n = CASE WHEN repairs_tries.last_s < %(old)s THEN 1 ELSE repairs_tries.n + 1 END,
  delay_s = {delay},
  free_at_s = %(now)s + {delay},
  last_s = %(now)s
WHERE repairs_tries.free_at_s <= %(now)s OR repairs_tries.last_s < %(old)s
RETURNING n
""".format(
    delay="""CASE
    WHEN repairs_tries.last_s < %(old)s OR repairs_tries.n < %(free)s THEN 0
    WHEN repairs_tries.delay_s = 0 THEN %(first)s
    WHEN repairs_tries.delay_s * 2 > %(most)s THEN %(most)s
    ELSE repairs_tries.delay_s * 2 END"""
)


@dataclass(frozen=True)
class Brake:
    """``free`` tries cost no wait; then ``first_s``, doubled with each up to ``most_s``.

    All is forgotten ``forget_s`` after the last try.
    """

    what: str
    free: int
    first_s: int
    most_s: int
    forget_s: int

    def count(self, who: str) -> int:
        """Count one try; the seconds to wait if it came too early, which is not counted."""
        now = _now_s()
        facts: dict[str, str | int] = {
            "what": self.what,
            "who": hashed(who),
            "now": now,
            "old": now - self.forget_s,
            "free": self.free,
            "first": self.first_s,
            "most": self.most_s,
        }
        with connection.cursor() as cursor:
            cursor.execute(_COUNT, facts)
            counted = cursor.fetchone()
        return 0 if counted else max(1, self.wait_s(who))

    def wait_s(self, who: str) -> int:
        """The seconds to wait now; counts nothing."""
        now = _now_s()
        rows = Tries.objects.filter(what=self.what, who=hashed(who))
        free_at = rows.filter(last_s__gte=now - self.forget_s).values_list("free_at_s", flat=True)
        return max(0, (free_at.first() or 0) - now)

    def give_back(self, who: str) -> None:
        """Take one try back that was none, such as the right password."""
        rows = Tries.objects.filter(what=self.what, who=hashed(who), n__gt=0)
        # In one statement, as it was counted.
        rows.update(n=F("n") - 1)

    def forget(self, who: str) -> None:
        """Begin anew."""
        Tries.objects.filter(what=self.what, who=hashed(who)).delete()


def remember(what: str, who: str) -> None:
    """Note that this was seen now; ``is_remembered`` asks."""
    Brake(what, free=2**30, first_s=1, most_s=1, forget_s=KEPT_FOR_S).count(who)


def is_remembered(what: str, who: str) -> bool:
    """Whether it was seen within a month."""
    since = _now_s() - KEPT_FOR_S
    return Tries.objects.filter(what=what, who=hashed(who), last_s__gte=since).exists()


def hashed(who: str) -> str:
    """Neither a name nor an address is kept."""
    return hmac.new(
        settings.SECRET_KEY.encode(), who.encode(errors="replace"), "sha256"
    ).hexdigest()


def when(wait_s: int) -> str:
    """When to try again: in seconds for a short wait, by the clock for a long one."""
    if wait_s < SECONDS_ARE_SAID_BELOW:
        said = ngettext("Try again in %(n)s second.", "Try again in %(n)s seconds.", wait_s)
        return said % {"n": wait_s}
    at = localtime(dt.datetime.fromtimestamp(_now_s() + wait_s + 59, dt.UTC))
    return _("Try again at %(time)s.") % {"time": time_format(at, "H:i")}


def too_early(wait_s: int) -> str:
    """The sentence for an address that tried too often."""
    return _("Too many tries from this address.") + " " + when(wait_s)


def braked(request: HttpRequest, wait_s: int) -> HttpResponse:
    """The page for it."""
    answer = render(request, "refused.html", {"refusal": too_early(wait_s)}, status=429)
    answer["Retry-After"] = str(wait_s)
    return answer


def _now_s() -> int:
    return int(time.time())


def sweep_tries(*, at: dt.datetime) -> int:
    """Drop rows of which nothing follows any more; says how many. For the daily sweep."""
    count, _each = Tries.objects.filter(last_s__lt=int(at.timestamp()) - KEPT_FOR_S).delete()
    return count
