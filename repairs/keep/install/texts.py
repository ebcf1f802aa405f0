"""The files that are put in place. Those of proxy and services are the very ones of README: they
lie in ``fixtures/install`` with example values, which are replaced."""

from __future__ import annotations

import secrets
from functools import cache
from pathlib import Path

from django.conf import settings

from repairs.keep.install.certificates import LEAF, LEAF_KEY, ROOT
from repairs.keep.install.wishes import ETC, Wishes

SETTINGS = ETC / "settings.env"
HEAD = '# Read by systemd and by the command sautereau: NAME="value", a line each.\n'
KEY_NAME = "SAUTEREAU_SECRET_KEY"
EXAMPLE_NAME, EXAMPLE_PORT = "casebook.example.org", "127.0.0.1:8000"
EXAMPLE_PEM, EXAMPLE_KEY = "/etc/ssl/casebook.pem", "/etc/ssl/casebook.key"
EXAMPLE_PROGRAM, EXAMPLE_DATA = "/opt/sautereau", "/srv/sautereau"


@cache
def example(name: str) -> str:
    """A file as it lies in the fixtures."""
    return Path(settings.FIXTURES, "install", name).read_text(encoding="utf-8")


def filled(name: str, wishes: Wishes) -> str:
    """A file with the values of this house."""
    writable = f"ReadWritePaths={' '.join(filter(None, (wishes.data, wishes.backup_to)))}"
    return (
        example(name)
        .replace(EXAMPLE_PEM, str(LEAF))
        .replace(EXAMPLE_KEY, str(LEAF_KEY))
        .replace(EXAMPLE_NAME, wishes.name)
        .replace(EXAMPLE_PORT, f"127.0.0.1:{wishes.port}")
        .replace(f"ReadWritePaths={EXAMPLE_DATA}", writable)
        .replace(EXAMPLE_PROGRAM, wishes.program)
    )


def caddy_text(wishes: Wishes) -> str:
    """The Caddyfile: as in README, which fetches its certificate; else with our own."""
    text = filled("Caddyfile", wishes)
    if wishes.acme:
        return text
    opening = f"{wishes.name} {{\n"
    own = text.replace(opening, f"{opening}    tls {LEAF} {LEAF_KEY}\n", 1)
    return own + filled("Caddyfile.trust", wishes)


def settings_text(wishes: Wishes, present: str) -> str:
    """The settings: ours as wished, whatever else somebody wrote as it stands."""
    kept = _read(present)
    ours = {
        KEY_NAME: kept.get(KEY_NAME) or secrets.token_urlsafe(64),
        "SAUTEREAU_ADDRESS": wishes.address,
        "SAUTEREAU_BIND": f"127.0.0.1:{wishes.port}",
        "SAUTEREAU_DATA": wishes.data,
        "SAUTEREAU_PROXIES": "1",
        "SAUTEREAU_AUTHORITY": "" if wishes.acme else str(ROOT),
    }
    if wishes.backup_to:
        ours["SAUTEREAU_BACKUP_TO"] = wishes.backup_to
    # What people set later in this very file stands.
    first = {
        "SAUTEREAU_ALLOWED_HOSTS": wishes.name,
        "SAUTEREAU_LANGUAGE": wishes.language,
        "SAUTEREAU_TIME_ZONE": wishes.time_zone,
    }
    said = {**first, **kept, **ours}
    return HEAD + "".join(f'{name}="{said[name]}"\n' for name in sorted(said) if said[name])


def secret_in(text: str) -> str:
    """The key of the server in a file of settings; empty without one."""
    return _read(text).get(KEY_NAME, "")


def _read(text: str) -> dict[str, str]:
    rows = (line.split("=", 1) for line in text.splitlines() if "=" in line and line[0] != "#")
    return {name.strip(): value.strip().strip('"') for name, value in rows}


def avahi_text(present: str, name: str) -> str:
    """The settings of avahi with the name that it tells the network; all else as it stands."""
    told = f"host-name={name.partition('.')[0]}"
    lines = present.splitlines() or ["[server]"]
    for at, line in enumerate(lines):
        if line.lstrip("#").startswith("host-name="):
            lines[at] = told
            return "\n".join(lines) + "\n"
    at = lines.index("[server]") + 1 if "[server]" in lines else 0
    lines[at:at] = [told] if at else ["[server]", told]
    return "\n".join(lines) + "\n"
