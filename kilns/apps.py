"""Kilns as a Django app beside the yard."""

from django.apps import AppConfig


class KilnsConfig(AppConfig):
    name = "kilns"
    verbose_name = "Kilns"
    demo = "kilns.demo"  # its `build()` adds to the invented yard

    def ready(self):
        # the permission table, labels, sections, menus and photos join the yard's
        from kilns import access, alarm_joins, labels, parts, photos, places

        access.join()
        alarm_joins.join()
        labels.join()
        parts.join()
        photos.join()
        places.join()
