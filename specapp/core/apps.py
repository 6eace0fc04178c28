from django.apps import AppConfig


class CoreConfig(AppConfig):
    name = "specapp.core"
    label = "core"
    verbose_name = "People and records"

    def ready(self) -> None:
        from specapp.core import checks, converters  # noqa: F401  registers the start-up checks

        converters.register()
