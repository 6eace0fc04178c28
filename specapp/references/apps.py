from django.apps import AppConfig


class ReferencesConfig(AppConfig):
    name = "specapp.references"
    label = "references"
    verbose_name = "Reference documents, questions and the rulebook"
