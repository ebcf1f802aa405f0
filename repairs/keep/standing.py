"""How it stands with the files of the house, in one line for the bench."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.keep.store_models import FileCheck, StoreCheck


@dataclass(frozen=True)
class Standing:
    """The last walk through the store, and how many files are missing or changed since."""

    last: StoreCheck | None
    missing_n: int
    changed_n: int

    @property
    def harmed_n(self) -> int:
        """How many files are not what they were."""
        return self.missing_n + self.changed_n


def standing_of_files() -> Standing:
    """As the bench shows it."""
    found = list(FileCheck.objects.harmed().values_list("found", flat=True))
    missing = found.count(FileCheck.Found.MISSING)
    return Standing(StoreCheck.objects.first(), missing, len(found) - missing)
