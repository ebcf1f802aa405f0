"""What pages say of a paper: its kind, its code, and a square to hold a camera to."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import segno
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from repairs.language.text import own_name
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
def language_name(code: str) -> str:
    """The language of a paper by its name: a reader is not told a code."""
    return own_name(code)


@register.filter
def paper_kind(kind: str) -> str:
    """What papers of that kind are called; the key itself when no room makes them any more."""
    return label_of(kind)


@register.filter
def whole_code(code: str) -> SafeString:
    """A printed code that no line break parts."""
    return format_html('<span class="code">{}</span>', code)


@register.filter
def as_link(address: str) -> SafeString:
    """An address as a link to itself."""
    return format_html('<a href="{0}">{0}</a>', address)


@register.filter
def links_to(numbers: Iterable[int], what: str) -> SafeString:
    """The numbers with commas, each a link to what bears it in this paper: “photo-3”."""
    return format_html_join(", ", '<a href="#{}-{}">{}</a>', ((what, n, n) for n in numbers))
