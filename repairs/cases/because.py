"""Reasons that the program itself gives for a step: kept in English, said in any language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

AT_THE_COUNTER = gettext_noop("agreed at the counter")
CONSENT_BY_LINK = gettext_noop("consent %(number)s by the owner’s link")
WORK_BEGUN = gettext_noop("work %(number)s is begun")
NEW_WORK = gettext_noop("new work is agreed")
LAST_GIVEN_UP = gettext_noop("the last work that was left is given up")
LAST_SIGNED = gettext_noop("the last work is signed off")
REASONS = (
    AT_THE_COUNTER,
    CONSENT_BY_LINK,
    WORK_BEGUN,
    NEW_WORK,
    LAST_GIVEN_UP,
    LAST_SIGNED,
)


def reason_words(kept: str) -> str:
    """A reason in the language in force; what a person typed stays as it is."""
    for pattern, reason in _patterns():
        if found := pattern.fullmatch(kept):
            return _(reason) % found.groupdict()
    return kept


@cache
def _patterns() -> list[tuple[re.Pattern[str], str]]:
    return list(_every_wording())


def _every_wording() -> Iterator[tuple[re.Pattern[str], str]]:
    """Earlier versions kept a reason in the language of whoever made the step."""
    for code, _name in settings.LANGUAGES:
        with translation.override(code):
            for reason in REASONS:
                words = re.escape(_(reason)).replace(re.escape("%(number)s"), r"(?P<number>\d+)")
                yield re.compile(words), reason
