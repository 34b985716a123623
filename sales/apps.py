"""Selling as a Django app beside the yard and its kilns."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    name = "sales"
    verbose_name = "Selling"
    demo = "sales.demo"  # its `build()` adds to the invented yard

    def ready(self):
        # tables of permissions, and the rest that joins the yard's own
        from sales import access, access_outside, joining, labels, places, sections, wish_section

        access.join()
        access_outside.join()
        joining.join()
        labels.join()
        places.join()
        sections.join()
        wish_section.join()
