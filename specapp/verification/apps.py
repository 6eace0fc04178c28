from django.apps import AppConfig


class VerificationConfig(AppConfig):
    name = "specapp.verification"
    label = "verification"
