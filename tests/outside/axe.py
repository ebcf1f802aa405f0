"""axe-core's findings on a page, with its known blind spots closed.

Where axe cannot tell what lies behind a text it answers `incomplete`, which is easily taken for
a pass: here an undecided contrast is a finding like any other. Beside a Leaflet map it loses
elements altogether, so contrast is judged with every map replaced by an empty box of its size.
A test that finds a page clean should once see `known_bad` found on the same page.
"""

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# Part of WCAG 2.2 AA, but axe leaves them out unless they are asked for by name.
ASKED_FOR = ("target-size", "label-content-name-mismatch")
CONTRAST = "color-contrast"
MAPS = ".leaflet-container"
KNOWN_BAD_ID = "known-bad-contrast"

Violation = dict[str, Any]

RUN = """
async ([context, options]) => {
    const answer = await axe.run(context ?? document, options);
    return {violations: answer.violations, incomplete: answer.incomplete};
}
"""
# An element that axe is told to look at must stay where it is, so the maps are put back even
# when the run fails.
RUN_WITHOUT_MAPS = """
async ([context, options, maps]) => {
    const swaps = [...document.querySelectorAll(maps)].map(map => {
        const box = document.createElement("div");
        const {width, height} = map.getBoundingClientRect();
        Object.assign(box.style, {width: `${width}px`, height: `${height}px`});
        map.replaceWith(box);
        return [map, box];
    });
    try {
        const answer = await axe.run(context ?? document, options);
        return {violations: answer.violations, incomplete: answer.incomplete};
    } finally {
        swaps.forEach(([map, box]) => box.replaceWith(map));
    }
}
"""
ADD_KNOWN_BAD = """
id => {
    document.getElementById(id)?.remove();
    const button = document.createElement("button");
    button.id = id;
    button.type = "button";
    button.textContent = "hardly to be read";
    Object.assign(button.style, {
        color: "rgb(200, 200, 200)", backgroundColor: "rgb(250, 250, 250)", fontSize: "16px",
    });
    (document.querySelector("main") ?? document.body).append(button);
}
"""


def violations(page: Page, *, context: str | dict[str, Any] | None = None) -> list[Violation]:
    """Return what axe-core finds on the page against WCAG 2.2 AA, undecided contrast included.

    `context` is axe's own: a selector, or include and exclude lists; the whole page by default.
    Each finding has axe's keys (`id`, `impact`, `help`, `nodes` …) and `undecided`, which is true
    where axe could not work out the contrast and a person or a plainer background must.
    """
    page.evaluate(_script())
    rules = {CONTRAST: _on(False)} | dict.fromkeys(ASKED_FOR, _on(True))
    everything = {"runOnly": {"type": "tag", "values": TAGS}, "rules": rules}
    contrast = {"runOnly": {"type": "rule", "values": [CONTRAST]}}
    general = page.evaluate(RUN, [context, everything])
    colours = page.evaluate(RUN_WITHOUT_MAPS, [context, contrast, MAPS])

    certain = [*general["violations"], *colours["violations"]]
    return [
        *({**finding, "undecided": False} for finding in certain),
        *({**finding, "undecided": True} for finding in colours["incomplete"]),
    ]


def known_bad(page: Page) -> str:
    """Add one button of 1.6:1 contrast to the page and return its selector.

    The positive control: `violations` must report it, or its silence on this page means nothing.
    """
    page.evaluate(ADD_KNOWN_BAD, KNOWN_BAD_ID)
    return f"#{KNOWN_BAD_ID}"


def described(findings: list[Violation]) -> str:
    """Return one line for each place found, for the message of a failed assertion."""
    return "\n".join(
        f"{finding['id']} ({'undecided' if finding['undecided'] else finding['impact']}): "
        f"{' '.join(map(str, node['target']))}: {node['html'][:120]}"
        for finding in findings
        for node in finding["nodes"]
    )


def _on(enabled: bool) -> dict[str, bool]:
    return {"enabled": enabled}


@cache
def _script() -> str:
    spec = find_spec("axe_playwright_python")
    if spec is None or spec.origin is None:
        raise RuntimeError("axe-core is missing: install tests/requirements.txt.")
    return Path(spec.origin).with_name("axe.min.js").read_text(encoding="utf-8")
