"""Who may try a password now: guessing is slowed down, and nobody can lock the house out.

Tries are counted for the address and for the account. Whoever was let in before is known, by a
signed cookie of the device or by the address, and waits only for tries of their own: what a
stranger tries elsewhere makes them wait for nothing.

Together the tries at one account that come from no known device stay below a hundred a day: ten
cost no wait, then waits double up to 48 minutes, counted for addresses known to the account and
for all others (``tests/people/test_guessing.py`` plays that day).
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from repairs.screens.addresses import address_of
from repairs.screens.throttle import (
    Brake,
    hashed,
    is_remembered,
    remember,
    too_early,
    when,
)

DAY_S = 24 * 3600
ADDRESS = Brake("sign_in.address", free=20, first_s=5, most_s=900, forget_s=DAY_S)
ACCOUNT = Brake("sign_in.account", free=10, first_s=60, most_s=2880, forget_s=DAY_S)
KNOWN_ADDRESS = Brake("sign_in.known_address", free=10, first_s=5, most_s=2880, forget_s=DAY_S)
KNOWN_DEVICE = Brake("sign_in.known_device", free=10, first_s=5, most_s=900, forget_s=DAY_S)
CAME_FROM = "sign_in.came_from"
COOKIE, SALT, YEAR_S = "known_device", "people.guessing", 365 * DAY_S
MOST_ACCOUNTS = 8  # of one device: a tablet of the workshop


@dataclass(frozen=True)
class Visitor:
    """Who stands at the door, as far as can be told before a password is looked at."""

    account: str
    address: str
    device: str
    accounts: tuple[str, ...]

    @property
    def is_known_device(self) -> bool:
        """Whether somebody was let in to that account on this device."""
        return bool(self.device) and hashed(self.account)[:24] in self.accounts

    def wait(self) -> tuple[int, str]:
        """Count this try; seconds to wait and the sentence, or 0."""
        if self.is_known_device:
            wait_s = KNOWN_DEVICE.count(f"{self.account}\x1f{self.device}")
            return wait_s, _("Too many wrong passwords on this device.") + " " + when(wait_s)
        if is_remembered(CAME_FROM, self._pair):
            wait_s = KNOWN_ADDRESS.count(self.account)
            return wait_s, too_early(wait_s)
        if wait_s := ADDRESS.count(self.address):
            return wait_s, too_early(wait_s)
        wait_s = ACCOUNT.count(self.account)
        said = _(
            "Too many wrong passwords for this name. %(when)s On a device on which you signed in "
            "before you need not wait."
        )
        return wait_s, said % {"when": when(wait_s)}

    def was_let_in(self, answer: HttpResponse) -> None:
        """The password was right: this try was none, and device and address are known."""
        if self.is_known_device:
            KNOWN_DEVICE.forget(f"{self.account}\x1f{self.device}")
        elif is_remembered(CAME_FROM, self._pair):
            KNOWN_ADDRESS.give_back(self.account)
        else:
            ADDRESS.give_back(self.address)
            ACCOUNT.give_back(self.account)
        remember(CAME_FROM, self._pair)
        mine = hashed(self.account)[:24]
        others = [one for one in self.accounts if one != mine][: MOST_ACCOUNTS - 1]
        kept = {"device": self.device or secrets.token_hex(12), "accounts": [mine, *others]}
        answer.set_cookie(
            COOKIE,
            signing.dumps(kept, salt=SALT),
            max_age=YEAR_S,
            httponly=True,
            samesite="Lax",
            secure=settings.HTTPS,
        )

    @property
    def _pair(self) -> str:
        return f"{self.account}\x1f{self.address}"


def visitor_of(request: HttpRequest) -> Visitor:
    """Read the name that was typed, the address, and the cookie of the device."""
    account = request.POST.get("username", "").strip().casefold()[:150]
    kept = _kept(request.COOKIES.get(COOKIE, ""))
    device, accounts = str(kept.get("device", "")), tuple(kept.get("accounts", ()))
    return Visitor(account, address_of(request), device, accounts)


def _kept(cookie: str) -> dict[str, Any]:
    try:
        kept = signing.loads(cookie, salt=SALT, max_age=YEAR_S)
    except signing.BadSignature:
        return {}
    return kept if isinstance(kept, dict) else {}
