from django.apps import AppConfig


class AssuranceConfig(AppConfig):
    """Trip reliability, loops, intrinsic safety and the hazardous area of a machine, as pages."""

    name = "specapp.assurance"
