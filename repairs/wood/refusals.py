"""Why the store refuses: not enough, not proved where from, built in, or closed."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class NotEnoughWoodError(WorkshopError):
    """More volume, or a longer side, than the piece has left."""

    message = _(
        "Of piece %(number)s %(left)s are left, and it measured %(sizes)s when it was whole; "
        "%(asked)s (%(asked_sizes)s) were asked for. Take less, or take it from another piece."
    )


class SmallerThanTakenError(WorkshopError):
    """A piece would be typed smaller than what was already taken from it."""

    message = _(
        "%(gone)s were taken from piece %(number)s, the largest of it %(largest)s: it cannot be "
        "smaller than that. Check the sizes, or put back what was not taken."
    )


class WoodBuiltInError(WorkshopError):
    """What is glued into an instrument is put back through its work, not behind its back."""

    message = _(
        "This wood is not put back: it is built in as “%(part)s”, work %(work)s of case %(case)s. "
        "If that was noted by mistake, take the new part back on the page of the work, as long as "
        "the work is not signed off."
    )


class WoodOfEndedCaseError(WorkshopError):
    """Wood for a stay that is over: its papers have told what went into it."""

    message = _(
        "Case %(number)s has ended and its instrument has gone: no wood is taken for it any more, "
        "and what was taken for it is not put back."
    )


class PieceClosedError(WorkshopError):
    """A piece that was used up; it is opened again first."""

    message = _(
        "Piece %(number)s is closed and takes nothing back. Open it again first, or enter what "
        "comes back as an offcut of it."
    )


class ProofMissingError(WorkshopError):
    """Protected wood for a case, and no paper shows where it comes from."""

    message = _(
        "Piece %(number)s (%(material)s) is of a protected material, and no proof of its "
        "acquisition is noted. Note which paper shows where it comes from, then take it."
    )


class MaterialNotSuppliedError(WorkshopError):
    """Ivory, tortoiseshell and the like, which the house never puts in."""

    message = _(
        "Nothing was taken from piece %(number)s: the house neither supplies nor replaces "
        "%(material)s. Choose bone, horn or another material, and record what is there."
    )
