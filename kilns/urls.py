"""The URLs of kilns; each name has its row in `kilns/access.py`."""

from django.urls import path

from kilns.views import (
    alarms,
    kiln_edit,
    kiln_equipment,
    kiln_new,
    kiln_page,
    kiln_sensors,
    kiln_surface,
    kilns,
    schedule_edit,
    schedule_find,
    schedule_page,
    schedules,
)

app_name = "kilns"

urlpatterns = [
    path("", kilns.kilns, name="kilns"),
    path("new/", kiln_new.kiln_new, name="kiln-new"),
    path("<int:pk>/", kiln_page.kiln_page, name="kiln-page"),
    path("<int:pk>/edit/", kiln_edit.kiln_edit, name="kiln-edit"),
    path("<int:pk>/close/", kiln_edit.kiln_close_or_open, name="kiln-close"),
    path("<int:pk>/equipment/", kiln_equipment.kiln_equipment, name="kiln-equipment"),
    path("<int:pk>/surfaces/new/", kiln_surface.kiln_surface_new, name="kiln-surface-new"),
    path("surfaces/<int:pk>/", kiln_surface.kiln_surface, name="surface-edit"),
    path("surfaces/<int:pk>/remove/", kiln_surface.kiln_surface_remove, name="surface-remove"),
    path("<int:pk>/sensors/", kiln_sensors.kiln_sensors, name="kiln-sensors"),
    path("<int:pk>/sensors/<int:place_pk>/out/", kiln_sensors.kiln_sensor_out, name="kiln-sensor-out"),
    path("alarms/", alarms.alarms, name="alarms"),
    path("alarms/<int:pk>/seen/", alarms.alarm_seen, name="alarm-see"),
    path("alarms/address/", alarms.alarm_feed_address, name="alarm-feed-address"),
    path("alarms/feed/<str:secret>/", alarms.alarm_feed, name="alarm-feed"),
    path("schedules/", schedules.schedules, name="schedules"),
    path("schedules/find/", schedule_find.schedule_find, name="schedule-find"),
    path("schedules/take/", schedule_find.schedule_take, name="schedule-take"),
    path("schedules/new/", schedule_edit.schedule_new, name="schedule-new"),
    path("schedules/<int:pk>/", schedule_page.schedule_page, name="schedule-page"),
    path("schedules/<int:pk>/edit/", schedule_edit.schedule_edit, name="schedule-edit"),
    path("schedules/<int:pk>/hide/", schedule_page.schedule_hide_or_show, name="schedule-hide"),
]
