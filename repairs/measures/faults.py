"""Faults survived: what nobody would send, sent as every role; how many were tried, what broke.

The house is the demo in a folder of its own. The requests are drawn from a seed; each is undone.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from repairs.measures.harness import Figure, Plan, Say, command, run
from repairs.measures.screens_house import demo

REQUESTS, FEW = 24_000, 60
AT_ONCE = 2_000  # of one child; another seed then walks the house anew


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Play the demo, then send it what nobody would."""
    wanted = FEW if plan.rounds == 1 else REQUESTS
    with TemporaryDirectory(prefix="measure-faults-") as name:
        folder = Path(name)
        say("playing the demo")
        demo(folder)
        return fuzzed(folder, wanted, say)


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
