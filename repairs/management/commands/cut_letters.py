"""``manage.py cut_letters SOURCES``: makes the house's font files anew from their open sources."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from repairs.screens.lettering import FACES, cut

LETTERS = settings.BASE_DIR / "repairs" / "static" / "repairs" / "letters"


class Command(BaseCommand):
    help = (
        "Cuts the font files of screens and papers from the folder that holds their sources: the "
        "npm packages @expo-google-fonts/atkinson-hyperlegible-next 0.4.1 and "
        "@expo-google-fonts/national-park 0.3.0, unpacked."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("sources", type=Path)
        parser.add_argument("--out", type=Path, default=LETTERS)

    def handle(self, *_words: str, sources: Path, out: Path, **_options: Any) -> None:
        for face in FACES:
            try:
                for path in cut(face, sources, out):
                    self.stdout.write(f"{path.name} {path.stat().st_size} bytes")
            except FileNotFoundError as missing:
                raise CommandError(str(missing)) from missing
