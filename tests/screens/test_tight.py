"""Where a page keeps line breaks, a template may break its lines all the same."""

from __future__ import annotations

import pytest
from django.template import Context, Template


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("a\n  b", "ab"),
        ("a \n b", "a b"),
        ("a  b", "a  b"),
        ("\n{{ words }}\n", "one\ntwo"),
        ("\n{% if words %}\nyes\n{% else %}\nno\n{% endif %}\n", "yes"),
        (
            "{% for n in 'ab' %}\n{{ n }}\n{% if not forloop.last %}, {% endif %}\n{% endfor %}",
            "a, b",
        ),
    ],
)
def test_the_end_of_a_line_is_no_gap_in_the_page(written, shown):
    page = "{% load screens_words %}<dd>{% tight %}" + written + "{% endtight %}</dd>"

    assert Template(page).render(Context({"words": "one\ntwo"})) == f"<dd>{shown}</dd>"


def test_what_stands_outside_keeps_its_line_breaks():
    page = "{% load screens_words %}a\n{% tight %}\nb\n{% endtight %}\nc"

    assert Template(page).render(Context()) == "a\nb\nc"
