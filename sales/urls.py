"""The URLs of selling; each name has its row in `sales/access.py`."""

from django.urls.resolvers import URLPattern

app_name = "sales"

urlpatterns: list[URLPattern] = []
