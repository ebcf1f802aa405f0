"""Taking in photos against the floor: the hash and one full decode of the same files."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np
import pillow_heif
from PIL import Image

from repairs.measures import pictures
from repairs.measures.harness import (
    Cost,
    Figure,
    MeasureError,
    Plan,
    Say,
    command,
    facts,
    free_cores,
    in_turns,
    ratio,
    start,
)
from repairs.photos.darkroom import SIZES, largest

TWO_FREE = 1.8  # of two cores: the system's own work may take the rest
REPEATS = 4  # how often each process of the throughput figure goes through the files
HEIC_QUALITY = 80


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Take in JPEG and HEIC files and their floors in turns; return the figures by name."""
    with TemporaryDirectory(prefix="measure-photos-") as name:
        folder = Path(name)
        say(f"drawing {plan.originals} photographs and storing {plan.heic} as HEIC")
        jpegs = pictures.originals(folder / "originals", plan.originals, plan.sensor)
        heics = [_as_heic(file) for file in jpegs[: plan.heic]]
        lines = {
            f"{way}_{kind}": command("develop_many", way, folder / way, *files)
            for kind, files in (("jpeg", jpegs), ("heic", heics))
            for way in ("ingest", "floor")
        }
        costs = in_turns(lines, folder, plan.rounds, say)
        say("two processes against one")
        return {
            **_costs(costs, {"jpeg": len(jpegs), "heic": len(heics)}),
            "two_processes_to_one": _throughput(jpegs * REPEATS, folder, plan.rounds),
            "largest_to_lanczos": Figure(
                min(_closeness_db(file) for file in jpegs), "dB PSNR, the worst", ">= 44"
            ),
        }


def _as_heic(file: Path) -> Path:
    """Store the photograph as a telephone would; encoding is not measured."""
    target = file.with_suffix(".heic")
    with Image.open(file) as picture:
        picture.load()
        pillow_heif.from_pillow(picture).save(target, quality=HEIC_QUALITY)
    return target


def _costs(costs: Mapping[str, Sequence[Cost]], files: Mapping[str, int]) -> dict[str, Figure]:
    work = {name: facts(runs, "work_s") for name, runs in costs.items()}
    peak = {name: facts(runs, "peak_mb") for name, runs in costs.items()}
    figures = {
        "ingest_to_floor": Figure(
            ratio(work["ingest_jpeg"], work["floor_jpeg"]), "× CPU", "<= 1.8"
        ),
        "ingest_to_floor_peak": Figure(
            ratio(peak["ingest_jpeg"], peak["floor_jpeg"]), "× peak memory", "<= 0.8"
        ),
        "ingest_to_floor_heic": Figure(ratio(work["ingest_heic"], work["floor_heic"]), "× CPU"),
    }
    for name, runs in work.items():
        count = files[name.rpartition("_")[2]]
        figures[f"{name}_each"] = Figure(1000 * median(runs) / count, "ms of CPU")
        figures[f"{name}_peak"] = Figure(median(peak[name]), "MB")
    return figures


def _throughput(files: Sequence[Path], folder: Path, rounds: int) -> Figure:
    """Photos a second of two processes against one, by the clock on the wall."""
    gains, free = [], math.inf
    for _round in range(rounds):
        free = min(free, free_cores())
        alone = _together(files, [folder / "alone"], folder)
        both = _together(files, [folder / "one", folder / "other"], folder)
        gains.append(2 * alone / both)
    judged = free >= TWO_FREE
    note = "" if judged else f"not judged: only {free:.1f} cores were free"
    return Figure(median(gains), "× photos a second", ">= 1.8", note=note, judged=judged)


def _together(files: Sequence[Path], folders: Sequence[Path], data: Path) -> float:
    """Seconds from the first start to the last end of one process a folder."""
    lines = [command("develop_many", "ingest", folder, *files) for folder in folders]
    children = [start(line, data) for line in lines]
    for child in children:
        if child.stdout is None or child.stdout.readline().strip() != "ready":
            raise MeasureError("A process that takes in photos did not start.")
    for child in children:
        if child.stdin is not None:
            child.stdin.write("\n")
            child.stdin.flush()
    answers = [child.communicate()[0] for child in children]
    if any(child.returncode for child in children):
        raise MeasureError("A process that takes in photos broke off.")
    said = [json.loads(answer) for answer in answers]
    return float(max(one["ended"] for one in said) - min(one["begun"] for one in said))


def _closeness_db(file: Path) -> float:
    """PSNR of the largest reduction, before it is encoded, to one made by LANCZOS alone."""
    ours = largest(file.read_bytes())
    with Image.open(file) as picture:
        size = ours.size
        plain = picture.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    if max(size) != min(SIZES[0], max(picture.size)):
        raise MeasureError(f"The largest reduction is {max(size)} pixels long.")
    off = np.asarray(ours, dtype=np.float64) - np.asarray(plain, dtype=np.float64)
    return 10 * math.log10(255**2 / max(float(np.mean(off**2)), 1e-9))
