"""Template filters of readings: {% load readings_words %}."""

from __future__ import annotations

from django import template

from repairs.readings.words import version_words

register = template.Library()
register.filter("version_words", version_words)
