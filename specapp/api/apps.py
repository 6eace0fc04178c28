from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "specapp.api"
    label = "api"
