"""What the field says in which the owner signs."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.scripts import Words, register

SIGN: Words = {
    "sign.field": _("Field for the signature. By keyboard, type the name below instead."),
    "sign.hint": _("Sign in the field with a finger, a pen or the mouse."),
    "sign.again": _("Sign again"),
}

register("sign.js", SIGN)
