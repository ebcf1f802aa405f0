"""Every scene that can be photographed: what is drawn, from where, and what can be pointed at."""

import zlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from PIL import Image

from repairs.demo.pictures import (
    close_views,
    dog_view,
    interiors,
    keybox,
    lens,
    violin,
    violin_views,
    wheel_fiddle,
    wheel_fiddle_back,
    wheel_fiddle_side,
)
from repairs.demo.pictures.card import lay_card
from repairs.demo.pictures.stage import Frame, Stage

Spot = tuple[str, tuple[tuple[float, float], ...]]
Spots = Mapping[str, Spot]
Size = tuple[int, int]

PORTRAIT = (6, 8)
VIELLE_LABEL = ("Étienne Roussillat", "luthier à Valbrune", "l’an 1771")
LUTE_LABEL = ("Mathurin Chassenay", "faiseur de vielles à Montrivet", "1783")
VIOLIN_LABEL = ("Josef Anton Felsner", "Geigenmacher in Ahornau", "Anno 1894")


@dataclass(frozen=True)
class Scene:
    """One thing to draw, how it is framed, where its card lies, and its named places."""

    draw: Callable[[Stage], None]
    frame: Frame
    card: str
    spots: Spots


def _label(lines: tuple[str, ...], *, torn: bool = False) -> Scene:
    draw = partial(interiors.draw_label, lines=lines, torn=torn)
    spots = interiors.TORN_SPOTS if torn else interiors.WHOLE_SPOTS
    return Scene(draw, Frame((0.0, 20.0), 185.0), "br", spots)


def _front(frame: Frame, card: str, *, lute: bool = False) -> Scene:
    spots = dict(wheel_fiddle.FRONT_SPOTS)
    if not lute:
        return Scene(wheel_fiddle.draw_vielle, frame, card, spots)
    for absent in ("lost_edging", "worn_varnish"):
        del spots[absent]
    return Scene(wheel_fiddle.draw_luteback, frame, card, spots)


