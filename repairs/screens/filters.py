"""A handful of filters for screens and papers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Any

from django import template
from django.forms import BoundField, CheckboxInput, CheckboxSelectMultiple, RadioSelect
from django.template import Context, Node, NodeList
from django.template.base import Parser, TextNode, Token
from django.templatetags.static import static
from django.utils.html import format_html, format_html_join, json_script
from django.utils.safestring import SafeString, mark_safe

from repairs.language.text import OWN_NAMES, labelled, rounded, semicolons
from repairs.language.text import in_language as words_in_language
from repairs.money import amount_words, money_words
from repairs.screens.modules import imported_by
from repairs.screens.rooms import Door, doors
from repairs.screens.scripts import words_of
from repairs.screens.styles import BUNDLE, FIRST_LETTERS, STYLES

register = template.Library()


@register.filter
def kind_of_field(field: BoundField) -> str:
    """Say how a field is laid out: a tick, a set of choices, or an ordinary box."""
    widget = field.field.widget
    if isinstance(widget, (CheckboxSelectMultiple, RadioSelect)):
        return "choices"
    return "tick" if isinstance(widget, CheckboxInput) else "box"


@register.filter
def with_aria(field: BoundField) -> SafeString:
    """Render the control bound to its help and its problem for a screen reader."""
    notes = []
    if field.help_text:
        notes.append(f"{field.id_for_label}_help")
    attributes: dict[str, Any] = {}
    if field.errors:
        notes.append(f"{field.id_for_label}_problem")
        attributes["aria-invalid"] = "true"
    if notes:
        attributes["aria-describedby"] = " ".join(notes)
    return field.as_widget(attrs=attributes)


@register.filter
def unit(field: BoundField) -> str:
    """The unit that a field's number is in, to stand behind it."""
    return str(field.field.widget.attrs.get("data-unit", ""))


@register.filter
def direction(text: object) -> str:
    """``rtl`` when the first letter with a direction is written from right to left."""
    for letter in str(text):
        side = unicodedata.bidirectional(letter)
        if side in ("R", "AL"):
            return "rtl"
        if side == "L":
            return "ltr"
    return "ltr"


@register.filter
def words_script(words: Mapping[str, Any], element_id: str) -> SafeString:
    """Hand data to a page's module as JSON, with lazy translations spoken."""
    spoken = {
        key: str(value) if not isinstance(value, (dict, list, bool, int, float)) else value
        for key, value in words.items()
    }
    return json_script(spoken, element_id)


@register.simple_tag
def languages() -> tuple[tuple[str, str], ...]:
    """The languages of screens and papers: code, and its name as its own readers say it."""
    return OWN_NAMES


@register.simple_tag(takes_context=True)
def script(context: Context, name: str) -> SafeString:
    """Load one of the house's modules with the words that it says; a second call adds nothing."""
    rendering: Any = context.render_context
    loaded = rendering.setdefault("scripts", set())
    if name in loaded:
        return mark_safe("")
    loaded.add(name)
    fetched = rendering.setdefault("modules", set())
    graph = [one for one in imported_by(name) if one not in fetched]
    fetched.update(graph)
    # Behind the picture that the page is about: a browser would fetch modules before it.
    ahead = format_html_join(
        "",
        '<link rel="modulepreload" fetchpriority="low" href="{}">',
        ((static(f"repairs/js/{one}"),) for one in graph),
    )
    words = words_script(words_of(name), f"words-{name.removesuffix('.js')}")
    address = static(f"repairs/js/{name}")
    return format_html('{}<script type="module" src="{}"></script>{}', ahead, address, words)


@register.filter
def in_twos(items: Any) -> list[list[Any]]:
    """The items two by two; the last may stand alone."""
    every = list(items)
    return [every[i : i + 2] for i in range(0, len(every), 2)]


@register.filter
def unstopped(words: str) -> str:
    """The words without a full stop at their end, for where more follows on the line."""
    return words[:-1] if words.endswith(".") and not words.endswith("..") else words


@register.filter(name="semicolons")
def semicolons_between(items: Iterable[object]) -> str:
    """The items with the semicolons of the reader's language between them."""
    return semicolons(str(item) for item in items)


@register.filter
def money(amount: Any, currency: str = "") -> str:
    """An amount with two places as the language in force writes it, with its currency if given."""
    if amount is None or amount == "":
        return ""
    return money_words(amount, currency) if currency else amount_words(amount)


@register.filter(name="labelled")
def labelled_words(label: object, words: object) -> str:
    """“label: words”, with the colon of the language."""
    return labelled(label, words)


@register.filter
def in_language(words: Any) -> str:
    """A text of the fixtures in the language in force."""
    return words_in_language(words)


@register.filter
def figure(value: float, places: int) -> str:
    """A number with so many places, as the language in force writes it."""
    return rounded(value, places)


@register.filter
def signed(value: float, places: int) -> str:
    """A change: with its sign, plus or minus."""
    sign = "+" if round(value, places) > 0 else ""
    return f"{sign}{rounded(value, places)}"


@register.simple_tag(takes_context=True)
def rooms_of_the_house(context: Context) -> list[Door]:
    """The doors of the bar, for who reads the page and where it lies."""
    match = context["request"].resolver_match
    return doors(match, str(context.get("room", "")), context["may"])


@register.simple_tag
def styles() -> SafeString:
    """The links to the style of the screens and to the letters of its first lines.

    One sheet where a server has gathered it, its parts elsewhere.
    """
    faces = format_html_join(
        "\n",
        '<link rel="preload" href="{}" as="font" type="font/woff2" crossorigin>',
        ((static(f"repairs/letters/{name}.woff2"),) for name in FIRST_LETTERS),
    )
    bundle = static(BUNDLE)
    is_gathered = not bundle.endswith(BUNDLE)
    parts = [bundle] if is_gathered else [static(f"repairs/css/{name}.css") for name in STYLES]
    sheets = format_html_join(
        "\n", '<link rel="stylesheet" href="{}">', ((part,) for part in parts)
    )
    return format_html("{}\n{}", faces, sheets)


class Tight(Node):
    """What stands between ``{% tight %}`` and ``{% endtight %}``."""

    def __init__(self, nodelist: NodeList) -> None:
        self.nodelist = nodelist

    def render(self, context: Context) -> SafeString:
        return self.nodelist.render(context)


@register.tag
def tight(parser: Parser, token: Token) -> Tight:
    """Let a template break its lines where the page, which keeps line breaks, has no gap."""
    inside = parser.parse(("endtight",))
    parser.delete_first_token()
    for text in inside.get_nodes_by_type(TextNode):
        if isinstance(text, TextNode):
            text.s = re.sub(r"\n\s*", "", text.s)
    return Tight(inside)
