"""The yard's URLs; each name has its row in `access.py`."""

from django.urls import path

from yard.views import health, login, look, me, more, species_suggest, today

app_name = "yard"

urlpatterns = [
    # coming and going
    path("login/", login.login, name="login"),
    path("logout/", login.logout, name="logout"),
    path("health/", health.health, name="health"),
    # the yard itself
    path("", today.today, name="today"),
    path("more/", more.more, name="more"),
    path("me/", me.me, name="me"),
    path("species/suggest/", species_suggest.species_suggest, name="species-suggest"),
    path("look/", look.look, name="look"),
    # logs, saw, slabs
    # stacks, bays, map
    # moisture, weather, ready
    # in and out
]