# A right-handed fiddle from above or from behind (see anatomy): the frame is flipped.
WHOLE = Frame((368.0, -6.0), 830.0, flipped=True)
UPRIGHT = Frame((366.0, 0.0), 620.0, turned=True, flipped=True)
SCENES: dict[str, Scene] = {
    "vielle/front": _front(WHOLE, "br"),
    "vielle/back": Scene(wheel_fiddle_back.draw_back, UPRIGHT, "br", wheel_fiddle_back.BACK_SPOTS),
    "vielle/left_side": Scene(
        wheel_fiddle_side.draw_drone_side,
        Frame((364.0, 10.0), 800.0),
        "br",
        wheel_fiddle_side.DRONE_SPOTS,
    ),
    "vielle/right_side": Scene(
        wheel_fiddle_side.draw_key_side,
        Frame((364.0, 10.0), 800.0, mirrored=True),
        "bl",
        wheel_fiddle_side.KEY_SPOTS,
    ),
    "vielle/head": _front(Frame((94.0, -12.0), 270.0, flipped=True), "br"),
    "vielle/label": _label(VIELLE_LABEL, torn=True),
    "vielle/inside": Scene(
        interiors.draw_underside, Frame((0.0, 8.0), 195.0), "br", interiors.INSIDE_SPOTS
    ),
    "vielle/wheel": Scene(
        close_views.draw_wheel, Frame((0.0, 4.0), 205.0), "bl", close_views.WHEEL_SPOTS
    ),
    "vielle/keybox": Scene(
        keybox.draw_keybox, Frame((283.0, -8.0), 345.0, flipped=True), "tr", keybox.KEYBOX_SPOTS
    ),
    "vielle/bridge": Scene(
        close_views.draw_bridge, Frame((0.0, -2.0), 205.0), "bl", close_views.BRIDGE_SPOTS
    ),
    "vielle/tangents": Scene(
        keybox.draw_keybox, Frame((228.0, 8.0), 172.0, flipped=True), "tr", keybox.KEYBOX_SPOTS
    ),
    "vielle/tail": _front(Frame((612.0, -14.0), 320.0, flipped=True), "br"),
    "vielle/crack": _front(Frame((556.0, 92.0), 205.0, flipped=True), "bl"),
    "vielle/worm": Scene(
        wheel_fiddle_back.draw_back,
        Frame((548.0, 66.0), 200.0, flipped=True),
        "tl",
        wheel_fiddle_back.BACK_SPOTS,
    ),
    "vielle/dog": Scene(dog_view.draw_dog, Frame((10.0, 9.0), 175.0), "bl", dog_view.DOG_SPOTS),
    "luteback/front": _front(UPRIGHT, "br", lute=True),
    "luteback/back": Scene(
        wheel_fiddle_back.draw_staves, WHOLE, "bl", wheel_fiddle_back.LUTE_SPOTS
    ),
    "luteback/right_side": Scene(
        wheel_fiddle_side.draw_bowl_side,
        Frame((364.0, 20.0), 800.0, mirrored=True),
        "bl",
        wheel_fiddle_side.BOWL_SPOTS,
    ),
    "luteback/head": _front(Frame((94.0, -12.0), 280.0, flipped=True), "br", lute=True),
    "luteback/label": _label(LUTE_LABEL),
    "luteback/stave": Scene(
        wheel_fiddle_back.draw_staves,
        Frame((460.0, 30.0), 235.0, flipped=True),
        "tl",
        wheel_fiddle_back.LUTE_SPOTS,
    ),
    "violin/front": Scene(
        violin.draw_front, Frame((297.0, 0.0), 525.0, turned=True), "br", violin.FRONT_SPOTS
    ),
    "violin/back": Scene(
        violin.draw_back, Frame((297.0, 0.0), 525.0, turned=True), "bl", violin.BACK_SPOTS
    ),
    "violin/side": Scene(
        violin_views.draw_side, Frame((297.0, 6.0), 690.0), "bl", violin_views.SIDE_SPOTS
    ),
    "violin/scroll": Scene(
        violin_views.draw_scroll, Frame((72.0, 16.0), 195.0), "br", violin_views.SCROLL_SPOTS
    ),
    "violin/label": _label(VIOLIN_LABEL),
    "violin/bridge": Scene(
        violin_views.draw_bridge, Frame((0.0, 10.0), 185.0), "bl", violin_views.BRIDGE_SPOTS
    ),
    "violin/soundpost": Scene(
        violin.draw_front, Frame((443.0, -18.0), 185.0), "bl", violin.FRONT_SPOTS
    ),
}


def seed(text: str) -> int:
    """Return the same number for the same name on every machine."""
    return zlib.crc32(text.encode())


def upright_size(orientation: int, size: Size) -> Size:
    """Return the size of a picture once it is the right way up."""
    return (size[1], size[0]) if orientation in PORTRAIT else size


def _instrument(scene: str) -> int:
    return seed(scene.partition("/")[0])


def picture(
    scene: str, name: str, size: Size, *, mended: bool, left: Collection[str] = ()
) -> Image.Image:
    """Draw a scene and photograph it; `name` decides how the camera was held.

    Mended, the damage whose names are in `left` is still there.
    """
    plan = SCENES[scene]
    size_px = lens.stage_size(size)
    stage = Stage(size_px, plan.frame, _instrument(scene), mended=mended, left=left)
    plan.draw(stage)
    lay_card(stage, plan.card)
    return lens.develop(stage.canvas, size, seed(name))


def places(scene: str, name: str, size: Size) -> dict[str, Spot]:
    """Return the named places that the picture shows, in 0..1 of the upright picture."""
    plan = SCENES[scene]
    drawn = lens.stage_size(size)
    view = lens.viewpoint(drawn, seed(name))
    found: dict[str, Spot] = {}
    for spot, (shape, points) in plan.spots.items():
        seen = lens.seen_at(plan.frame.pixels(points, drawn), view)
        if np.all((seen > 0.012) & (seen < 0.988)):
            found[spot] = (shape, tuple((round(float(x), 4), round(float(y), 4)) for x, y in seen))
    return found
