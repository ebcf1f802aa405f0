"""A person's walk through the screens: what they click and type, and what every page must hold."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from django.utils import translation
from django.utils.translation import gettext, pgettext
from playwright.sync_api import ConsoleMessage, Locator, Page, Response, expect

PHONE, DESK = (360, 740), (1280, 900)
ZOOMED = (640, 450)  # the desk at 200 %, of which a page takes half the points
SHOTS = os.environ.get("SAUTEREAU_SHOTS")  # a folder: every page is shot into it, to be looked at
SEVERE = {"error", "warning"}


class Walk:
    """One window, and the language that its person reads in."""

    def __init__(self, page: Page, language: str) -> None:
        self.page = page
        self.language = language
        self.complaints: list[str] = []
        self.seen: list[str] = []
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(f"page error: {error}"))
        page.on("response", self._response)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in SEVERE:
            self.complaints.append(f"{message.type}: {message.text} at {self.page.url}")

    def _response(self, response: Response) -> None:
        if response.status >= 400:
            self.complaints.append(f"{response.status} for {response.url}")

    # Words -------------------------------------------------------------------------------------

    def say(self, message: str, context: str = "", **values: Any) -> str:
        """The words of the screen in the person's language."""
        with translation.override(self.language):
            words = pgettext(context, message) if context else gettext(message)
        return words % values if values else words

    # Hands -------------------------------------------------------------------------------------

    def press(self, message: str, context: str = "", within: Locator | None = None) -> None:
        """Press the button of that name, or follow the link."""
        name = self.say(message, context)
        place = within or self.page.locator("main")
        button = place.get_by_role("button", name=name, exact=True)
        link = place.get_by_role("link", name=name, exact=True)
        self.hit(button.or_(link).filter(visible=True).first)

    def fill(self, **fields: str) -> None:
        for name, value in fields.items():
            self.unfold(f"#id_{name}")
            self.write(f"#id_{name}", value)

    def choose(self, **fields: str) -> None:
        for name, value in fields.items():
            self.unfold(f"#id_{name}")
            self.pick(f"#id_{name}", value)

    def unfold(self, where: str) -> None:
        """Open the group of a form in which a field lies folded."""
        room = self.page.locator("details.room:not([open])", has=self.page.locator(where))
        if room.count():
            self.hit(room.first.locator("> summary"))

    def section(self, name: str) -> Locator:
        """A part of the page; a room of the case is opened first."""
        room = self.page.locator(f"details.room:has(> #{name})")
        if room.count() and room.get_attribute("open") is None:
            self.hit(room.locator("> summary"))
        return self.page.locator(f"#{name}")

    def place(self, where: str | Locator) -> Locator:
        return self.page.locator(where) if isinstance(where, str) else where

    # What another hand does otherwise: see `keys.Keys` -------------------------------------------

    def hit(self, where: str | Locator) -> None:
        """Press what is there: a button, a link, the head of something folded."""
        self.place(where).click()

    def write(self, where: str | Locator, words: str) -> None:
        self.place(where).fill(words)

    def pick(self, where: str | Locator, value: str) -> None:
        """Choose from a list, by the value of its entry."""
        self.place(where).select_option(value)

    def tick(self, where: str | Locator) -> None:
        """Tick a box, or choose one of several round ones."""
        self.place(where).check()

    def attach(self, where: str | Locator, files: Path | list[Path]) -> None:
        self.place(where).set_input_files(files)

    def told(self, message: str, **values: Any) -> None:
        """The page answers with that sentence."""
        expect(self.page.locator(".notes")).to_contain_text(self.say(message, **values))

    # What every page must hold -----------------------------------------------------------------

    def go(self, address: str, name: str) -> None:
        self.page.goto(address)
        self.arrive(name)

    def arrive(self, name: str, path: str = "") -> None:
        """The person stands on the page: judge it as any page of the house is judged."""
        page = self.page
        if path:
            expect(page).to_have_url(re.compile(path))
        page.wait_for_load_state("load")
        self.seen.append(name)
        self._shoot(name)
        assert page.locator("h1").count() == 1, f"{name}: not exactly one h1"
        assert page.locator("h1").inner_text().strip(), f"{name}: an empty h1"
        assert len(page.title().removesuffix("· Sautereau").strip()) > 2, f"{name}: no title"
        assert page.locator("html").get_attribute("lang") == self.language
        too_wide = self.too_wide()
        assert not too_wide, f"{name} scrolls sideways: {too_wide}"

    @property
    def here(self) -> str:
        """The address, without the place on the page."""
        return self.page.url.partition("#")[0]

    def too_wide(self) -> list[str]:
        """What makes the page scroll sideways; nothing when it does not."""
        return list(self.page.evaluate(TOO_WIDE) or [])

    def without_complaint(self) -> None:
        assert self.complaints == []

    def _shoot(self, name: str) -> None:
        if not SHOTS:
            return
        folder = Path(SHOTS)
        folder.mkdir(parents=True, exist_ok=True)
        width = (self.page.viewport_size or {"width": 0})["width"]
        file = f"{width}-{len(self.seen):02}-{name}.png"
        self.page.screenshot(path=folder / file, full_page=True)


TOO_WIDE = """
() => {
    const root = document.documentElement;
    const room = root.clientWidth;
    const told = node => `${node.tagName}.${node.className} ${node.textContent.slice(0, 40)}`;
    const cards = [...document.querySelectorAll(".card, .field, .caution")]
        .filter(node => node.scrollWidth > node.clientWidth + 1 && node.clientWidth > 0);
    if (Math.max(root.scrollWidth, document.body.scrollWidth) <= room) return cards.map(told);
    return [...document.body.querySelectorAll("*")]
        .filter(node => node.getBoundingClientRect().right > room + 1)
        .slice(0, 5)
        .map(told);
}
"""
