"""Faults survived: kills, full disks and the like, and what nobody would send, sent as every role.

Processes are killed in a small house of its own, in the middle of what they do; afterwards it is
held to what must be true. The fuzz goes over the demo; its requests are drawn from a seed, and each
is undone.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from repairs.measures.harness import Figure, Plan, Say, command, run
from repairs.measures.screens_house import demo

REQUESTS, FEW = 24_000, 60
SEED = 1771
# By kind: how many, and how many of a quick run. The clock comes last: numbers then stand after
# New Year, and nothing is issued any more.
KILLS = {
    "wood": (200, 2),
    "payment": (150, 1),
    "minutes": (110, 1),
    "consent": (150, 1),
    "photo": (150, 2),
    "darkroom": (80, 1),
    "invoice": (100, 1),
    "rules": (50, 1),
    "server": (20, 0),
    "sweep": (50, 1),
    "backup": (50, 1),
    "restore": (15, 0),
}
OTHERS = {
    "disk": (60, 2),
    "away": (60, 5),
    "at_once": (40, 1),
    "migrating": (3, 0),
    "torn": (120, 2),
    "rot": (30, 3),
    "clock": (13, 1),
}
# What must not be: acknowledged and gone; kept in part, or not as the log says; kept twice; not
# mended by sending it once more; left over after a sweep; missing and not said.
WRONGS = ("lost", "half", "twice", "refused", "orphans", "unsaid", "five_hundreds", "trouble")
AT_ONCE = 2_000  # of one child; another seed then walks the house anew


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Play the demo, then send it what nobody would."""
    is_quick = plan.rounds == 1
    wanted = FEW if is_quick else REQUESTS
    figures = killed(say, is_quick=is_quick)
    with TemporaryDirectory(prefix="measure-faults-") as name:
        folder = Path(name)
        say("playing the demo")
        demo(folder)
        return figures | fuzzed(folder, wanted, say)


def killed(say: Say, *, is_quick: bool) -> dict[str, Figure]:
    """Kill, and break what else there is; how many were tried, and what was wrong after them."""
    counts = {kind: both[is_quick] for kind, both in (KILLS | OTHERS).items()}
    words = [f"{kind}={count}" for kind, count in counts.items() if count]
    with TemporaryDirectory(prefix="measure-killed-") as name:
        say(f"killing in a house of its own: {', '.join(words)}")
        child = run(command("killed.once", SEED, *words), Path(name) / "house")
    found = child.facts["kinds"]
    for kind, facts in found.items():
        say(f"{kind}: {told(facts)}")
        for fault in facts["told"]:
            say(fault)
    return {f"{kind}_tried": _tried(kind, facts) for kind, facts in found.items()} | sums(found)


def told(facts: Mapping[str, Any]) -> str:
    """One line of it, for whoever waits."""
    wrong = ", ".join(f"{facts[one]} {one}" for one in WRONGS if facts.get(one))
    return f"{facts.get('kills', 0)} tried, {wrong or 'nothing wrong'}"


def _tried(kind: str, facts: Mapping[str, Any]) -> Figure:
    note = f"{facts.get('inside', 0)} in the middle, {facts.get('acknowledged', 0)} acknowledged"
    return Figure(facts.get("kills", 0), "kills" if kind in KILLS else "faults", note=note)


def sums(found: Mapping[str, Mapping[str, Any]]) -> dict[str, Figure]:
    """How many of all kinds, and what was wrong, each of which must be nothing."""

    def of(name: str, kinds: Mapping[str, object]) -> int:
        """Over these kinds."""
        return sum(int(facts.get(name, 0)) for kind, facts in found.items() if kind in kinds)

    return {
        "kills": Figure(of("kills", KILLS), "kills"),
        "other_faults": Figure(of("kills", OTHERS), "faults"),
        "acknowledged": Figure(of("acknowledged", KILLS | OTHERS), "deeds"),
        **{one: Figure(of(one, KILLS | OTHERS), "faults", "<= 0") for one in WRONGS},
    }


def fuzzed(folder: Path, wanted: int, say: Say) -> dict[str, Figure]:
    """Send so many requests, and say what was answered with 500 or above."""
    posts = gets = broken = pages = 0
    faults: list[str] = []
    for seed, start in enumerate(range(0, wanted, AT_ONCE), 1):
        child = run(command("fuzz_once", seed, min(AT_ONCE, wanted - start)), folder)
        posts += int(child.fact("posts"))
        gets += int(child.fact("gets"))
        broken += int(child.fact("broken"))
        pages = max(pages, int(child.fact("pages")))
        faults += child.facts["faults"]
        say(f"{posts} posts and {gets} other requests: {broken} broke something")
    for fault in faults:
        say(fault)
    return {
        "fuzz_pages": Figure(pages, "pages of all roles"),
        "fuzz_posts": Figure(posts, "posts"),
        "fuzz_other_requests": Figure(gets, "requests"),
        "fuzz_five_hundreds": Figure(broken, "answers", "<= 0"),
    }
