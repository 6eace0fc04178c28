from django.apps import AppConfig


class RevisionsConfig(AppConfig):
    name = "specapp.revisions"
    label = "revisions"
