"""The kinds of paper that this room makes; how each is compiled, ``kinds.py`` knows."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

CONDITION_REPORT = register("condition_report", _("condition report"))
TREATMENT_REPORT = register("treatment_report", _("treatment report"))
SETUP_SHEET = register("setup_sheet", _("set-up sheet"))
REMOVED_PARTS = register("removed_parts", _("list of removed parts"), tells_of="removed parts")
MATERIAL_STATEMENT = register("material_statement", _("material statement"))
CARE_SHEET = register("care_sheet", _("care sheet"))
RETURN_RECEIPT = register("return_receipt", _("return receipt"), tells_of="removed parts")
