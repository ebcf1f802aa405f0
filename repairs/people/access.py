"""Who may do what. One table; every view asks it, and a test walks every address against it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Literal, get_args

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django_htmx.middleware import HtmxDetails

from repairs.people.models import Role, User
from repairs.people.refusals import NotAllowedHereError

Deed = Literal[
    "view",
    "record",
    "examine",
    "take_in",
    "people",
    "receipt",
    "estimate",
    "sign_off",
    "agree",
    "issue",
    "house",
    "see_prices",
    "see_money",
    "bill",
    "books",
]

# Prices are those of one case: estimates, ceilings, values, materials. Money is what was billed.
DEEDS: dict[str, frozenset[Deed]] = {
    Role.PRINCIPAL: frozenset(get_args(Deed)),
    Role.LUTHIER: frozenset(
        {
            "view",
            "record",
            "examine",
            "take_in",
            "people",
            "receipt",
            "estimate",
            "sign_off",
            "see_prices",
        }
    ),
    Role.APPRENTICE: frozenset({"view", "record"}),
    Role.BOOKKEEPER: frozenset({"view", "people", "see_prices", "see_money", "bill", "books"}),
    Role.READER: frozenset({"view"}),
}


def may(user: AbstractBaseUser | AnonymousUser, deed: Deed) -> bool:
    """Whether the person's role covers the deed; nobody who left may do anything."""
    # The table and nothing else: Django's own permissions and its superuser flag are not asked, so
    # that what a role may do can be read in one place.
    return bool(user.is_active) and deed in DEEDS.get(getattr(user, "role", ""), frozenset())


def require(user: User, deed: Deed) -> None:
    """Raise NotAllowedHereError when the role of the person does not cover the deed."""
    if not may(user, deed):
        raise NotAllowedHereError(role=user.get_role_display())


class SignedInRequest(HttpRequest):
    """What a guarded view gets: the person is known."""

    user: User
    htmx: HtmxDetails
    LANGUAGE_CODE: str


View = Callable[..., HttpResponseBase]


def needs(deed: Deed) -> Callable[[View], View]:
    """Let a view run only for a signed-in person whose role covers the deed."""

    def guard(view: View) -> View:
        """The view behind the guard."""

        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            """The page; the door for a stranger; a refusal for a role that does not cover it."""
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
            require(request.user, deed)
            return view(request, *args, **kwargs)

        guarded.needs_deed = deed  # type: ignore[attr-defined]
        return guarded

    return guard
