from django.apps import AppConfig


class BidsConfig(AppConfig):
    name = "specapp.bids"
    label = "bids"
