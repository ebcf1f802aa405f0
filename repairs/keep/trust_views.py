"""How a phone learns to trust the certificate of the house; open to all, also without TLS."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.views.decorators.http import require_safe

from repairs.keep.trust import Root, read_root
from repairs.language.text import LANGUAGES, OWN_NAMES


@require_safe
def trust(request: HttpRequest) -> HttpResponse:
    """The page in both languages, the reader's first: whoever holds the phone may be a guest."""
    root = _root()
    facts = {
        "root": root,
        "address": settings.SITE_ADDRESS,
        "name": settings.SITE_ADDRESS.partition("://")[2],
        "plain": settings.SITE_ADDRESS.replace("https://", "http://", 1) + reverse("keep:trust"),
    }
    own = translation.get_language() or LANGUAGES[0]
    parts: list[str] = []
    for language in sorted(LANGUAGES, key=lambda one: one != own):
        # At its head the first one leads to the other, which lies far below it on a phone.
        other = None if parts else next(one for one in OWN_NAMES if one[0] != language)
        said = {**facts, "lang": language, "other": other}
        with translation.override(language):
            parts.append(render_to_string("keep/_trust_part.html", said))
    return render(request, "keep/trust.html", {**facts, "parts": parts})


@require_safe
def trust_file(_request: HttpRequest) -> HttpResponse:
    """The certificate, as phones and browsers take it."""
    root = _root()
    if root is None:
        raise Http404
    answer = HttpResponse(root.der, content_type="application/x-x509-ca-cert")
    answer["Content-Disposition"] = 'attachment; filename="sautereau-house.crt"'
    return answer


def _root() -> Root | None:
    return read_root(Path(settings.AUTHORITY_FILE)) if settings.AUTHORITY_FILE else None
