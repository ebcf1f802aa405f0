"""procedures.models: moved here."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from repairs.procedures.procedure import Procedure, procedure_of
from repairs.storage.rows import WrittenOnce


class ProcedureVersion(WrittenOnce):
    """One wording of a procedure. An intervention keeps the one that it was agreed under."""

    class Origin(models.TextChoices):
        """As delivered with the program, or in the house's own words."""

        SHIPPED = "shipped", _("as delivered")
        HOUSE = "house", _("of the house")

    key = models.CharField(max_length=40)
    version = models.PositiveSmallIntegerField()
    content = models.JSONField()
    content_hash = models.CharField(max_length=64)
    origin = models.CharField(max_length=8, choices=Origin)
    because = models.CharField(_("why it was changed"), max_length=200, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["key", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["key", "version"], name="one_wording_a_version")
        ]

    def __str__(self) -> str:
        return f"{self.key} v{self.version}"

    @property
    def procedure(self) -> Procedure:
        """The procedure as this version says it, whatever was reworded since."""
        return procedure_of(self.content)

    @property
    def label(self) -> str:
        """Its title in the reader's language."""
        return str(self.procedure)
