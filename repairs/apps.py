from importlib import import_module

from django.apps import AppConfig

# What registers itself when its module is imported: jobs; shelves of the store; checks at the
# start; series of numbers, so that none returns; kinds of paper, so that an issued one is called by
# its name wherever it is shown; the words of the browser's modules.
TELLING = (
    "repairs.press.tasks",
    "repairs.papers.tasks",
    "repairs.keep.tasks",
    "repairs.readings.checks",
    "repairs.photos.tasks",
    "repairs.press.shelves",
    "repairs.photos.shelves",
    "repairs.invoices.shelves",
    "repairs.keep.tasks",
    "repairs.instruments.numbers",
    "repairs.cases.numbers",
    "repairs.wood.numbers",
    "repairs.invoices.numbers",
    "repairs.cases.paper_kinds",
    "repairs.estimates.paper_kinds",
    "repairs.estimates.consent.paper_kinds",
    "repairs.invoices.paper_kinds",
    "repairs.payments.paper_kinds",
    "repairs.papers.paper_kinds",
    "repairs.screens.browser_words",
    "repairs.photos.browser_words",
    "repairs.findings.browser_words",
    "repairs.readings.browser_words",
    "repairs.treatment.browser_words",
    "repairs.estimates.browser_words",
)


class RepairsConfig(AppConfig):
    """The one app; its rooms tell the lower ones of themselves when it is ready."""

    name = "repairs"
    verbose_name = "Sautereau"

    def ready(self) -> None:
        """Load the rooms that register kinds, jobs and words, and teach French its ordinals."""
        # This cannot happen before the models are loaded.
        from repairs.language.dates import teach_french_ordinals  # noqa: PLC0415

        for module in TELLING:
            import_module(module)
        teach_french_ordinals()
