"""The yard as a Django app."""

from django.apps import AppConfig


class YardConfig(AppConfig):
    name = "yard"
    verbose_name = "Yard"
