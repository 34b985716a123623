"""Kilns as a Django app beside the yard."""

from django.apps import AppConfig


class KilnsConfig(AppConfig):
    name = "kilns"
    verbose_name = "Kilns"

    def ready(self):
        from kilns import access  # the permission table of the kilns' pages joins the yard's

        access.join()
