"""Where the kilns' alarms and charts join the yard: when readings come in, every few minutes, on Today, on a sensor."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest

from kilns.services.alarm_mail import alarms_mail
from kilns.services.alarms import alarms_check_all, alarms_check_sensor, alarms_open
from kilns.services.reading_hours import hours_catch_up, sensor_hours_make
from yard import access, parts
from yard.services import reading_listeners, watches


def watch() -> str:
    """Look after all kilns, send what is new; in a sentence."""
    standing = alarms_check_all()
    sent = alarms_mail()
    hours_catch_up()
    if not standing:
        return ""
    return f"{standing} alarm{'' if standing == 1 else 's'} of kilns open, {sent} sent by e-mail."


def today_part(request: HttpRequest, subject: Any) -> Mapping[str, Any] | None:
    """The open alarms on Today; None when all is quiet."""
    alarms = alarms_open()
    if not alarms:
        return None
    return {"alarms": alarms, "can_see": access.may(request.user, "kilns:alarm-see", "POST")}


def sensor_part(request: HttpRequest, subject: Any) -> Mapping[str, Any] | None:
    """In which kiln a sensor stands, on its page."""
    places = list(subject.in_kilns.filter(until__isnull=True).select_related("kiln"))
    return {"places": places} if places else None


def join() -> None:
    """Let the yard call when it is time."""
    reading_listeners.register(alarms_check_sensor)
    reading_listeners.register(sensor_hours_make)
    watches.register(watch)
    parts.register("today", "kilns/_today_alarms.html", today_part)
    parts.register("sensor", "kilns/_sensor_kilns.html", sensor_part)
