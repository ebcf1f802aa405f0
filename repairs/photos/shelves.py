"""The files of photos in the store: originals, and the smaller pictures made of them."""

from __future__ import annotations

import filecmp
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils.translation import gettext_lazy as _

from repairs.jobs.troubles import TroubleError
from repairs.photos import keeping
from repairs.photos.darkroom import SIZES
from repairs.photos.derivative_models import Derivative
from repairs.photos.development import developed, workplace
from repairs.photos.models import Original, Photo
from repairs.storage import files as store
from repairs.storage.shelves import Kept, Place, Rows, Shelf, put_up

ORIGINALS = Rows(Original)


def _originals() -> Iterator[Kept]:
    shown = Exists(Photo.objects.filter(original=OuterRef("pk")))
    rows = Original.objects.values_list("file_name", "sha256", shown)
    for name, digest, is_used in rows.iterator():
        yield Kept(name, digest, is_used)


def _sizes() -> Iterator[Kept]:
    """Every size of every developed original; one of a former release has no hash yet."""
    known = {
        (original, px): digest
        for original, px, digest in Derivative.objects.values_list(
            "original", "longest_px", "sha256"
        ).iterator()
    }
    for row in Original.objects.filter(width__gt=0).only("sha256").iterator():
        for px in SIZES:
            yield Kept(row.derivative(px), known.get((row.pk, px), ""))


def _has_size(name: str) -> bool:
    return Original.objects.filter(sha256=store.digest_borne(name), width__gt=0).exists()


def _places(names: Collection[str]) -> Mapping[str, Place]:
    """The first photo of each original, for originals and for what was made of them."""
    digests = {name: store.digest_borne(name) for name in names}
    rows = Photo.objects.filter(original__sha256__in=set(digests.values()))
    photos = rows.select_related("original", "case").order_by("-pk")
    first = {photo.original.sha256: photo for photo in photos if photo.original}
    return {
        name: Place(f"{photo.case.number} · {photo}", photo.get_absolute_url())
        for name, digest in digests.items()
        if (photo := first.get(digest))
    }


def _each(names: Collection[str], done: Callable[[Original, dict[str, str]], set[str]]) -> set[str]:
    """Develop the original of each name once more beside, and hand its sizes over."""
    rows = Original.objects.filter(sha256__in={store.digest_borne(name) for name in names})
    made: set[str] = set()
    for original in rows:
        with tempfile.TemporaryDirectory(dir=workplace()) as folder:
            try:
                facts = developed(original, Path(folder))
            except TroubleError:
                continue  # its original is the next thing that is found
            made |= done(original, facts.get("files", {}))
    return made & set(names)


def _made(original: Original, files: dict[str, str]) -> set[str]:
    sizes = keeping.adopt_sizes(original, files)
    with transaction.atomic():
        keeping.write_sizes(original, sizes)
    return {original.derivative(size.longest_px) for size in sizes}


def _proved(original: Original, files: dict[str, str]) -> set[str]:
    same = {size: name for size, name in files.items() if _is_same(original, int(size), name)}
    with transaction.atomic():
        keeping.write_sizes(original, [keeping.measured(int(px), same[px]) for px in same])
    return {original.derivative(int(size)) for size in same}


def _is_same(original: Original, longest_px: int, made: str) -> bool:
    there = store.path_of(original.derivative(longest_px))
    return there.is_file() and filecmp.cmp(there, made, shallow=False)


put_up(
    Shelf(
        "originals",
        _("originals of photos"),
        _originals,
        ORIGINALS.knows,
        places=_places,
        rows=ORIGINALS,
    )
)
put_up(
    Shelf(
        "derived",
        _("smaller pictures of photos"),
        _sizes,
        _has_size,
        places=_places,
        make_anew=lambda names: _each(names, _made),
        prove=lambda names: _each(names, _proved),
    )
)
