"""How bad a finding is, as a word and as strokes."""

from __future__ import annotations

from html import escape

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from repairs.findings.models import Finding
from repairs.screens.filters import register


@register.simple_tag
def tally(severity: int, label: str = "") -> SafeString:
    """One to four strokes of a tally, drawn; with a label, for whoever cannot see them.

    In a paper every drawing has words; the word of the severity stands beside it already, so the
    strokes are counted.
    """
    path = "".join(f"M{4 + 5 * i} 2v14" for i in range(int(severity)))
    strokes = f'<path d="{path}" stroke="currentColor" stroke-width="2.4" stroke-linecap="round"/>'
    name = 'role="img"' if label else 'aria-hidden="true"'
    seen = _("%(count)s of four strokes") % {"count": severity}
    title = f"<title>{escape(seen)}</title>" if label else ""
    return mark_safe(  # noqa: S308 - built from numbers and an escaped label
        f'<svg class="tally" viewBox="0 0 23 18" {name}>{title}{strokes}</svg>'
    )


@register.simple_tag
def severity_word(severity: int) -> str:
    """The severity as its word, for a template that only has the number."""
    return str(Finding.Severity(int(severity)).label)
