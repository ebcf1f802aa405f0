"""Photos of a case: originals by content hash, and the tags drawn on them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _
from PIL import Image

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.language.dates import day_words
from repairs.language.text import labelled
from repairs.photos.darkroom import SIZES
from repairs.photos.troubles import said_of_failed
from repairs.press.document import Picture
from repairs.storage import files as store

SCREEN_PX, PRINT_PX, PHONE_PX, THUMB_PX = SIZES
FRONT = "front"
SCALE_CARD = "scale_card"  # the view that is taken for the sake of scale and card alone

REFUSALS = {
    "empty": _("it is empty. Take the photo again or send it once more."),
    "damaged": _("it is damaged or was cut short on its way. Send it once more."),
    "drawing": _("it is a vector drawing, not a photo. Send a JPEG, PNG, WebP or HEIC."),
    "other_kind": _("it is not of a kind that is kept here. Send a JPEG, PNG, WebP or HEIC."),
    "not_a_picture": _("it is not a picture, whatever its name says."),
    "too_large": _(
        "it has %(megapixels)s megapixels and at most %(most)s can be kept. "
        "Send it at a smaller size."
    ),
    "too_heavy": _("it has more than %(most)s MB. Send it at a smaller size."),
    "twice": _("it is the same file as photo %(number)s, which is already here: kept once."),
}

# What a file was refused for by a former release, which could not tell trouble from a bad file.
REFUSALS_OF_OLD = {
    "too_slow": _("reading it took too long. Send it at a smaller size or as JPEG."),
    "crashed": _("reading it failed. Send it once more, or as JPEG."),
}


class Carries(models.TextChoices):
    """What lies in the picture beside the instrument, to tell its size and its colours by."""

    NOTHING = "", _("neither scale nor colour card")
    SCALE = "scale", _("a scale")
    CARD = "card", _("a colour card")
    BOTH = "both", _("a scale and a colour card")


class Original(Vouched):
    """One file as it came from the camera, named by the SHA-256 of its bytes, never rewritten.

    The row is there as soon as the file is; what the file shows is known once it is developed.
    """

    sha256 = models.CharField(max_length=64, unique=True)
    file_name = models.CharField(max_length=160)
    size_bytes = models.PositiveBigIntegerField()
    format = models.CharField(max_length=8, blank=True, default="", db_default="")
    width = models.PositiveIntegerField(default=0, db_default=0)
    height = models.PositiveIntegerField(default=0, db_default=0)
    taken_at = models.DateTimeField(null=True)
    camera = models.CharField(max_length=120, blank=True)
    has_place = models.BooleanField(default=False)
    kept_at = models.DateTimeField()

    covers = (
        Cover(
            plain=(
                "sha256 file_name size_bytes format width height taken_at camera has_place kept_at"
            ),
        ),
    )

    objects = VouchedQuerySet.as_manager()

    def __str__(self) -> str:
        return self.sha256[:12]

    def size_px(self, longest_px: int) -> tuple[int, int]:
        """Width and height of the derivative of that longest side."""
        ratio = min(1.0, longest_px / max(self.width, self.height, 1))
        return max(1, round(self.width * ratio)), max(1, round(self.height * ratio))

    def derivative(self, longest_px: int) -> str:
        """Where the smaller picture of that longest side lies in the store."""
        return store.name_for("derived", self.sha256, f"-{longest_px}.jpg")


class PhotoQuerySet(VouchedQuerySet["Photo"]):
    """Photos by whether they belong to the case and whether they can be shown."""

    def present(self) -> PhotoQuerySet:
        """Those that belong to the case now: kept, and not withdrawn."""
        return self.filter(withdrawn_at=None).exclude(state=Photo.State.REFUSED)

    def ready(self) -> PhotoQuerySet:
        """Those that were verified and developed, with their originals joined."""
        return self.filter(withdrawn_at=None, state=Photo.State.READY).select_related("original")

    def face(self, *, is_last: bool = False) -> Photo | None:
        """By which the instrument is known on a paper: a front, else any; the first or the last."""
        fronts_first = models.Case(models.When(view=FRONT, then=0), default=1)
        return self.ready().order_by(fronts_first, "-number" if is_last else "number").first()


class Photo(Vouched):
    """One photo in one case. The number is given once and never used again in the case."""

    class Phase(models.TextChoices):
        """When in the stay it was taken; pairs of before and after are made by it."""

        ARRIVAL = "arrival", _("arrival")
        BEFORE = "before", _("before work")
        DURING = "during", _("during work")
        AFTER = "after", _("after work")
        RETURN = "return", _("return")

    class State(models.TextChoices):
        """From the original in the store to its smaller pictures.

        What was refused, and what could not be developed, keeps its reason; of the latter the
        original is kept, and it may be tried again.
        """

        WAITING = "waiting", _("being checked")
        READY = "ready", _("ready")
        FAILED = "failed", _("could not be developed")
        REFUSED = "refused", _("not kept")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="photos")
    number = models.PositiveSmallIntegerField()
    original = models.ForeignKey(Original, models.PROTECT, null=True, related_name="photos")
    phase = models.CharField(_("phase"), max_length=8, choices=Phase, default=Phase.ARRIVAL)
    view = models.CharField(_("view"), max_length=20, blank=True)
    caption = models.CharField(_("caption"), max_length=300, blank=True)
    # The database knows the default too: a release that does not know the field still writes rows.
    carries = models.CharField(
        _("in the picture"), max_length=8, blank=True, choices=Carries, default="", db_default=""
    )
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    refusal = models.CharField(max_length=16, blank=True)
    refusal_details = models.JSONField(default=dict)
    sent_name = models.CharField(max_length=200)
    sent_at = models.DateTimeField()
    sent_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    covers = (
        Cover(
            plain=(
                "case number original phase view carries state refusal refusal_details sent_at "
                "sent_by withdrawn_at"
            ),
            personal="caption sent_name",
        ),
    )

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_photo_a_number"),
            models.CheckConstraint(
                condition=~Q(state="ready") | Q(original__isnull=False),
                name="ready_photo_has_original",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or str(_("photo %(number)s")) % {"number": self.number}

    def get_absolute_url(self) -> str:
        """The page on which it is tagged."""
        return reverse("findings:photo", args=[self.case.number, self.number])

    @property
    def view_label(self) -> str:
        """The view in words; empty when it is none of the kind's."""
        views = self.case.instrument.pattern.views
        return next((str(view) for view in views if view.slug == self.view), "")

    @property
    def has_scale(self) -> bool:
        """Whether a scale lies in it; in the view of scale and card it does."""
        return self.view == SCALE_CARD or self.carries in (Carries.SCALE, Carries.BOTH)

    @property
    def has_colour_card(self) -> bool:
        """Whether a colour card lies in it; in the view of scale and card it does."""
        return self.view == SCALE_CARD or self.carries in (Carries.CARD, Carries.BOTH)

    @property
    def refusal_text(self) -> str:
        """Why the file was not kept or not developed, as a sentence; empty when it was."""
        if self.state == self.State.FAILED:
            return said_of_failed(self.refusal)
        words = REFUSALS.get(self.refusal) or REFUSALS_OF_OLD.get(self.refusal)
        return str(words) % self.refusal_details if words else ""

    @property
    def taken_at(self) -> dt.datetime | None:
        """When the camera says that it was taken; None when it does not say."""
        return self.original.taken_at if self.original else None

    @property
    def on_paper(self) -> Picture:
        """As it stands small on a paper, with its number, its view and its day."""
        if self.original is None:
            raise ValueError("a ready photo has an original")
        width, height = self.original.size_px(PHONE_PX)
        number = _("photo %(number)s") % {"number": self.number}
        said = (capfirst(number), self.view_label, day_words(self.original.taken_at))
        return Picture(
            name=self.original.derivative(PHONE_PX),
            width=width,
            height=height,
            alt=str(_("Photograph; its caption says what it shows")),
            words=" · ".join(words for words in said if words),
        )

    def address(self, longest_px: int) -> str:
        """Where the picture with this longest side is fetched, px."""
        return reverse("photos:picture", args=[self.case.number, self.number, longest_px])

    @property
    def thumb_address(self) -> str:
        """Where the small picture of lists is fetched."""
        return self.address(THUMB_PX)

    @property
    def phone_address(self) -> str:
        """Where the picture as wide as a phone is fetched."""
        return self.address(PHONE_PX)

    @property
    def screen_address(self) -> str:
        """Where the picture for the screen is fetched."""
        return self.address(SCREEN_PX)

    @property
    def screen_size(self) -> tuple[int, int]:
        """Of the file itself, which the darkroom may leave up to 3 % under the wished size."""
        if self.original is None:
            return 0, 0
        path = store.path_of(self.original.derivative(SCREEN_PX))
        try:
            with Image.open(path) as picture:
                return picture.size
        except OSError:  # it is missing or was changed: the picture itself says so
            return self.original.size_px(SCREEN_PX)

    @property
    def alt(self) -> str:
        """What the picture is, for someone who cannot see it."""
        return labelled(str(_("Photo %(number)s")) % {"number": self.number}, self.words)

    @property
    def words(self) -> str:
        """View and caption, as far as they are given."""
        return labelled(self.view_label, self.caption)


