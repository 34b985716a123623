"""What has to happen while the server runs: each day estimates and certificate, every few minutes what is watched."""

import logging
import os
import time
import zoneinfo
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import close_old_connections, connections
from django.utils import timezone

from yard.services import watches
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


def watch_done() -> None:
    """Look once after what is looked at every few minutes; each writes its own faults to the log."""
    try:
        close_old_connections()
        with timezone.override(_zone()):
            for words in watches.watches_do():
                log.info(words)
    except Exception:
        log.exception("the watch failed; it is tried again in a few minutes")
    finally:
        connections.close_all()


def every_day(*, parent: int, also: Callable[[], object] = lambda: None) -> None:
    """Do the day's work at once and then every early morning, until the server that started this is gone.

    In between, every few minutes, what is watched is looked at.
    """
    day_done(also)
    due = next_time(timezone.now(), _zone())
    watched = time.monotonic()
    while os.getppid() == parent:
        time.sleep(LOOK_EVERY_S)
        if time.monotonic() - watched >= watches.EVERY_S:
            watch_done()
            watched = time.monotonic()
        if timezone.now() >= due:
            day_done(also)
            due = next_time(timezone.now(), _zone())


def _zone() -> zoneinfo.ZoneInfo:
    return zoneinfo.ZoneInfo(the_yard().time_zone)
