"""What the board says on which tags are drawn."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.screens.browser_words import SERVER, UNDO
from repairs.screens.scripts import Words, register

TAGGER: Words = {
    "tools.label": _("Tools for the tags"),
    "tools.tool": _("Tool"),
    "tool.select": pgettext_lazy("drawing tool", "Select"),
    "tool.select.key": pgettext_lazy("shortcut of the tool Select", "S"),
    "tool.point": pgettext_lazy("drawing tool", "Point"),
    "tool.point.key": pgettext_lazy("shortcut of the tool Point", "P"),
    "tool.line": pgettext_lazy("drawing tool", "Line"),
    "tool.line.key": pgettext_lazy("shortcut of the tool Line", "L"),
    "tool.polygon": pgettext_lazy("drawing tool", "Area"),
    "tool.polygon.key": pgettext_lazy("shortcut of the tool Area", "A"),
    "shape.point": _("point"),
    "shape.line": _("line"),
    "shape.polygon": _("area"),
    "key.enter": pgettext_lazy("key", "Enter"),
    "key.escape": pgettext_lazy("key", "Esc"),
    "zoom.label": _("Zoom"),
    "zoom.in": _("Zoom in"),
    "zoom.out": _("Zoom out"),
    "zoom.whole": _("Whole photo"),
    "stage.label": _(
        "Photo with its tags. With a drawing tool, the arrow keys move the crosshair, "
        "Enter sets a corner."
    ),
    "stage.label.readonly": _("Photo with its tags."),
    "stage.no_photo": _("The photo could not be loaded. Reload the page to try again."),
    "hint.readonly": _("Choose a tag or a line of the list to find one in the other."),
    "hint.select": _("Choose a tag, then drag it or one of its corners. Delete withdraws it."),
    "hint.point": _("Click or tap the place. By keyboard: arrow keys, then Enter."),
    "hint.line": _("Click or tap along the line; its end twice, or press Finish."),
    "hint.polygon": _("Click or tap round the area; its first corner again, or press Finish."),
    "cursor.at": _("%(x)s from the left, %(y)s from the top"),
    "draw.finish": _("Finish"),
    "draw.back": pgettext_lazy("take the last corner back", "Back"),
    "draw.cancel": _("Cancel"),
    "draw.corner_set": _("Corner %(count)s set."),
    "draw.corner_dropped": _("Last corner taken back; %(count)s left."),
    "draw.cancelled": _("Drawing cancelled."),
    "draw.finished": _("Tag drawn (%(shape)s). Choose in the list what it shows."),
    "draw.too_few.point": _("A point needs one place."),
    "draw.too_few.line": _("A line needs at least two corners."),
    "draw.too_few.polygon": _("An area needs at least three corners."),
    "corner.whole": _("Arrows move the whole tag"),
    "corner.one": _("Arrows move corner %(number)s of %(count)s"),
    "tag.label": _("Tag %(number)s, %(shape)s, %(name)s"),
    "tag.label.draft": _("Draft tag, %(shape)s, %(name)s"),
    "tag.short": _("Tag %(number)s"),
    "tag.draft": _("Draft tag"),
    "tag.unbound": _("no finding yet"),
    "tag.moved": _("%(tag)s moved."),
    "tag.withdraw": _("Withdraw"),
    "tag.withdrawn": _("%(tag)s withdrawn."),
    "tag.unsent": _("%(tag)s is not saved: %(reason)s"),
    "tag.again": _("Send again"),
    "tag.put_back": _("Put back as it was"),
    "tag.throw_away": _("Throw away"),
    "nudge.left": _("Move left"),
    "nudge.up": _("Move up"),
    "nudge.down": _("Move down"),
    "nudge.right": _("Move right"),
    "list.title": _("Tags on this photo"),
    "list.empty": _("No tag yet. Take a tool and mark what you see."),
    "list.next": _("The next tag shows"),
    "list.no_finding": _("— no finding yet —"),
    "list.finding": _("Finding shown by: %(tag)s"),
}

register("tagger.js", TAGGER, SERVER, UNDO)
