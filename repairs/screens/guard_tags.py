"""What guards a form: ``{% csrf_token %}`` of every template here brings the one-time token along.

A form that writes is refused without the one, so that none can forget the other.
"""

from __future__ import annotations

from django import template
from django.template.base import Parser, Token
from django.template.context import Context
from django.template.defaulttags import CsrfTokenNode
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from repairs.screens.once import FIELD, SAME, fresh_token

register = template.Library()
OURS = '<input type="hidden" name="{}" value="{}">'


class GuardNode(CsrfTokenNode):
    """Django's hidden field, and ours behind it."""

    def render(self, context: Context) -> SafeString:
        """Both fields, or none where the page knows no visitor.

        The page that asks once more for the same form says the token that it has.
        """
        guard = mark_safe(super().render(context))  # noqa: S308 - Django's own
        if not guard:
            return guard
        return guard + format_html(OURS, FIELD, context.get(SAME) or fresh_token())


@register.tag
def csrf_token(parser: Parser, token: Token) -> GuardNode:
    """In the place of Django's own tag."""
    return GuardNode()
