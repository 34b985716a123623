"""The yard's URLs; each name has its row in `access.py`."""

from django.urls import path

from yard.views import (
    health,
    history,
    invite,
    log_edit,
    log_new,
    log_page,
    log_rule,
    log_scale,
    log_void,
    login,
    logs,
    look,
    me,
    more,
    people,
    person,
    photo_file,
    saw,
    saw_log,
    saw_row,
    saw_steps,
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
    path("logs/", logs.logs, name="logs"),
    path("logs/export/", logs.logs_export, name="logs-export"),
    path("logs/new/", log_new.log_new, name="log-new"),
    path("logs/scale/", log_scale.log_scale_now, name="log-scale"),
    path("logs/<int:pk>/", log_page.log_page, name="log-page"),
    path("logs/<int:pk>/edit/", log_edit.log_edit, name="log-edit"),
    path("logs/<int:pk>/rule/", log_rule.log_rule, name="log-rule"),
    path("logs/<int:pk>/void/", log_void.log_void, name="log-void"),
    path("saw/", saw.saw, name="saw"),
    path("logs/<int:pk>/saw/", saw_log.saw_log, name="saw-log"),
    path("logs/<int:pk>/saw/check/", saw_log.saw_check, name="saw-check"),
    path("logs/<int:pk>/saw/undo/", saw_steps.saw_undo_last, name="saw-undo"),
    path("logs/<int:pk>/saw/seal/", saw_steps.saw_seal_ends, name="saw-seal"),
    path("logs/<int:pk>/saw/kerf/", saw_steps.saw_keep_kerf, name="saw-kerf"),
    path("logs/<int:pk>/saw/start/", saw_steps.saw_start, name="saw-start"),
    path("logs/<int:pk>/saw/finish/", saw_steps.saw_finish, name="saw-finish"),
    path("logs/<int:pk>/saw/<int:slab_pk>/", saw_row.saw_row, name="saw-row"),
    # stacks, bays, map
    # moisture, weather, ready
    # in and out
]
