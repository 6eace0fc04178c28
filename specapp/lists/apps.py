from django.apps import AppConfig


class ListsConfig(AppConfig):
    name = "specapp.lists"
    label = "lists"
    verbose_name = "Machine lists"
