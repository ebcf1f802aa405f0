from django.apps import AppConfig


class RepairsConfig(AppConfig):
    name = "repairs"
    verbose_name = "Sautereau"

    def ready(self) -> None:
        # The jobs of each room register themselves when their module is imported; this cannot
        # happen before the models are loaded.
        import repairs.papers.tasks  # noqa: PLC0415
        import repairs.photos.tasks  # noqa: PLC0415
        import repairs.readings.checks  # noqa: F401, PLC0415
        from repairs.language.dates import teach_french_ordinals  # noqa: PLC0415

        teach_french_ordinals()
