"""Template tags of our own drawings: {% load drawings %}."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from repairs.screens import drawings

register = template.Library()


@register.simple_tag
def drawing(name: str, left_handed: bool = False, captioned: bool = False) -> SafeString:
    """One of our drawings in the reader's language: {% drawing "measure/wheel_rim" %}."""
    return drawings.drawing(name, left_handed=bool(left_handed), captioned=captioned)


@register.simple_tag
def drawing_says(name: str, left_handed: bool = False) -> str:
    """One sentence on how to do what a drawing shows."""
    return drawings.says_of(name, left_handed=bool(left_handed))


@register.filter
def drawing_name(name: str) -> str:
    """What a drawing is called."""
    return drawings.name_of(name)


@register.simple_tag
def icon(name: str, said: bool = False) -> SafeString:
    """One of our signs: {% icon "crack" %}; one without a word beside it is to be ``said``."""
    return drawings.icon(name, said=said)
