"""A handful of filters for screens and papers."""

from __future__ import annotations

import unicodedata
from html import escape
from typing import Any

import segno
from django import template
from django.forms import BoundField, CheckboxInput, CheckboxSelectMultiple, RadioSelect
from django.utils.html import format_html, json_script
from django.utils.safestring import SafeString, mark_safe

from repairs.findings.models import Finding
from repairs.money import amount_words, money_words
from repairs.photos.overlay import marks_svg
from repairs.press.models import Paper
from repairs.text import in_language as words_in_language
from repairs.text import labelled, rounded, semicolons

register = template.Library()


@register.filter
def kind_of_field(field: BoundField) -> str:
    """Say how a field is laid out: a tick, a set of choices, or an ordinary box."""
    widget = field.field.widget
    if isinstance(widget, (CheckboxSelectMultiple, RadioSelect)):
        return "choices"
    return "tick" if isinstance(widget, CheckboxInput) else "box"


@register.filter
def with_aria(field: BoundField) -> SafeString:
    """Render the control bound to its help and its problem for a screen reader."""
    notes = []
    if field.help_text:
        notes.append(f"{field.id_for_label}_help")
    attributes: dict[str, Any] = {}
    if field.errors:
        notes.append(f"{field.id_for_label}_problem")
        attributes["aria-invalid"] = "true"
    if notes:
        attributes["aria-describedby"] = " ".join(notes)
    return field.as_widget(attrs=attributes)


@register.filter
def unit(field: BoundField) -> str:
    return str(field.field.widget.attrs.get("data-unit", ""))


@register.filter
def direction(text: object) -> str:
    """``rtl`` when the first letter with a direction is written from right to left."""
    for letter in str(text):
        side = unicodedata.bidirectional(letter)
        if side in ("R", "AL"):
            return "rtl"
        if side == "L":
            return "ltr"
    return "ltr"


@register.simple_tag
def tally(severity: int, label: str = "") -> SafeString:
    """One to four strokes of a tally, drawn; the word beside it says the same."""
    path = "".join(f"M{4 + 5 * i} 2v14" for i in range(int(severity)))
    strokes = f'<path d="{path}" stroke="currentColor" stroke-width="2.4" stroke-linecap="round"/>'
    name = 'role="img"' if label else 'aria-hidden="true"'
    title = f"<title>{escape(label)}</title>" if label else ""
    return mark_safe(  # noqa: S308 - built from numbers and an escaped label
        f'<svg class="tally" viewBox="0 0 23 18" {name}>{title}{strokes}</svg>'
    )


@register.simple_tag
def severity_word(severity: int) -> str:
    return str(Finding.Severity(int(severity)).label)


@register.simple_tag
def qr(text: str, label: str = "") -> SafeString:
    """A QR code as inline SVG, with a quiet zone of four modules."""
    code = segno.make(text, error="m", micro=False)
    svg = code.svg_inline(omitsize=True, border=4, svgclass="qr", lineclass=None, dark="#000")
    opening, rest = svg.split(">", 1)
    title = f"<title>{escape(label or text)}</title>"
    return mark_safe(f'{opening} role="img">{title}{rest}')  # noqa: S308 - modules and a label


@register.simple_tag
def marks(photo: Any, label: str = "") -> SafeString:
    """The marks of a photo block of a report."""
    return mark_safe(marks_svg(photo.marks, photo.width, photo.height, label=label))  # noqa: S308


@register.filter
def safe_marks(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308 - drawn by photos.overlay from numbers


@register.filter
def paper_kind(kind: str) -> str:
    return str(Paper.Kind(kind).label) if kind in Paper.Kind.values else kind


@register.filter
def words_script(words: dict[str, Any], element_id: str) -> SafeString:
    """Hand data to a page's module as JSON, with lazy translations spoken."""
    spoken = {
        key: str(value) if not isinstance(value, (dict, list, bool, int, float)) else value
        for key, value in words.items()
    }
    return json_script(spoken, element_id)


@register.filter
def untagged_pairs(photos: Any) -> list[list[Any]]:
    """The photos that face no finding, two by two."""
    return in_twos([photo for photo in photos if not photo.findings])


@register.filter
def in_twos(items: Any) -> list[list[Any]]:
    """The items two by two; the last may stand alone."""
    every = list(items)
    return [every[i : i + 2] for i in range(0, len(every), 2)]


@register.filter
def unstopped(words: str) -> str:
    """The words without a full stop at their end, for where more follows on the line."""
    return words[:-1] if words.endswith(".") and not words.endswith("..") else words


@register.filter
def whole_code(code: str) -> SafeString:
    """A printed code that no line break parts."""
    return format_html('<span class="code">{}</span>', code)


@register.filter(name="semicolons")
def semicolons_between(items: Any) -> str:
    return semicolons(str(item) for item in items)


@register.filter
def money(amount: Any, currency: str = "") -> str:
    """An amount with two places as the language in force writes it, with its currency if given."""
    if amount is None or amount == "":
        return ""
    return money_words(amount, currency) if currency else amount_words(amount)


@register.filter(name="labelled")
def labelled_words(label: object, words: object) -> str:
    """“label: words”, with the colon of the language."""
    return labelled(label, words)


@register.filter
def in_language(words: Any) -> str:
    """A text of the fixtures in the language in force."""
    return words_in_language(words)


@register.filter
def figure(value: float, places: int) -> str:
    """A number with so many places, as the language in force writes it."""
    return rounded(value, places)


@register.filter
def signed(value: float, places: int) -> str:
    """A change: with its sign, plus or minus."""
    sign = "+" if round(value, places) > 0 else ""
    return f"{sign}{rounded(value, places)}"
