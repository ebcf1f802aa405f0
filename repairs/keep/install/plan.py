"""Everything that an installation does, in its order."""

from __future__ import annotations

import datetime as dt
import pwd
import socket
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import gettext as _

from repairs.keep.install import texts
from repairs.keep.install.certificates import Certificates
from repairs.keep.install.steps import File, Folder, Owner, Run, Step, succeeds, told_by
from repairs.keep.install.wishes import CADDY, ETC, NGINX, USER, Wishes

UNITS = Path("/etc/systemd/system")
SERVICE = "sautereau.service"
RENEWAL, TIMER = "sautereau-certificate.service", "sautereau-certificate.timer"
WRAPPER = Path("/usr/local/bin/sautereau")
SITES = {NGINX: Path("/etc/nginx/conf.d/sautereau.conf"), CADDY: Path("/etc/caddy/Caddyfile")}
AVAHI = Path("/etc/avahi/avahi-daemon.conf")
# What Debian calls what the papers, the proxy and the local name need.
ALWAYS = ("python3-venv", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core")


@dataclass(frozen=True)
class Plan:
    """The steps of these wishes on this machine. ``is_real`` is not when ``root`` stands for it."""

    wishes: Wishes
    at: dt.datetime
    has_systemd: bool = True

    @property
    def is_real(self) -> bool:
        """Whether users, packages and services of the machine are touched."""
        return not self.wishes.root

    def steps(self) -> list[Step]:
        """All, in their order."""
        made: list[Step] = [*self.first_steps(), *self._folders(), self._settings()]
        if not self.wishes.acme:
            made.append(self.certificates())
        made += self.files()
        if self.is_real:
            made.append(self._migrated())
            made += self._started() if self.has_systemd else []
        return made

    def first_steps(self) -> list[Step]:
        """What must be there before the other steps can be told: packages and the user."""
        return [*self._machine()] if self.is_real else []

    def packages(self) -> tuple[str, ...]:
        """The packages of Debian that are needed."""
        named = ("avahi-daemon",) if self.wishes.is_local else ()
        return (*ALWAYS, self.wishes.proxy, *named)

    def _machine(self) -> list[Step]:
        packages = self.packages()
        install = ("apt-get", "install", "-y", "--no-install-recommends", *packages)
        said = _("packages of Debian: %(names)s") % {"names": " ".join(packages)}
        home = ("--home-dir", self.wishes.data, "--no-create-home")
        hired = ("useradd", "--system", "--user-group", *home, "--shell", "/usr/sbin/nologin", USER)
        who = _("a user of its own, “%(user)s”, who cannot sign in") % {"user": USER}
        return [
            Run(said, install, lambda: all(map(_is_installed, packages))),
            Run(who, hired, _has_user),
        ]

    def _folders(self) -> list[Step]:
        owner = Owner(USER) if self.is_real else None
        places = filter(None, (self.wishes.data, self.wishes.backup_to))
        return [Folder(self.wishes.at(place), 0o700, owner) for place in places]

    def _settings(self) -> File:
        place = self.wishes.at(texts.SETTINGS)
        text = texts.settings_text(self.wishes, _read(place))
        return File(place, text, 0o600, self._root(), (texts.secret_in(text),))

    def certificates(self) -> Certificates:
        """The authority, and the certificate below it."""
        reader = Owner("root", "caddy") if self.wishes.proxy == CADDY else Owner()
        return Certificates(self.wishes, self.at, self._root(), reader if self.is_real else None)

    def files(self) -> list[File]:
        """Services, the command, the proxy, the name: all that an undoing removes again."""
        wishes, proxy = self.wishes, SITES[self.wishes.proxy]
        site = texts.caddy_text(wishes) if wishes.proxy == CADDY else texts.filled(
            "nginx.conf", wishes
        )  # fmt: skip
        wanted = [(UNITS / SERVICE, texts.filled(SERVICE, wishes), 0o644)]
        if not wishes.acme:
            renewal = ((UNITS / name, texts.filled(name, wishes), 0o644) for name in RENEWS)
            wanted += renewal
        wanted += [(WRAPPER, texts.filled("sautereau", wishes), 0o755), (proxy, site, 0o644)]
        if wishes.is_local and wishes.name != f"{socket.gethostname().lower()}.local":
            present = _read(wishes.at(AVAHI))
            wanted.append((AVAHI, texts.avahi_text(present, wishes.name), 0o644))
        root = self._root()
        return [File(wishes.at(place), text, mode, root) for place, text, mode in wanted]

    def _root(self) -> Owner | None:
        return Owner() if self.is_real else None

    def _migrated(self) -> Run:
        asked = (str(WRAPPER), "migrate", "--check")
        return Run(
            _("the tables of the casebook"),
            (str(WRAPPER), "migrate", "--no-input"),
            lambda: WRAPPER.exists() and _has_user() and succeeds(*asked),
        )

    def _started(self) -> list[Step]:
        proxy = self.wishes.proxy
        timers = () if self.wishes.acme else (TIMER,)
        named = ("avahi-daemon.service",) if self.wishes.is_local else ()
        services = (SERVICE, *timers, f"{proxy}.service", *named)
        steps: list[Step] = [
            Run(_("systemd reads its files"), ("systemctl", "daemon-reload"), _yes, follows=True),
            *(
                Run(
                    _("starts %(service)s, now and with the machine") % {"service": service},
                    ("systemctl", "enable", "--now", service),
                    lambda service=service: _runs(service),  # type: ignore[misc]
                )
                for service in services
            ),
            *(
                Run(
                    _("starts %(service)s anew") % {"service": service},
                    ("systemctl", "restart", service),
                    _yes,
                    follows=True,
                )
                for service in (SERVICE, *named)
            ),
        ]
        return [*steps, *self.reloads()]

    def own_services(self) -> tuple[str, ...]:
        """The services that an undoing ends."""
        return (SERVICE,) if self.wishes.acme else (TIMER, SERVICE)

    def left(self) -> list[str]:
        """What an undoing leaves, each with its place."""
        wishes = self.wishes
        said = [
            _("the data of the workshop: %(place)s") % {"place": wishes.at(wishes.data)},
            _("settings and keys: %(place)s") % {"place": wishes.at(ETC)},
            _("the user “%(user)s” and the packages of Debian") % {"user": USER},
        ]
        if wishes.backup_to:
            said.append(_("the backups: %(place)s") % {"place": wishes.at(wishes.backup_to)})
        if not wishes.acme:
            said.append(_("the authority in every phone that took it: remove it there by hand"))
        return said

    def reloads(self) -> list[Step]:
        """The proxy reads its file again, once it was held to be good."""
        words = _("%(proxy)s reads its file again") % {"proxy": self.wishes.proxy}
        checked = _("%(proxy)s holds its file to be good") % {"proxy": self.wishes.proxy}
        return [
            Run(checked, self.check_of_proxy(), _yes, follows=True),
            Run(words, ("systemctl", "reload", self.wishes.proxy), _yes, follows=True),
        ]

    def check_of_proxy(self) -> tuple[str, ...]:
        """How the proxy itself looks at its file."""
        if self.wishes.proxy == CADDY:
            return ("caddy", "validate", "--config", str(SITES[CADDY]))
        return ("nginx", "-t")

    def by_hand(self) -> list[str]:
        """What is to be started where no systemd does it."""
        server = (
            f"cd {self.wishes.program} && set -a && . {texts.SETTINGS} && set +a && "
            f"SAUTEREAU_NO_BOOTSTRAP=1 runuser -u {USER} -- .venv/bin/python -m gunicorn "
            "--config python:workshop.serving workshop.wsgi"
        )
        proxy = f"caddy run --config {SITES[CADDY]}" if self.wishes.proxy == CADDY else "nginx"
        started = [server, proxy]
        if self.wishes.is_local:
            started.append("avahi-daemon --daemonize")
        if not self.wishes.acme:
            started.append(
                f"{self.wishes.program}/.venv/bin/python {self.wishes.program}/manage.py "
                "install --renew"
            )
        return started


RENEWS = (RENEWAL, TIMER)


def _read(place: Path) -> str:
    try:
        return place.read_text(encoding="utf-8")
    except OSError:
        return ""


def _yes() -> bool:
    return True


def _has_user() -> bool:
    try:
        pwd.getpwnam(USER)
    except KeyError:
        return False
    return True


def _is_installed(package: str) -> bool:
    # Of a package that was removed the settings stay, and dpkg still knows it.
    return told_by("dpkg-query", "--show", "--showformat=${db:Status-Abbrev}", package)[:2] == "ii"


def _runs(service: str) -> bool:
    return succeeds("systemctl", "is-enabled", service) and succeeds(
        "systemctl", "is-active", service
    )
