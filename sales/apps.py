"""Selling as a Django app beside the yard and its kilns."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    name = "sales"
    verbose_name = "Selling"
    demo = "sales.demo"  # its `build()` adds to the invented yard

    def ready(self):
        from sales import access, labels, places, sections  # the table of permissions, and the rest, join the yard's

        access.join()
        labels.join()
        places.join()
        sections.join()
