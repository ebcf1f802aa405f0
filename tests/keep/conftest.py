"""A small house with a file on every shelf, and what may be done to its files."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from repairs.cases.models import Case
from repairs.invoices.models import Invoice
from repairs.people.models import User
from repairs.photos.models import Photo
from repairs.press.models import Paper
from repairs.press.proof_models import PaperProof
from repairs.press.proofs import Proof, Sort, keep
from repairs.storage import files as store
from tests import factories

DAYS_S = 24 * 3600


@dataclass(frozen=True)
class Shelved:
    """One file of each shelf, by the name of its folder."""

    photo: Photo
    paper: Paper
    invoice: Invoice
    proof: PaperProof

    def name(self, folder: str) -> str:
        original = self.photo.original
        assert original is not None
        names = {
            "originals": original.file_name,
            "derived": original.derivative(720),
            "papers": self.paper.file_name,
            "proofs": self.proof.file_name,
            "invoices": self.invoice.xml_name,
        }
        return names[folder]

    def path(self, folder: str) -> Path:
        return store.path_of(self.name(folder))


@pytest.fixture
def shelved(case: Case, photo: Photo, invoice: Invoice, helene: User) -> Shelved:
    paper = invoice.paper
    proof = keep(paper, Proof(Sort.STAMP, b"a token", timezone.now(), "A clock", ""))
    return Shelved(photo, paper, invoice, proof)


@dataclass(frozen=True)
class Told:
    """What a command said, and how it ended."""

    code: int
    out: str
    err: str

    @property
    def facts(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def command() -> Callable[..., Told]:
    def run(name: str, *words: str) -> Told:
        out, err = StringIO(), StringIO()
        try:
            call_command(name, *words, stdout=out, stderr=err)
        except SystemExit as end:
            return Told(int(str(end.code)), out.getvalue(), err.getvalue())
        return Told(0, out.getvalue(), err.getvalue())

    return run


def grow_old(path: Path, days: float = 2) -> Path:
    """As if nobody had touched it for so long."""
    then = time.time() - days * DAYS_S
    os.utime(path, (then, then))
    return path


def put_file(name: str, data: bytes = b"left over", days: float = 2) -> Path:
    path = store.path_of(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return grow_old(path, days)


__all__ = ["Shelved", "Told", "factories", "grow_old", "put_file"]
