"""The URLs of kilns; each name has its row in `kilns/access.py`."""

app_name = "kilns"

urlpatterns: list = []
