"""What the press refuses to issue, to print or to sign."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PreviewOutdatedError(WorkshopError):
    """What was previewed is not what the paper would say now."""

    message = _(
        "The case changed after this preview was made. Nothing was issued: make a new preview, "
        "look at it, then issue that one."
    )


class PaperNotPrintableError(WorkshopError):
    """A picture, a font or a style is missing; ``why`` names it."""

    message = _("The paper could not be made: %(why)s")


class KeyUnusableError(WorkshopError):
    """The house has a key to sign with, and it cannot be used; ``why`` says how."""

    message = _(
        "The key that signs papers cannot be used, so nothing was issued. In %(file)s: %(why)s Put "
        "the file back from a backup, or make a new key on the page of the workshop’s signature."
    )


class KeyExpiredError(WorkshopError):
    """The certificate of the key does not hold on the day of the paper."""

    message = _(
        "The certificate of “%(name)s”, which signs papers, holds from %(first)s to %(last)s and "
        "not on the day of this paper, so nothing was issued. Take over its successor, or make a "
        "key of your own, on the page of the workshop’s signature."
    )


class NoKeyFileError(WorkshopError):
    """A file that is no PKCS#12."""

    message = _(
        "This is no file with a key: PKCS#12 is wanted, whose name mostly ends in .p12 or .pfx. "
        "The present key stays."
    )


class WrongPassphraseError(WorkshopError):
    """A key file that the passphrase does not open."""

    message = _(
        "The passphrase does not open this file. Type the one that you chose when the key was "
        "saved, small and capital letters as they were. The present key stays."
    )


class KeyNotForSigningError(WorkshopError):
    """A key that was read and cannot sign papers; ``why`` says what is wrong with it."""

    message = _("The key of this file cannot sign papers: %(why)s The present key stays.")


class StampServerError(WorkshopError):
    """The time stamp server gave no stamp; ``why`` says what it did instead."""

    message = _("The time stamp server %(server)s gave no stamp: %(why)s")


class ProofsNotFoundError(WorkshopError):
    """What would prove a certificate in later years was not to be had."""

    message = _("The list of revoked certificates of “%(name)s” could not be fetched.")


class ProofsGivenUpError(WorkshopError):
    """After many tries over days; ``why`` is what stood in the way at the last."""

    message = _(
        "The time stamp or the proofs of %(title)s were asked for %(tries)s times in vain; last: "
        "%(why)s Ask again on the page of the workshop’s signature when the server answers."
    )
