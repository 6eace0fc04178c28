from django.apps import AppConfig


class CommissioningConfig(AppConfig):
    """What was tested and measured on the installed chain: checklists, curves, as-built setpoints."""

    name = "specapp.commissioning"
