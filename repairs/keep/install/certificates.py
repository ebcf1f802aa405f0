"""The authority and the certificate as files: made once, renewed before they end."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import gettext as _

from repairs.keep.install import authority
from repairs.keep.install.authority import Pair
from repairs.keep.install.steps import File, Owner
from repairs.keep.install.wishes import ETC, Wishes

ROOT_KEY, ROOT = ETC / "authority" / "root.key", ETC / "authority.crt"
LEAF_KEY, LEAF = ETC / "house.key", ETC / "house.pem"


@dataclass(frozen=True)
class Certificates:
    """Root and leaf, of that moment."""

    wishes: Wishes
    at: dt.datetime
    owner: Owner | None
    reader: Owner | None  # who reads the key of the proxy
    follows: bool = False
    shown: str = ""

    @property
    def words(self) -> str:
        """As a line."""
        said = _("an authority of the house for %(name)s alone, its certificate in %(place)s")
        return said % {"name": self.wishes.name, "place": self.wishes.at(LEAF)}

    def root(self) -> Pair | None:
        """The authority as it lies there; None without a usable one."""
        found = authority.read_pair(self.wishes.at(ROOT_KEY), self.wishes.at(ROOT))
        return found if authority.root_holds(found, self.wishes.name, self.at) else None

    def is_done(self) -> bool:
        """Whether both hold for long enough."""
        root = self.root()
        if root is None:
            return False
        leaf = authority.read_pair(self.wishes.at(LEAF_KEY), self.wishes.at(LEAF))
        return authority.holds(leaf, root, self.wishes.name, self.at) and all(
            file.is_done() for file in self._files(root, leaf)
        )

    def do(self) -> None:
        """Make what is missing or ends soon. The key of the authority is written first: a root
        without it would be trusted and could sign nothing."""
        root = self.root() or authority.new_root(self.wishes.name, self.at)
        kept = authority.read_pair(self.wishes.at(LEAF_KEY), self.wishes.at(LEAF))
        fits = authority.holds(kept, root, self.wishes.name, self.at)
        leaf = kept if fits and kept else authority.new_leaf(root, self.wishes.name, self.at)
        folder = self.wishes.at(ROOT_KEY).parent
        folder.mkdir(parents=True, exist_ok=True)
        folder.chmod(0o700)
        for file in self._files(root, leaf):
            file.do()

    def _files(self, root: Pair, leaf: Pair | None) -> list[File]:
        files = [
            self._file(ROOT_KEY, root.key_pem, 0o600, self.owner),
            self._file(ROOT, root.pem, 0o644, self.owner),
        ]
        if leaf is not None:
            mode = 0o600 if self.reader == self.owner else 0o640
            files.append(self._file(LEAF_KEY, leaf.key_pem, mode, self.reader))
            files.append(self._file(LEAF, leaf.pem, 0o644, self.owner))
        return files

    def _file(self, place: Path, data: bytes, mode: int, owner: Owner | None) -> File:
        return File(self.wishes.at(place), data.decode("ascii"), mode, owner)
