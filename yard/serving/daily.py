"""What has to happen every day while the server runs: estimates brought up to the day, the certificate renewed."""

import logging
import os
import time
import zoneinfo
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import close_old_connections, connections
from django.utils import timezone

from yard.services.estimates import estimates_refresh_old
from yard.services.weather import NoPlaceError
from yard.services.yard_settings import the_yard

log = logging.getLogger("yard.daily")

AT_HOUR = 4  # before anybody is up
LOOK_EVERY_S = 2.0


def next_time(after: datetime, zone: zoneinfo.ZoneInfo) -> datetime:
    """The next early morning after a moment, by the yard's clock."""
    local = after.astimezone(zone)
    day = local.date() if local.hour < AT_HOUR else local.date() + timedelta(days=1)
    return datetime(day.year, day.month, day.day, AT_HOUR, tzinfo=zone)


def day_done(also: Callable[[], object] = lambda: None) -> int:
    """Do the day's work once; a fault is written to the log and does not end the server. Returns the estimates made."""
    made = 0
    try:
        close_old_connections()
        also()
        with timezone.override(_zone()):
            made = estimates_refresh_old()
        log.info("%d estimates brought up to the day", made)
    except NoPlaceError:
        log.info("no estimates yet: the yard has no place")
    except Exception:
        log.exception("the day's work failed; it is tried again tomorrow, or by manage.py refresh")
    finally:
        connections.close_all()
    return made


def every_day(*, parent: int, also: Callable[[], object] = lambda: None) -> None:
    """Do the day's work at once and then every early morning, until the server that started this is gone."""
    day_done(also)
    due = next_time(timezone.now(), _zone())
    while os.getppid() == parent:
        time.sleep(LOOK_EVERY_S)
        if timezone.now() >= due:
            day_done(also)
            due = next_time(timezone.now(), _zone())


def _zone() -> zoneinfo.ZoneInfo:
    return zoneinfo.ZoneInfo(the_yard().time_zone)
