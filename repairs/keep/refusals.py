"""What keeps a bundle from being written, or from being taken back."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class KeepError(WorkshopError):
    """A backup, restore or drill that cannot be. ``is_input`` tells what was typed wrongly (2)
    from what was found (1)."""

    is_input = False


class BackupBusyError(KeepError):
    """Another backup writes into the same folder."""

    message = _("Another backup is writing to “%(place)s” now. Wait until it has ended.")


class PlaceInsideError(KeepError):
    """A copy inside the data is lost with it."""

    is_input = True
    message = _(
        "“%(place)s” lies inside the data folder (or the data folder inside it): one disk would "
        "take both. Name a folder elsewhere, best on another disk."
    )


class PlaceUnusableError(KeepError):
    """The folder of the backups is none, or cannot be written."""

    is_input = True
    message = _("“%(place)s” cannot be written: %(why)s. Name another folder, or mount the disk.")


class NoRoomError(KeepError):
    """Known beforehand, or met on the way: then nothing half is left."""

    message = _(
        "“%(place)s” has %(free_mb)s MB left and this backup wants some %(needed_mb)s MB. Make "
        "room there, or keep fewer backups (--keep)."
    )


class NotMigratedError(KeepError):
    """The tables are not those that this release describes."""

    message = _(
        "The database does not stand as this release wants it (%(what)s). "
        "Run “manage.py migrate” first."
    )


class FewRecipientsError(KeepError):
    """With one key, one lost sheet of paper loses every backup."""

    is_input = True
    message = _(
        "Name at least two different recipients (--recipient twice): with one, a single lost key "
        "loses every backup."
    )


class NoRecipientError(KeepError):
    """What was typed is no public key of age."""

    is_input = True
    message = _(
        "“%(typed)s” is no public key: one begins with “age1” and has 62 letters. The recovery "
        "sheet shows it."
    )


class TwoWaysError(KeepError):
    """Recipients and a passphrase at once: which is meant, nobody can tell."""

    is_input = True
    message = _("Name recipients or a file with a passphrase, not both.")


class PassphraseShortError(KeepError):
    """A passphrase that is guessed in an afternoon."""

    is_input = True
    message = _("The passphrase has %(n)s signs; take at least %(least)s, such as six words.")


class OtherPassphraseError(KeepError):
    """A slip in the file would make entries that nobody can open."""

    is_input = True
    message = _(
        "This is not the passphrase of the backups before. Mend the file; if it is meant to "
        "change, say --new-key, and everything is encrypted anew."
    )


class NoEntryError(KeepError):
    """Nothing to restore or to try."""

    is_input = True
    message = _("“%(place)s” holds no whole backup of this house.")


class BundleForeignError(KeepError):
    """A folder that no backup of ours made."""

    is_input = True
    message = _("“%(place)s” is no backup of this program: %(why)s.")


class BundlePartialError(KeepError):
    """A backup that never came to its end."""

    message = _("“%(place)s” is a backup that was stopped before its end. Take the one before it.")


class BundleDamagedError(KeepError):
    """Something in it is not what was written."""

    message = _("The backup is damaged: %(what)s. Nothing was restored; take another backup.")


class BundleNewerError(KeepError):
    """Made by a later release."""

    message = _(
        "The backup was made by a later release (%(release)s; this one does not know “%(what)s”). "
        "Install that release, then restore."
    )


class KeyWantedError(KeepError):
    """An encrypted backup, and nothing to open it with."""

    is_input = True
    message = _(
        "The backup is encrypted: name a file with the passphrase or the key of the recovery sheet "
        "(--passphrase-file), or type it."
    )


class WrongKeyError(KeepError):
    """It does not open the backup."""

    is_input = True
    message = _(
        "This passphrase or key does not open the backup. Compare it with the recovery sheet, "
        "group by group, or take the key of the other keeper."
    )


class HouseNotEmptyError(KeepError):
    """A restore never writes over what is there."""

    message = _(
        "There is a house here already (%(what)s). Restore into an empty data folder and an empty "
        "database: set SAUTEREAU_DATA to a new folder."
    )


class RestoreBusyError(KeepError):
    """Two restores into one house would clear each other's work away; a server that runs would go
    on writing into a database that is not there any more."""

    message = _(
        "“%(place)s” is in use: a server runs from it, or another restore writes there. Stop the "
        "server, or wait until the other restore has ended."
    )


class RestoreStoppedError(KeepError):
    """Nothing is served from half a house."""

    message = _(
        "A restore into “%(place)s” was stopped before its end: there is no house to serve yet. "
        "Run the same restore again (manage.py restore BUNDLE): it clears what was left and "
        "begins anew. Nothing of the backup was lost."
    )


class RowsDifferError(KeepError):
    """What stands in the database afterwards is not what the backup holds."""

    message = _(
        "After restoring, “%(table)s” is not what the backup holds. Nothing was put in place."
    )


class ProofFailedError(KeepError):
    """A check of the restored house said no."""

    message = _("The restored house does not pass “%(check)s”: %(why)s Nothing was put in place.")


class SecretUnreadableError(KeepError):
    """The file of the passphrase or key."""

    is_input = True
    message = _("“%(place)s” cannot be read: %(why)s.")


class NoReleaseError(KeepError):
    """The next release is not there, or is the present one."""

    is_input = True
    message = _("“%(place)s” is no other release of Sautereau: unpack the next one there first.")


class NotUpdatedError(KeepError):
    """The next release failed a check; the rows are as they were."""

    message = _(
        "The next release failed at “%(step)s”: %(why)s Everything is as it was: start the server "
        "from the present folder again."
    )
