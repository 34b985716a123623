"""The yard's URLs; each name has its row in `access.py`."""

from django.urls import path

from yard.views import (
    health,
    history,
    invite,
    login,
    look,
    me,
    more,
    people,
    person,
    photo_file,
    set_up,
    species_suggest,
    today,
    yard_settings,
)

app_name = "yard"

urlpatterns = [
    # coming and going
    path("login/", login.login, name="login"),
    path("logout/", login.logout, name="logout"),
    path("invite/<str:token>/", invite.invite, name="invite"),
    path("password/<str:who>/<str:token>/", invite.password_link, name="invite-password"),
    path("health/", health.health, name="health"),
    # the yard itself
    path("", today.today, name="today"),
    path("more/", more.more, name="more"),
    path("me/", me.me, name="me"),
    path("people/", people.people, name="people"),
    path("people/links/<int:pk>/withdraw/", people.withdraw, name="people-withdraw-invite"),
    path("people/<int:pk>/", person.person, name="person"),
    path("set-up/", set_up.set_up, name="set-up"),
    path("settings/", yard_settings.yard_settings, name="yard-settings"),
    path("history/", history.history, name="history"),
    path("photos/<int:pk>/<str:size>/", photo_file.photo_file, name="photo-file"),
    path("species/suggest/", species_suggest.species_suggest, name="species-suggest"),
    path("look/", look.look, name="look"),
    # logs, saw, slabs
    # stacks, bays, map
    # moisture, weather, ready
    # in and out
]
