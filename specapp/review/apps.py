from django.apps import AppConfig


class ReviewConfig(AppConfig):
    name = "specapp.review"
    label = "review"
