"""What pages say of a paper: its kind, its code, and a square to hold a camera to."""

from __future__ import annotations

from html import escape

import segno
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from repairs.press.kinds import label_of
from repairs.screens.filters import register


@register.simple_tag
def qr(text: str, label: str = "") -> SafeString:
    """A QR code as inline SVG, with a quiet zone of four modules."""
    code = segno.make(text, error="m", micro=False)
    svg = code.svg_inline(omitsize=True, border=4, svgclass="qr", lineclass=None, dark="#000")
    opening, rest = svg.split(">", 1)
    title = f"<title>{escape(label or text)}</title>"
    return mark_safe(f'{opening} role="img">{title}{rest}')  # noqa: S308 - modules and a label


@register.filter
def paper_kind(kind: str) -> str:
    """What papers of that kind are called; the key itself when no room makes them any more."""
    return label_of(kind)


@register.filter
def whole_code(code: str) -> SafeString:
    """A printed code that no line break parts."""
    return format_html('<span class="code">{}</span>', code)