def views_taken(photos: Iterable[Photo]) -> set[str]:
    """The views that those photos show; scale and card need no photo of their own.

    They count as taken once a scale and a colour card lie in any pictures.
    """
    rows = list(photos)
    taken = {photo.view for photo in rows}
    if any(photo.has_scale for photo in rows) and any(photo.has_colour_card for photo in rows):
        taken.add(SCALE_CARD)
    return taken


class Tag(Vouched):
    """A place drawn on a photo, in fractions of the upright picture's width and height.

    It has no number of its own: the number belongs to the finding that it is bound to.
    """

    class Shape(models.TextChoices):
        """How the place was drawn."""

        POINT = "point", _("point")
        LINE = "line", _("line")
        POLYGON = "polygon", _("area")

    photo = models.ForeignKey(Photo, models.PROTECT, related_name="tags")
    shape = models.CharField(max_length=8, choices=Shape)
    points = models.JSONField()
    drawn_at = models.DateTimeField()
    drawn_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)
    # Which hand drew it: sent again after a lost answer, it is known by this.
    tap = models.UUIDField(null=True, editable=False)

    covers = (Cover(plain="photo shape points drawn_at drawn_by withdrawn_at", free="tap"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["photo", "tap"], name="one_tag_a_tap")]

    def __str__(self) -> str:
        return f"{self.shape} on {self.photo_id}"


def check_points(shape: str, points: object) -> list[list[float]]:
    """Return the points as ``[[x, y], …]`` in 0..1, rounded to a hundredth of a per cent.

    Raises ValueError when the shape is unknown, a coordinate is no number or lies outside the
    picture, or there are too few or too many points for the shape.
    """
    least = {"point": 1, "line": 2, "polygon": 3}.get(shape)
    if least is None or not isinstance(points, list):
        raise ValueError("unknown shape")
    if len(points) < least or len(points) > (1 if shape == "point" else 200):
        raise ValueError("wrong number of points")
    return [[_fraction(value) for value in _pair(point)] for point in points]


def _pair(point: object) -> list[Any]:
    if not isinstance(point, list) or len(point) != 2:
        raise ValueError("a point has two coordinates")
    return point


def _fraction(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        raise ValueError("a coordinate lies between 0 and 1")
    return round(float(value), 4)
