"""Photos before and after of the same view, two by two."""

from __future__ import annotations

from repairs.photos.models import Photo
from repairs.photos.pairs import pair_of, view_pairs


def photo(number: int, phase: str, view: str = "front") -> Photo:
    return Photo(number=number, phase=phase, view=view)


def numbers(photos: list[Photo]) -> list[tuple[int, int]]:
    return [(pair.before.number, pair.after.number) for pair in view_pairs(photos)]


def test_the_same_view_before_and_after_makes_a_pair():
    shown = [photo(1, "arrival"), photo(2, "arrival", "back"), photo(3, "after")]

    assert numbers(shown) == [(1, 3)]


def test_the_nearest_to_the_work_before_and_the_last_after_are_taken():
    shown = [
        photo(1, "before"),
        photo(2, "arrival"),
        photo(3, "before"),
        photo(4, "after"),
        photo(5, "return"),
        photo(6, "after"),
    ]

    assert numbers(shown) == [(3, 5)]


def test_a_photo_during_the_work_is_no_half_of_a_pair():
    assert pair_of([photo(1, "arrival"), photo(2, "during")]) is None


def test_views_of_many_things_are_not_paired_by_their_view():
    """Two damages are two things; a scale card is none. Those are paired by their finding."""
    shown = [
        photo(number, phase, view)
        for number, (phase, view) in enumerate(
            (
                ("arrival", "damage"),
                ("after", "damage"),
                ("arrival", ""),
                ("after", ""),
                ("arrival", "scale_card"),
                ("after", "scale_card"),
            ),
            1,
        )
    ]

    assert view_pairs(shown) == []


def test_two_of_the_same_view_are_paired_before_a_later_photo_of_another_view():
    shown = [photo(1, "arrival"), photo(2, "before", "back"), photo(3, "after")]

    pair = pair_of(shown)

    assert pair is not None
    assert (pair.before.number, pair.after.number) == (1, 3)
    assert pair.is_same_view


def test_photos_of_one_thing_from_two_sides_are_a_pair_that_says_so():
    pair = pair_of([photo(1, "arrival"), photo(2, "after", "back")])

    assert pair is not None
    assert not pair.is_same_view
