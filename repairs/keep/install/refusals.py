"""What keeps the casebook from being installed on a machine."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.keep.refusals import KeepError


class NotRootError(KeepError):
    """Users, services and the port of the proxy are the machine's."""

    message = _(
        "Only the administrator of this machine can install: run the same line with sudo, or look "
        "first with --dry-run."
    )


class NoSystemdError(KeepError):
    """A container, as a rule: nothing there starts or watches a service."""

    message = _(
        "There is no systemd here to start the server and to start it again (a container?). With "
        "--by-hand everything else is put in place, and it says what is to be started."
    )


class PortTakenError(KeepError):
    """Somebody else listens there."""

    message = _(
        "Port %(port)s is taken by “%(who)s”. Stop that program, or, for the port of the casebook "
        "itself, name another one with --port."
    )


class NameTakenError(KeepError):
    """Another machine has the name, or another site of this one."""

    message = _("“%(name)s” is taken already: by %(where)s. Take another name (--name).")


class NameUnfitError(KeepError):
    """What certificates and browsers do not take as the name of a machine."""

    is_input = True
    message = _(
        "“%(typed)s” cannot be the name of the casebook: small letters a to z, digits and hyphens, "
        "with a dot, such as casebook.local or casebook.example.org."
    )


class PathUnfitError(KeepError):
    """A folder whose name would have to be quoted in five kinds of files."""

    is_input = True
    message = _(
        "“%(place)s” cannot be used: name a folder from the root on (/srv/…), of letters a to z, "
        "digits, dots, hyphens and underscores."
    )


class DataInsideError(KeepError):
    """The next release is unpacked elsewhere; the data must not be looked for in this one."""

    is_input = True
    message = _(
        "“%(place)s” lies inside the folder of the program (or the program inside it): an update "
        "would leave the data behind. Name a folder of its own, such as /srv/sautereau."
    )


class DataForeignError(KeepError):
    """Files of something else."""

    message = _(
        "“%(place)s” holds other things (%(what)s) and no casebook. Name an empty folder, or the "
        "data folder of a casebook."
    )


class ProgramClosedError(KeepError):
    """The service has a user of its own, who must be able to read the program."""

    message = _(
        "The user of the service may not look into “%(place)s”. Move the program to a folder that "
        "everybody may read, such as /opt/sautereau, and run this from there."
    )


class ProxyOwnError(KeepError):
    """A file of the proxy that somebody wrote by hand."""

    message = _(
        "%(place)s was written by somebody already. Take --proxy nginx, or put the lines of README "
        "there by hand."
    )


class AcmeWantsMoreError(KeepError):
    """Public certificates are for public names, and only Caddy fetches them by itself."""

    is_input = True
    message = _(
        "With --acme the certificate is fetched from outside: that wants --proxy caddy and a name "
        "that the whole world can look up (not “%(name)s”)."
    )


class StepFailedError(KeepError):
    """One step; those before it stand."""

    message = _(
        "“%(step)s” failed: %(why)s. What was done before stands. Mend that and run the same line "
        "again: it goes on where it stopped."
    )


class NotInstalledError(KeepError):
    """Nothing to renew or to undo."""

    is_input = True
    message = _("No casebook was installed on this machine by this command (%(place)s is missing).")


class NotGrantedError(KeepError):
    """Asked, and answered with no."""

    message = _("Nothing was done.")
