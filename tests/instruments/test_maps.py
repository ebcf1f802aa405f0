"""Maps of parts: every shape is a part of its kind, closed, named in both languages, and found."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from django.template import Context, Template
from django.utils import translation
from lxml import etree  # type: ignore[import-untyped]
from weasyprint import HTML

from repairs.instruments.kinds import kinds
from repairs.instruments.map_shapes import holds, loops_of
from repairs.instruments.maps import Marked, maps_of, part_map, parts_at
from repairs.instruments.pattern import Kind
from repairs.instruments.refusals import KindFileError
from repairs.language.text import in_language
from repairs.screens.svg import box_of, read_svg
from tests.whole.fixture_files import FIXTURES

MOST_BYTES = 30_000
LONG_SIDE = 1000
MAPPED = [kind for kind in kinds().values() if kind.maps]
EACH = pytest.mark.parametrize("kind", MAPPED, ids=lambda kind: kind.slug)
NEEDED = {
    "vielle_french": {"front", "back", "left_side", "right_side", "keybox_open"},
    "vielle_lute": {"front", "back", "left_side", "right_side", "keybox_open"},
    "violin": {"front", "back"},
    "guitar": {"front", "back"},
}


def names(kind: Kind) -> list[str]:
    return [one.name for one in kind.maps]


def file_of(kind: Kind, name: str) -> Path:
    return FIXTURES / "kinds" / kind.slug / f"{name}.svg"


def shapes(root: ET.Element) -> Iterator[ET.Element]:
    return (one for one in root.iter() if "data-part" in one.attrib)


def paths(shape: ET.Element) -> list[ET.Element]:
    drawn = [shape] if shape.tag == "path" else shape.findall("path")
    return [path for path in drawn if path.get("pointer-events") != "none"]


def parsed(kind: Kind, view: str, **how) -> ET.Element:
    return etree.fromstring(part_map(kind, view, **how))


def titles(root: ET.Element) -> dict[str, str]:
    return {shape.get("id", ""): shape.findtext("title") or "" for shape in shapes(root)}


def middle_of(root: ET.Element, name: str) -> tuple[float, float]:
    """The middle of a shape as it is drawn, before the map is turned round."""
    shape = next(one for one in shapes(root) if name in (one.get("id"), one.get("data-part")))
    points = [p for path in paths(shape) for loop in loops_of(path.get("d", "")) for p in loop]
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


@EACH
def test_a_map_names_only_parts_and_strings_of_its_kind(kind):
    for name in names(kind):
        root = read_svg(file_of(kind, name))

        keys = {one.get("data-part") for one in shapes(root)}
        keys |= {key for one in shapes(root) for key in (one.get("data-also") or "").split()}
        strung = {one.get("data-string") for one in root.iter() if one.get("data-string")}
        assert keys
        assert keys <= {part.key for part in kind.parts}, name
        assert strung <= {string.key for string in kind.strings}, name


@EACH
def test_a_map_is_small_closed_and_its_ids_are_its_own(kind):
    for name in names(kind):
        root = read_svg(file_of(kind, name))

        ids = [one.get("id") for one in root.iter() if one.get("id")]
        assert file_of(kind, name).stat().st_size <= MOST_BYTES
        assert len(ids) == len(set(ids)), name
        assert max(box_of(root)) == LONG_SIDE
        for shape in shapes(root):
            key = shape.get("data-part")
            assert re.fullmatch(rf"{key}(-(\d+|more)(-\d+)?)?", shape.get("id") or "")
            assert shape.findtext("title") == key
            assert all(loops_of(path.get("d", "")) for path in paths(shape))


@EACH
def test_anchors_for_a_photo_lie_on_the_map(kind):
    for name in names(kind):
        root = read_svg(file_of(kind, name))
        width, height = box_of(root)

        anchors = [
            (float(one.get("cx", -1)), float(one.get("cy", -1))) for one in root.iter("circle")
        ]

        assert len({one.get("data-anchor") for one in root.iter("circle")}) == len(anchors)
        assert name == "accessories" or 6 <= len(anchors) <= 11
        assert all(0 <= x <= width and 0 <= y <= height for x, y in anchors)


@EACH
def test_a_map_says_each_part_in_the_language_of_its_reader(kind):
    labels = {part.key: part.label for part in kind.parts}
    for one in kind.maps:
        for language in ("en", "fr"):
            root = parsed(kind, one.name, language=language)

            assert root.get("aria-label") == in_language(one.label, language)
            for shape in shapes(root):
                said = labels[shape.get("data-part", "")][language]
                assert (shape.findtext("title") or "").split(", ")[0] == said.split(", ")[0]
                assert said in (shape.findtext("title") or "")


@EACH
def test_a_kind_has_the_maps_that_are_drawn_and_no_other(kind):
    files = {path.stem for path in (FIXTURES / "kinds" / kind.slug).glob("*.svg")}

    assert files == {one.name for one in kind.maps}
    assert {view for one in kind.maps for view in one.views} >= NEEDED[kind.slug]


@EACH
def test_every_part_of_the_kind_can_be_tapped_somewhere(kind):
    shown: set[str] = set()
    for one in kind.maps:
        for shape in shapes(read_svg(file_of(kind, one.name))):
            shown |= {shape.get("data-part", ""), *(shape.get("data-also") or "").split()}

    headings = {part.parent for part in kind.parts if part.parent}
    assert {part.key for part in kind.parts} - shown <= headings


def test_the_best_map_of_a_view_comes_first():
    vielle = kinds()["vielle_french"]

    assert [one.name for one in maps_of(vielle, "keybox_open")] == ["keybox", "front_open"]
    assert [one.name for one in maps_of(vielle, "wheel")] == ["close", "front_open"]
    assert [one.name for one in maps_of(vielle, "right_side")] == ["key_side"]
    assert [one.name for one in maps_of(vielle, "right_side", left_handed=True)] == ["drone_side"]
    assert maps_of(vielle, "scale_card") == ()
    assert part_map(kinds()["other"], "front") == ""


@pytest.mark.parametrize("slug", ["vielle_french", "vielle_lute"])
def test_the_keys_lie_away_from_the_player_and_change_sides_for_the_left_hand(slug):
    kind = kinds()[slug]
    root = read_svg(file_of(kind, "front"))
    width, _height = box_of(root)

    x, y = middle_of(root, "keys_lower-2")

    assert x > width / 2
    assert parts_at(kind, "front", (x, y))[0] == "keys_lower"
    assert parts_at(kind, "front", (width - x, y))[0] != "keys_lower"
    assert parts_at(kind, "front", (width - x, y), left_handed=True)[0] == "keys_lower"


def test_left_and_right_are_those_of_the_page_for_either_hand():
    kind = kinds()["vielle_french"]
    root = read_svg(file_of(kind, "keybox"))
    (width, height), step = box_of(root), 8
    grid = [(x, y) for x in range(0, int(width), step) for y in range(0, int(height), step)]

    x, y = next(
        place for place in grid if parts_at(kind, "keybox", place)[:1] == ("keybox_wall_right",)
    )

    assert x > width / 2
    assert parts_at(kind, "keybox", (width - x, y), left_handed=True)[0] == "keybox_wall_left"
    assert "keybox_wall_left" in titles(parsed(kind, "keybox", left_handed=True))


def test_a_left_handed_map_is_the_mirror_image_with_its_zooms_and_anchors():
    kind = kinds()["vielle_french"]
    usual, turned = (parsed(kind, "front", left_handed=hand) for hand in (False, True))
    width, _height = box_of(usual)

    def anchors(root: ET.Element) -> dict[str, float]:
        return {c.get("data-anchor", ""): float(c.get("cx", 0)) for c in root.iter("circle")}

    def zooms(root: ET.Element) -> list[list[float]]:
        boxes = [g.get("data-box") for g in root.iter("g")]
        return [[float(side) for side in box.split()] for box in boxes if box]

    for name, x in anchors(usual).items():
        other = name.replace("left", "·").replace("right", "left").replace("·", "right")
        assert anchors(turned)[other] == pytest.approx(width - x, abs=0.11)
    for (x, _y, w, _h), (across, *_rest) in zip(zooms(usual), zooms(turned), strict=True):
        assert across == pytest.approx(width - x - w, abs=0.11)
    drawn = next(g for g in turned.iter("g") if g.get("class") == "parts")
    assert drawn.get("transform") == f"translate({width:g} 0) scale(-1 1)"


def test_a_tap_proposes_the_shape_on_top_then_its_neighbours_then_what_shares_the_place():
    violin = kinds()["violin"]
    x, y = middle_of(read_svg(file_of(violin, "front")), "tailpiece")

    found = parts_at(violin, "front", (x, y))

    assert found[0] == "tailpiece"
    assert len(found) == len(set(found)) > 1
    assert parts_at(violin, "front", (-500, -500)) == ()
    assert parts_at(kinds()["other"], "front", (1, 1)) == ()


def test_varnish_has_no_shape_and_is_proposed_with_what_it_covers():
    violin = kinds()["violin"]
    x, y = middle_of(read_svg(file_of(violin, "back")), "back")

    assert "varnish" in parts_at(violin, "back", (x - 40, y))


def test_two_maps_in_one_page_and_marks_on_one():
    violin = kinds()["violin"]

    root = parsed(violin, "front", prefix="a-", marked=Marked("bridge", {"tailpiece"}))

    ids = [one.get("id", "") for one in shapes(root)]
    here = [one.get("data-part") for one in shapes(root) if "here" in one.get("class", "")]
    found = [one.get("data-part") for one in shapes(root) if "found" in one.get("class", "")]
    assert all(one.startswith("a-") for one in ids)
    assert (set(here), set(found)) == ({"bridge"}, {"tailpiece"})
    assert titles(parsed(violin, "front")) == {
        key.removeprefix("a-"): said for key, said in titles(root).items()
    }


@pytest.mark.parametrize(("language", "said"), [("en", "tailpiece"), ("fr", "cordier")])
def test_a_template_asks_for_the_map_of_an_instrument(vielle, language, said):
    page = Template("{% load instruments_words %}{% part_map one 'front' here='tailpiece' %}")

    with translation.override(language):
        usual = page.render(Context({"one": vielle}))
        vielle.left_handed = True
        turned = page.render(Context({"one": vielle}))

    assert said in html.unescape(usual)
    assert "scale(-1 1)" in turned and "scale(-1 1)" not in usual
    assert not re.search(r"style=|<script|\son\w+=|xmlns|href", usual)


@pytest.mark.parametrize(
    ("drawn", "mend"),
    [
        ('<path d="M0 0h9z" style="fill:red"/>', "the attribute style is not allowed"),
        ("<script>1</script>", "<script> is not allowed"),
        ('<path d="M0 0h9z" fill="url(x)"/>', "refers to something else"),
        ('<path d="M0 0h9z" onclick="x"/>', "the attribute onclick is not allowed"),
        ("<path", "it is not well formed"),
    ],
)
def test_a_map_that_a_page_must_not_carry_is_refused(tmp_path, drawn, mend):
    file = tmp_path / "front.svg"
    file.write_text(f'<svg viewBox="0 0 10 10">{drawn}</svg>', encoding="utf-8")

    with pytest.raises(ValueError, match=re.escape(mend)):
        read_svg(file)


def test_a_drawing_with_declarations_is_refused(tmp_path):
    file = tmp_path / "front.svg"
    file.write_text('<!DOCTYPE svg><svg viewBox="0 0 1 1"/>', encoding="utf-8")

    with pytest.raises(ValueError, match="it holds a declaration"):
        read_svg(file)


def test_a_broken_map_of_a_kind_is_named_with_its_file(settings, tmp_path):
    violin = kinds()["violin"]
    settings.FIXTURES = tmp_path  # nothing lies there

    with pytest.raises(KindFileError, match=r"fixtures/kinds/odd/front\.svg, svg: "):
        part_map(Kind(**{**violin.__dict__, "slug": "odd"}), "front")


@pytest.mark.parametrize("path", ["M0 0h9v9", "M0 0q1 1 2 2z", ""])
def test_an_outline_that_is_open_or_drawn_otherwise_is_refused(path):
    with pytest.raises(ValueError, match=r"not closed|not drawn with the letter"):
        loops_of(path)


def test_a_hole_in_a_shape_does_not_take_the_tap():
    loops = loops_of("M0 0h30v30h-30zM10 10h10v10h-10z")

    assert holds(loops, (5, 5))
    assert not holds(loops, (15, 15))
    assert not holds(loops, (35, 5))


def test_round_shapes_are_round():
    disc = loops_of("M0 10a10 10 0 1 0 20 0a10 10 0 1 0 -20 0z")

    assert holds(disc, (10, 1)) and holds(disc, (10, 19))
    assert not holds(disc, (1, 1))


@pytest.mark.parametrize("hand", [False, True])
def test_a_paper_prints_a_map_with_its_marks(hand):
    page = part_map(kinds()["violin"], "front", left_handed=hand, marked=Marked("tailpiece"))
    pdf = HTML(string=f"<body>{page}</body>").write_pdf(uncompressed_pdf=True)

    rosin = " ".join(f"{int(part, 16) / 255:.3f}"[:4] for part in ("f5", "b9", "42"))
    colours = re.findall(rb"([\d.]+ [\d.]+ [\d.]+) rg", pdf)
    close = {" ".join(f"{float(v):.3f}"[:4] for v in c.split()) for c in colours}
    assert rosin in close
