"""What is to be installed: under which name, where, behind which proxy."""

from __future__ import annotations

import json
import re
import socket
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from repairs.keep.install.refusals import (
    AcmeWantsMoreError,
    DataInsideError,
    NameUnfitError,
    PathUnfitError,
)

USER = "sautereau"
NGINX, CADDY = "nginx", "caddy"
LOCAL = ".local"  # names that machines of one network tell each other (RFC 6762, 3)
# RFC 1123, 2.1; small, since certificates are compared so.
_LABEL = r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?"
_NAME = re.compile(rf"(?=.{{4,253}}$){_LABEL}(?:\.{_LABEL})+")
_PLACE = re.compile(r"(?:/[A-Za-z0-9._-]+)+")
ETC = Path("/etc/sautereau")


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """As typed, or as remembered from the last time. ``root`` is a folder that stands for the
    machine, to try it without touching the machine itself."""

    name: str
    program: str
    data: str = "/srv/sautereau"
    backup_to: str = ""
    proxy: str = NGINX
    acme: bool = False
    port: int = 8000
    language: str = "fr"
    time_zone: str = "Europe/Paris"
    root: str = ""

    def check(self) -> None:
        """Raise what can be told from the words alone."""
        is_deep = self.is_local and self.name.count(".") > 1  # no machine tells such a name
        if is_deep or not _NAME.fullmatch(self.name) or self.name.replace(".", "").isdigit():
            raise NameUnfitError(typed=self.name)
        for place in filter(None, (self.data, self.backup_to, self.program)):
            if not _PLACE.fullmatch(place):
                raise PathUnfitError(place=place)
        data, program = Path(self.data).resolve(), Path(self.program).resolve()
        if data.is_relative_to(program) or program.is_relative_to(data):
            raise DataInsideError(place=self.data)
        if self.acme and (self.proxy != CADDY or self.is_local):
            raise AcmeWantsMoreError(name=self.name)

    @property
    def is_local(self) -> bool:
        """Whether the name is one that only this network knows."""
        return self.name.endswith(LOCAL)

    @property
    def address(self) -> str:
        """What labels and papers carry."""
        return f"https://{self.name}"

    def at(self, place: str | Path) -> Path:
        """Where a file of the machine lies: below ``root`` when it is only tried."""
        whole = Path(place)
        return Path(self.root) / whole.relative_to("/") if self.root else whole

    @property
    def record(self) -> Path:
        """The file that remembers what was installed."""
        return self.record_in(self.root)

    @staticmethod
    def record_in(root: str) -> Path:
        """Where that file is, on the machine or in the folder that stands for it."""
        return Path(root or "/") / (ETC / "installed.json").relative_to("/")


def remembered(record: Path) -> dict[str, Any]:
    """What the file of the last time says; nothing where there is none."""
    try:
        said = json.loads(record.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return said if isinstance(said, dict) else {}


def default_name() -> str:
    """The name that the machine tells its network anyway."""
    return f"{socket.gethostname().partition('.')[0].lower()}{LOCAL}"


def as_remembered(wishes: Wishes, files: dict[str, str]) -> str:
    """What is remembered: the wishes, and every file of ours with its hash."""
    words = {key: value for key, value in asdict(wishes).items() if key != "root"}
    return json.dumps({"wishes": words, "files": files}, indent=1) + "\n"
