"""White space at the edges of a block goes; what stands inside one stays as it is."""

from __future__ import annotations

import pytest

from repairs.press.edges import without_edges
from repairs.press.maker import HTML


@pytest.mark.parametrize(
    ("page", "kept"),
    [
        ("<h2>\n  Work 1\n</h2>", "<h2>Work 1</h2>"),
        ('<td dir="ltr">\n a\nb \n</td>', '<td dir="ltr">a\nb</td>'),
        ("<p>one <b> two </b> three</p>", "<p>one <b> two </b> three</p>"),
        ("<pre>\n a\n</pre>", "<pre>\n a\n</pre>"),
    ],
)
def test_only_the_edges_of_blocks_are_trimmed(page, kept):
    assert without_edges(page) == kept


def test_a_heading_that_just_fits_stays_on_one_line():
    words = "aaaa bbbb cccc dddd"
    page = f"<style>body{{width:%smm;font:12pt monospace}}p{{margin:0}}</style><p>\n{words}\n</p>"

    fitting = next(
        width / 10 for width in range(300, 800) if _lines(without_edges(page % (width / 10))) == 1
    )

    assert _lines(without_edges(page % fitting)) == 1
    assert _lines(without_edges(page % (fitting - 0.1))) > 1


def _lines(page: str) -> int:
    (sheet,) = HTML(string=page).render().pages
    return sum(type(box).__name__ == "LineBox" for box in sheet._page_box.descendants())
