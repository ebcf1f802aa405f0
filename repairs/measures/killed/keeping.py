"""Kills of what keeps the house: a backup, a restore, the sweep, and the server itself."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from functools import partial
from pathlib import Path
from random import Random
from secrets import token_hex

from django.conf import settings
from django.utils import timezone

from repairs.keep import entries
from repairs.keep.bundle import open_bundle
from repairs.keep.keys import Wanted
from repairs.keep.making import make_entry
from repairs.keep.refusals import KeepError
from repairs.keep.sweeping import sweep
from repairs.measures.killed.batches import count_kill
from repairs.measures.killed.hand import BEGINS, DONE, Say, Tempo, struck
from repairs.measures.killed.house import Laid
from repairs.measures.killed.proof import Tally, hold, hold_swept
from repairs.measures.killed.second import second_house
from repairs.storage import files as store

LEFTOVERS = 24
YESTERDAY_S = 3 * 86_400


def beside_the_house() -> Path:
    """A disk for backups: outside the data folder."""
    folder = Path(settings.DATA_DIR)
    return folder.with_name(f"{folder.name}-disk")


def kill_backup(_laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill whoever makes a backup: what is there without the ending of a half is whole."""
    disk, tally, tempo = beside_the_house(), Tally(), Tempo()
    for _number in range(kills):
        found = struck(partial(_back_up, disk), "", chance, tempo)
        count_kill(tally, found)
        names = {one.name for one in entries.entries(disk)}
        gone = [name for _word, name in found.acknowledged if name not in names]
        tally.wrong("lost", (f"backup {name} was acknowledged" for name in gone))
        whole = {one.name for one in disk.iterdir() if one.is_dir() and one.suffix != ".part"}
        tally.wrong("half", (f"backup {name}" for name in whole - names))
        _check_entries(disk, tally)
    made = make_entry(disk, Wanted(), at=timezone.now())
    tally.counts["swept"] += len(made.swept)
    tally.wrong("orphans", (one.name for one in disk.glob("*.part")))
    tally.wrong("half", made.missing)
    hold(tally)
    shutil.rmtree(disk)
    return tally


def _back_up(disk: Path, say: Say, _mark: str) -> None:
    """In the process that dies."""
    say(BEGINS, "")
    made = make_entry(disk, Wanted(), at=timezone.now())
    say(DONE, made.entry.name)


def _check_entries(disk: Path, tally: Tally) -> None:
    """Read every entry against its manifests; then only the newest stays."""
    for entry in entries.entries(disk):
        tally.counts["entries_read"] += 1
        try:
            open_bundle(entry).bag.check()
        except KeepError as refusal:
            tally.wrong("half", [f"{entry.name}: {refusal}"])
    for entry in entries.entries(disk)[:-1]:
        shutil.rmtree(entry)


def kill_restore(_laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill the command that restores, again and again in one place; then let it end."""
    disk, tally, tempo = beside_the_house(), Tally(), Tempo()
    made = make_entry(disk, Wanted(), at=timezone.now())
    with second_house() as other:
        began = time.monotonic()
        _restored(other.start(made.entry), tally)
        tempo.note(time.monotonic() - began)
        other.empty()
        for _number in range(kills):
            _cut_short(other.start(made.entry), chance.random() * tempo.usual_s * 1.1)
            tally.counts["kills"] += 1
            if not other.has_house():
                tally.counts["inside"] += 1
                continue
            # It had come to its end: then all of it is there.
            tally.wrong("half", other.faults())
            other.empty()
        _restored(other.start(made.entry), tally)
        tally.wrong("half", other.faults())
    shutil.rmtree(disk)
    return tally


def _restored(running: subprocess.Popen[bytes], tally: Tally) -> None:
    _out, complaint = running.communicate()
    if running.returncode:
        tally.wrong("refused", [f"restore: {complaint.decode().strip()[-300:]}"])
    else:
        tally.counts["acknowledged"] += 1


def _cut_short(running: subprocess.Popen[bytes], seconds: float) -> None:
    """Kill it with all that it started, unless it ends before."""
    try:
        running.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        os.killpg(running.pid, signal.SIGKILL)  # a group of its own, and not yet waited for
        running.communicate()


def kill_sweep(_laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill whoever sweeps leftovers: nothing that is needed goes, and the next sweep ends it."""
    tally, tempo = Tally(), Tempo()
    for _number in range(kills):
        _leave_behind()
        count_kill(tally, struck(_sweep, "", chance, tempo))
    hold_swept(tally)
    return tally


def _leave_behind() -> None:
    """Halves, sent files whose row is gone, a paper that no row names; all of three days ago."""
    old = time.time() - YESTERDAY_S
    for number in range(LEFTOVERS):
        name = ("inbox/{}", "papers/{}.pdf.part", "workplace/{}")[number % 3].format(token_hex(16))
        path = store.path_of(name)
        store.write_whole(path, token_hex(200).encode())
        os.utime(path, (old, old))
    _digest, name = store.keep(token_hex(200).encode(), "papers", ".pdf")
    os.utime(store.path_of(name), (old, old))


def _sweep(say: Say, _mark: str) -> None:
    """In the process that dies; there is one sweep to each process, as to each night."""
    _leave_behind()
    say(BEGINS, "")
    sweep(timezone.now())
    say(DONE, "")
