"""Where a mark lies on a photo, in words."""

from __future__ import annotations

import pytest
from django.utils import translation

from repairs.photos.overlay import Mark
from repairs.photos.where import marks_words


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (((0.1, 0.1),), "Mark 4 at the upper left"),
        (((0.5, 0.0),), "Mark 4 at the top"),
        (((1.0, 0.0),), "Mark 4 at the upper right"),
        (((0.2, 0.3), (0.4, 0.6)), "Mark 4 on the left"),
        (((0.5, 0.5),), "Mark 4 in the middle"),
        (((0.9, 0.5),), "Mark 4 on the right"),
        (((0.0, 1.0),), "Mark 4 at the lower left"),
        (((0.34, 0.67),), "Mark 4 at the bottom"),
        (((0.67, 0.67),), "Mark 4 at the lower right"),
    ],
)
def test_a_mark_lies_in_one_of_nine_places(points, words):
    with translation.override("en"):
        assert marks_words([Mark(4, "line", points)]) == words


def test_several_marks_are_told_one_after_the_other():
    marks = [Mark(1, "point", ((0.1, 0.1),)), Mark(2, "point", ((0.5, 0.5),))]

    with translation.override("en"):
        assert marks_words(marks) == "Mark 1 at the upper left; mark 2 in the middle"
        assert marks_words([]) == ""
