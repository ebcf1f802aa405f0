from importlib import import_module

from django.apps import AppConfig

# What registers itself when its module is imported: jobs, and kinds of paper, so that an issued
# one is called by its name wherever it is shown.
TELLING = (
    "repairs.papers.tasks",
    "repairs.photos.tasks",
    "repairs.cases.paper_kinds",
    "repairs.estimates.paper_kinds",
    "repairs.estimates.consent.paper_kinds",
    "repairs.invoices.paper_kinds",
    "repairs.payments.paper_kinds",
    "repairs.papers.paper_kinds",
)


class RepairsConfig(AppConfig):
    name = "repairs"
    verbose_name = "Sautereau"

    def ready(self) -> None:
        # This cannot happen before the models are loaded.
        from repairs.language.dates import teach_french_ordinals  # noqa: PLC0415

        for module in TELLING:
            import_module(module)
        teach_french_ordinals()
