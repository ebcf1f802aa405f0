"""What axe-core says of a page, where it leaves something open that can be decided here.

It does not judge the contrast of a single character, of which it cannot tell whether it is text:
one-digit counts are doubled while it looks, and signs are letters. The red line of a docket is a
gradient to it, which it cannot see through: it is taken away meanwhile. A bar that sticks over the
fields of a form, with words in two lines, has two grounds for it: such a bar, the rooms at the
foot, or a photo that stays in sight, is laid in its place meanwhile; and what a wide table has
beyond its edge is laid open, with what stands beside it below. A name of two lines in a part that
has no box of its own (`display: contents`) lies under its sheet to it: the part is given a box.
Of texts in drawings it knows
neither the fill nor the ground; `drawn_contrasts` measures those.
"""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

from tests.outside import axe


def faults(page: Page) -> str:
    """One line for each place found; an empty text when there is none."""
    page.evaluate(MAKE_EASY)
    try:
        found = axe.violations(page)
    finally:
        page.evaluate(MAKE_AS_BEFORE)
    return axe.described([kept for kept in map(_without_drawn_texts, found) if kept["nodes"]])


def _without_drawn_texts(finding: dict[str, Any]) -> dict[str, Any]:
    if not finding["undecided"]:
        return finding
    return finding | {"nodes": [n for n in finding["nodes"] if not n["html"].startswith("<text")]}


def drawn_contrasts(page: Page, texts: str, ground: str) -> list[float]:
    """Contrast of each drawn text with the nearest shape before it that matches `ground`."""
    return list(page.evaluate(DRAWN_CONTRASTS, [texts, ground]))


MAKE_EASY = """
() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    window.short = [];
    while (walker.nextNode()) {
        const node = walker.currentNode;
        if (node.data.trim().length !== 1 || node.parentElement.closest("svg")) continue;
        window.short.push([node, node.data]);
        const sign = node.data.trim();
        node.data = /[\\p{L}\\p{N}]/u.test(sign) ? sign.repeat(2) : "xx";
    }
    document.querySelectorAll(".docket").forEach(one => { one.style.backgroundImage = "none"; });
    const bars = document.querySelectorAll(".save-bar, .clock-bar, .look-photo, .rooms");
    bars.forEach(bar => { bar.style.position = "static"; });
    document.querySelectorAll(".scroll").forEach(one => { one.style.overflow = "visible"; });
    document.querySelectorAll(".reading").forEach(one => { one.style.display = "block"; });
    const boxless = [...document.querySelectorAll("summary.line > :nth-child(2)")]
        .filter(one => getComputedStyle(one).display === "contents");
    boxless.forEach(one => { one.style.display = "block"; });
}
"""
MAKE_AS_BEFORE = """
() => {
    window.short.forEach(([node, words]) => { node.data = words; });
    document.querySelectorAll(".docket").forEach(one => { one.style.backgroundImage = ""; });
    const bars = document.querySelectorAll(".save-bar, .clock-bar, .look-photo, .rooms");
    bars.forEach(bar => { bar.style.position = ""; });
    document.querySelectorAll(".scroll").forEach(one => { one.style.overflow = ""; });
    document.querySelectorAll(".reading, summary.line > :nth-child(2)")
        .forEach(one => { one.style.display = ""; });
}
"""
DRAWN_CONTRASTS = """
([texts, ground]) => {
    const light = colour => {
        const shares = colour.match(/[\\d.]+/g).slice(0, 3).map(part => part / 255);
        const linear = shares.map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
    };
    const fill = node => light(getComputedStyle(node).fill);
    return [...document.querySelectorAll(texts)].map(text => {
        let before = text.previousElementSibling;
        while (!before.matches(ground)) before = before.previousElementSibling;
        const [low, high] = [fill(text), fill(before)].sort((a, b) => a - b);
        return (high + 0.05) / (low + 0.05);
    });
}
"""
