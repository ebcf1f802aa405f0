"""The list of pictures of the demo: what each shows, when it was taken and how it was held."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType

from repairs.demo.pictures.scenes import Spot, places, upright_size

Place = tuple[float, float]
NOMINAL = (4032, 3024)
# Round figures that stand for no house: the workshop of the demo is invented.
VALBRUNE: Place = (46.5, 2.5)


@dataclass(frozen=True)
class Shot:
    """One photograph of the demo. `tags` are in 0..1 of the picture as seen upright.

    Any phase but "arrival" and "before" shows the damage mended, except what `left` names.
    """

    name: str
    view: str
    subject: str
    phase: str
    taken_at: datetime
    orientation: int
    gps: Place | None
    caption_en: str
    caption_fr: str
    scene: str
    tags: Mapping[str, Spot] = field(hash=False, default_factory=dict)
    left: tuple[str, ...] = ()


def aimed(shot: Shot) -> Shot:
    """Return the shot with the places its picture shows."""
    size = upright_size(shot.orientation, NOMINAL)
    return replace(shot, tags=MappingProxyType(places(shot.scene, shot.name, size)))


def retaken(shot: Shot, *, name: str, phase: str, taken_at: datetime) -> Shot:
    """Return the same view taken again, in hand a little differently."""
    return aimed(replace(shot, name=name, phase=phase, taken_at=taken_at))


def _series(
    subject: str, first: int, start: str, rows: tuple[tuple[str, str, int, bool, str, str], ...]
) -> tuple[Shot, ...]:
    """Return shots numbered from `first`, taken some forty seconds apart from `start`."""
    shots = []
    begin = datetime.fromisoformat(start)
    for k, (scene, view, orientation, located, english, french) in enumerate(rows):
        moment = begin.replace(minute=begin.minute + k, second=(begin.second + 37 * k) % 60)
        shot = Shot(
            name=f"IMG_{first + k}.jpg",
            view=view,
            subject=subject,
            phase="arrival",
            taken_at=moment,
            orientation=orientation,
            gps=VALBRUNE if located else None,
            caption_en=english,
            caption_fr=french,
            scene=f"{subject}/{scene}",
        )
        shots.append(aimed(shot))
    return tuple(shots)


VIELLE = (
    (
        "front",
        "front",
        1,
        True,
        "Front, strings on, wheel covered.",
        "Face, cordes montées, roue couverte.",
    ),
    (
        "back",
        "back",
        6,
        True,
        "Back in two halves of flamed maple.",
        "Fond en deux pièces d’érable ondé.",
    ),
    (
        "left_side",
        "left_side",
        1,
        True,
        "Side of the keys: two rows, thirteen and ten.",
        "Côté des touches : deux rangs, treize et dix.",
    ),
    (
        "right_side",
        "right_side",
        3,
        True,
        "Side of the trompette and the mouche.",
        "Côté de la trompette et de la mouche.",
    ),
    (
        "head",
        "head",
        1,
        False,
        "Head: six pegs, carved flower; one peg is cracked.",
        "Tête : six chevilles, fleur sculptée ; une cheville est fendue.",
    ),
    (
        "label",
        "label",
        3,
        False,
        "Printed label inside, a corner torn away.",
        "Étiquette imprimée à l’intérieur, un coin déchiré.",
    ),
    (
        "wheel",
        "wheel",
        1,
        False,
        "Wheel with its cover off: joint of the rim, caked rosin.",
        "Roue découverte : joint de la jante, colophane accumulée.",
    ),
    (
        "keybox",
        "keybox_open",
        1,
        False,
        "Keybox open: one tangent loose, dust towards the wheel.",
        "Clavier ouvert : un sautereau tourne, poussière vers la roue.",
    ),
    (
        "bridge",
        "bridge",
        1,
        False,
        "Main bridge from the tail; the left foot lifts.",
        "Grand chevalet vu de l’arrière ; le pied gauche ne porte pas.",
    ),
    (
        "tangents",
        "tangents",
        3,
        False,
        "Tangents beside the two chanterelles, one leaning.",
        "Sautereaux le long des deux chanterelles, l’un penché.",
    ),
    ("tail", "tail", 1, False, "Tailpiece, tirant and crank.", "Cordier, tirant et manivelle."),
    (
        "crack",
        "damage",
        1,
        False,
        "Open crack in the soundboard, block of edging lost below.",
        "Fente ouverte de la table, filet perdu au bord.",
    ),
    (
        "worm",
        "damage",
        1,
        False,
        "Flight holes of woodworm in the back, joint open.",
        "Trous d’envol de vrillettes dans le fond, joint ouvert.",
    ),
    (
        "dog",
        "dog",
        1,
        False,
        "Dog of the trompette on its bone plate.",
        "Chien de la trompette sur sa plaque d’os.",
    ),
)
LUTEBACK = (
    ("front", "front", 8, True, "Front of the lute-backed fiddle.", "Face de la vielle en luth."),
    (
        "back",
        "back",
        1,
        True,
        "Back of nine staves, maple and walnut in turn.",
        "Dos de neuf côtes, érable et noyer alternés.",
    ),
    (
        "left_side",
        "left_side",
        1,
        True,
        "Side of the keys, bowl below.",
        "Côté des touches, la coque dessous.",
    ),
    ("head", "head", 3, False, "Head and pegs.", "Tête et chevilles."),
    ("label", "label", 1, False, "Label inside.", "Étiquette intérieure."),
    (
        "stave",
        "damage",
        1,
        False,
        "Open joint between two staves, and a cracked stave.",
        "Joint ouvert entre deux côtes, et une côte fendue.",
    ),
)
VIOLIN = (
    ("front", "front", 6, True, "Front of the violin.", "Table du violon."),
    (
        "back",
        "back",
        8,
        True,
        "Back, varnish worn at the shoulder.",
        "Fond, vernis usé à l’épaule.",
    ),
    (
        "side",
        "left_side",
        1,
        False,
        "Bass side; rib seam open at the lower bout.",
        "Côté des graves ; éclisse décollée en bas.",
    ),
    (
        "scroll",
        "scroll",
        1,
        False,
        "Scroll, pegbox cracked below the third peg.",
        "Volute ; cheviller fendu sous la troisième cheville.",
    ),
    ("label", "label", 3, False, "Label inside.", "Étiquette intérieure."),
    (
        "bridge",
        "bridge",
        1,
        False,
        "Bridge from the tailpiece; one foot does not bear.",
        "Chevalet vu du cordier ; un pied ne porte pas.",
    ),
    (
        "soundpost",
        "soundpost",
        1,
        False,
        "Soundpost through the sound hole; crack beside it.",
        "Âme vue par l’ouïe ; fente à côté.",
    ),
)
# What the work on the wheel fiddle left as it was.
LEFT_ALONE = ("lost_edging", "cracked_peg", "rim_joint", "loose_tangent", "worn_shank")
VIELLE_LATER = (
    (
        "inside",
        "damage",
        "during",
        "2026-04-15T15:20:31",
        "Underside of the soundboard in the mirror: four cleats across the crack, bar glued.",
        "Dessous de la table au miroir : quatre taquets en travers de la fente, barre recollée.",
    ),
    (
        "front",
        "front",
        "after",
        "2026-05-07T10:02:10",
        "Front after the work: crack closed; the lost block of edging is left as it was.",
        "Face après travail : fente refermée ; le bloc de filet perdu est laissé tel quel.",
    ),
    (
        "crack",
        "damage",
        "after",
        "2026-05-07T10:06:44",
        "The crack closed, nothing retouched; the edging is left as it was.",
        "La fente refermée, sans retouche ; le filet est laissé tel quel.",
    ),
    (
        "wheel",
        "wheel",
        "after",
        "2026-05-07T10:11:02",
        "Wheel re-centred, rim cleaned and rosined again; its joint is still to be watched.",
        "Roue recentrée, bandage nettoyé et colophané ; son joint reste à surveiller.",
    ),
    (
        "keybox",
        "keybox_open",
        "after",
        "2026-05-07T10:15:37",
        "Keybox cleaned; the loose tangent is as it was found.",
        "Clavier nettoyé ; le sautereau qui tourne est tel qu’on l’a trouvé.",
    ),
)


def _later(subject: str, first: int, rows: tuple[tuple[str, ...], ...]) -> tuple[Shot, ...]:
    """Return shots of the work and after it, held level, numbered from `first`."""
    return tuple(
        aimed(
            Shot(
                name=f"IMG_{first + k}.jpg",
                view=view,
                subject=subject,
                phase=phase,
                taken_at=datetime.fromisoformat(moment),
                orientation=1,
                gps=None,
                caption_en=english,
                caption_fr=french,
                scene=f"{subject}/{scene}",
                left=LEFT_ALONE,
            )
        )
        for k, (scene, view, phase, moment, english, french) in enumerate(rows)
    )


SHOTS: tuple[Shot, ...] = (
    *_series("vielle", 2041, "2026-03-09T09:12:08", VIELLE),
    *_later("vielle", 2203, VIELLE_LATER),
    *_series("luteback", 2088, "2026-03-17T14:31:20", LUTEBACK),
    *_series("violin", 2117, "2026-04-02T10:05:41", VIOLIN),
)
