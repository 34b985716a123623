"""Kilns as a Django app beside the yard."""

from django.apps import AppConfig


class KilnsConfig(AppConfig):
    name = "kilns"
    verbose_name = "Kilns"
    demo = "kilns.demo"  # its `build()` adds to the invented yard

    def ready(self):
        # the permission table, labels, sections and menus join the yard's
        from kilns import access, alarm_joins, labels, parts, places

        access.join()
        alarm_joins.join()
        labels.join()
        parts.join()
        places.join()
