"""The walk of a person who has no pointer: Tab, Enter, Space and the arrows, and nothing else.

Each new page begins at its skip link. At each stop the focus must be seen: a ring of two pixels at
least, on the control or on the label that stands for it, and nothing lying over it.
"""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Locator

from tests.browser.walk import Walk

MOST_STOPS = 250
KEY_OF = {"A": "Enter", "BUTTON": "Space", "SUMMARY": "Enter"}


class Keys(Walk):
    """The same steps as any walk, by keyboard alone."""

    def arrive(self, name: str, path: str = "") -> None:
        # The place that the skip link leads to goes along from a form to the page that answers it.
        super().arrive(name, path.removesuffix("$") + "(#main)?$" if path.endswith("$") else path)
        self._skip_to_the_content()

    def _skip_to_the_content(self) -> None:
        """The first stop of a page; whoever was led into its midst by the address stays there."""
        if not self.page.evaluate(AT_THE_TOP):
            return
        self.page.keyboard.press("Tab")
        assert self.page.evaluate("document.activeElement.matches('.skip')"), self.page.url
        assert self.page.evaluate(FOCUS_UNSEEN) == [], self.page.url
        self.page.keyboard.press("Enter")
        assert self.page.evaluate("document.activeElement.id") == "main", self.page.url

    # Hands --------------------------------------------------------------------------------------

    def hit(self, where: str | Locator) -> None:
        place = self.reach(where)
        place.press(KEY_OF[place.evaluate("node => node.tagName")])  # it waits for the next page

    def write(self, where: str | Locator, words: str) -> None:
        self.reach(where)
        self.page.keyboard.press("ControlOrMeta+A")
        self.page.keyboard.type(words)

    def pick(self, where: str | Locator, value: str) -> None:
        """By the arrows, from the entry that is chosen to the one that is wanted."""
        place = self.reach(where)
        steps = place.evaluate(WAY_IN_LIST, value)
        for _step in range(abs(steps)):
            self.page.keyboard.press("ArrowDown" if steps > 0 else "ArrowUp")
        assert place.input_value() == value

    def tick(self, where: str | Locator) -> None:
        """A box by Space; of several round ones Tab reaches one, the arrows the others."""
        place = self.place(where)
        if place.is_checked():
            return
        if place.get_attribute("type") == "radio":
            self._turn_to(place)
        else:
            self.reach(place)
            self.page.keyboard.press("Space")
        assert place.is_checked()

    def _turn_to(self, place: Locator) -> None:
        name = place.get_attribute("name")
        group = self.page.locator(f"input[type=radio][name='{name}']")
        self._reach_any(group)
        if not group.evaluate_all("all => all.some(one => one.checked)"):
            self.page.keyboard.press("Space")
        for _step in range(group.count()):
            if place.is_checked():
                return
            self.page.keyboard.press("ArrowDown")

    def attach(self, where: str | Locator, files: Path | list[Path]) -> None:
        place = self.reach(where)
        place.evaluate(HEAR_CLICK)
        self.page.keyboard.press("Enter")
        assert place.evaluate("node => node.asked"), "Enter asks for no files"
        place.set_input_files(files)  # in the browser's own window, which is not ours to judge

    # The way of Tab -----------------------------------------------------------------------------

    def reach(self, where: str | Locator) -> Locator:
        place = self.place(where)
        self._reach_any(place)
        return place

    def _reach_any(self, places: Locator) -> None:
        """Tab on, or back where that is the way; at each stop the focus can be seen."""
        places.first.wait_for()
        key = places.first.evaluate(WAY_OF_TAB)
        for _stop in range(MOST_STOPS):
            if places.evaluate_all("all => all.includes(document.activeElement)"):
                return
            self.page.keyboard.press(key)
            unseen = self.page.evaluate(FOCUS_UNSEEN)
            assert unseen == [], (self.page.url, unseen)
        raise AssertionError(f"Tab never reaches {places} on {self.page.url}")


HEAR_CLICK = """
node => node.addEventListener("click", event => {
    event.preventDefault();
    node.asked = true;
}, { once: true })
"""
AT_THE_TOP = """
async () => {
    if (location.hash !== "") return false;
    const own = document.querySelector("[autofocus]");  // takes the focus when the page is drawn
    while (own && document.activeElement === document.body) {
        await new Promise(requestAnimationFrame);
    }
    return document.activeElement === document.body;
}
"""
# Where nothing has the focus yet, Tab sets out from the place that the address names.
WAY_OF_TAB = """
node => {
    const named = location.hash && document.getElementById(location.hash.slice(1));
    const active = document.activeElement;
    const here = active === document.body ? named || active : active;
    const before = here.compareDocumentPosition(node) & Node.DOCUMENT_POSITION_PRECEDING;
    return before && !here.contains(node) ? "Shift+Tab" : "Tab";
}
"""
WAY_IN_LIST = """
(list, value) => [...list.options].findIndex(one => one.value === value) - list.selectedIndex
"""
FOCUS_UNSEEN = """
() => {
    const node = document.activeElement;
    if (node === document.body) return ["nothing has the focus"];
    const shown = [node, ...(node.labels ?? [])];
    const words = (node.name ?? node.textContent).trim().slice(0, 30);
    const told = `${node.tagName}.${node.className} ${words} on ${location.pathname}`;
    const ringed = shown.some(one => {
        const style = getComputedStyle(one);
        return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
    });
    if (!ringed) return [told];
    const box = node.getBoundingClientRect();
    const middle = [box.x + box.width / 2, box.y + Math.min(box.height / 2, 20)];
    const top = document.elementFromPoint(...middle);
    const covered = !top || !shown.some(one => one.contains(top) || top.contains(one));
    return covered ? [`${told} is covered by ${top?.className ?? "the edge"}`] : [];
}
"""
