"""Kilns as a Django app beside the yard."""

from django.apps import AppConfig


class KilnsConfig(AppConfig):
    name = "kilns"
    verbose_name = "Kilns"
    demo = "kilns.demo"  # its `build()` adds to the invented yard

    def ready(self):
        from kilns import access, alarm_joins, labels, places  # the permission table, labels and menus join the yard's

        access.join()
        alarm_joins.join()
        labels.join()
        places.join()
