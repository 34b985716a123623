"""Alarms: opened once, told again when worse, closed when their cause is gone. Only this module writes them."""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import DatabaseError, transaction
from django.db.models import Q
from django.utils import timezone

from kilns.models import Alarm, Kiln, Run
from kilns.services.alarm_air_rules import (
    hot_for_the_kiln,
    hot_for_the_wood,
    silent_sensors,
    too_dry_for_the_step,
)
from kilns.services.alarm_cause import RANK, Cause, IsOpen, Verdict
from kilns.services.alarm_load_rules import condensate_full, dries_too_fast, frozen_load, hold_reached
from kilns.services.alarm_model_rules import hold_by_model
from kilns.services.kiln_now import KilnNow, kiln_now
from yard.models import Person, Sensor
from yard.services.yard_settings import the_yard
from yard.shown_units import showing

log = logging.getLogger("kilns.alarms")

Rule = Callable[[KilnNow, IsOpen], Verdict]

RULES: tuple[Rule, ...] = (
    hot_for_the_wood, hot_for_the_kiln, too_dry_for_the_step, silent_sensors,
    dries_too_fast, hold_reached, condensate_full, frozen_load,
)  # fmt: skip
SLOW_RULES: tuple[Rule, ...] = (hold_by_model,)  # asked every few minutes alone
KIND_WORDS = {
    "hot-wood": "Too hot for the wood", "hot-layer": "Too hot for a layer", "hot-fan": "Too hot for a fan",
    "hot-dehumidifier": "Too hot for the dehumidifier", "too-dry": "Too dry for the step",
    "too-fast": "Drying too fast", "silent": "Silent sensor", "hold": "Hold reached",
    "condensate": "Condensate full", "frozen": "Frozen load",
}  # fmt: skip


def alarms_of(thing: Kiln | Run) -> list[Alarm]:
    """The open alarms of a kiln or a run, the gravest first; for `kilns/_alarms.html`."""
    return sorted(thing.alarms.filter(closed_at__isnull=True).select_related("kiln", "seen_by"), key=_pressing)


def alarms_open() -> list[Alarm]:
    """The open alarms of all kilns, those that nobody has seen first, then the gravest."""
    rows = Alarm.objects.filter(closed_at__isnull=True).select_related("kiln", "run", "seen_by")
    return sorted(rows, key=lambda one: (one.seen_at is not None, *_pressing(one)))


def alarms_check_sensor(sensor: Sensor) -> None:
    """Look after the kiln in which, or in whose bay, a sensor stands, when readings of it came in."""
    placed = Q(kiln_sensors__sensor=sensor, kiln_sensors__until__isnull=True)
    for kiln in Kiln.objects.filter(placed | Q(bay__sensor=sensor)).distinct().order_by("pk"):
        alarms_check(kiln=kiln)


def alarms_check_all() -> int:
    """Look after every kiln, as must be done now and then: a silent sensor says nothing. Returns the open alarms.

    One that cannot be looked after is logged and keeps nobody from the others, nor their alarms from being sent.
    """
    for kiln in Kiln.objects.order_by("pk"):
        try:
            alarms_check(kiln=kiln, slowly=True)
        except Exception:
            log.exception("%s could not be looked after", kiln)
    return Alarm.objects.filter(closed_at__isnull=True).count()


@transaction.atomic
def alarms_check(*, kiln: Kiln, at: datetime | None = None, slowly: bool = False) -> list[Alarm]:
    """Hold a kiln against all rules, `slowly` against those too that take seconds.

    What is new is opened, what got worse told again, what is gone closed.
    """
    row = Kiln.objects.select_for_update().get(pk=kiln.pk)  # one look at a time: an alarm is opened once
    yard, at = the_yard(), at or timezone.now()
    held = {(one.kind, one.about): one for one in row.alarms.select_for_update().filter(closed_at__isnull=True)}
    with showing(yard.units, yard.currency), timezone.override(ZoneInfo(yard.time_zone)):
        now = kiln_now(row, yard, at)
        rules = RULES + SLOW_RULES if slowly else RULES
        judged, causes = _judge(rules, now, lambda kind, about: (kind, about) in held)
    found = {(one.kind, one.about): one for one in causes}
    for key, cause in found.items():
        if key in held:
            _update(held[key], cause, now)
        else:
            _open(cause, now)
    for key, alarm in held.items():
        if key[0] in judged and key not in found:
            alarm.closed_at = at
            alarm.save(update_fields=["closed_at"])
    return alarms_of(row)


@transaction.atomic
def alarm_see(*, alarm: Alarm, by: Person) -> Alarm:
    """Note that somebody has seen an alarm; it stays open, quietly, until its cause is gone or it gets worse."""
    row = Alarm.objects.select_for_update(of=("self",)).get(pk=alarm.pk)
    if row.seen_at is None:
        row.seen_at, row.seen_by = timezone.now(), by
        row.save(update_fields=["seen_at", "seen_by"])
    return row


def alarms_mailed(*, alarms: Sequence[Alarm]) -> None:
    """Note that these were sent by e-mail; one that got another level while they were is sent again."""
    for level in RANK:
        some = [one.pk for one in alarms if one.level == level]
        Alarm.objects.filter(pk__in=some, level=level).update(mailed_at=timezone.now())


def _judge(rules: Sequence[Rule], now: KilnNow, is_open: IsOpen) -> tuple[set[str], list[Cause]]:
    judged: set[str] = set()
    causes: list[Cause] = []
    for rule in rules:
        try:
            verdict = rule(now, is_open)
        except DatabaseError:
            raise
        except Exception:  # the other rules still speak, and what is open of this one stays
            log.exception("a rule failed for %s", now.kiln)
            continue
        judged |= verdict.judged
        causes += verdict.causes
    return judged, causes


def _open(cause: Cause, now: KilnNow) -> None:
    Alarm.objects.create(
        kiln=now.kiln, run=now.run, kind=cause.kind, about=cause.about, level=cause.level, words=cause.words[:300],
        what_to_do=cause.what_to_do[:300], value=cause.value, limit=cause.limit, opened_at=now.at,
    )  # fmt: skip


def _update(alarm: Alarm, cause: Cause, now: KilnNow) -> None:
    """New figures are written quietly; a graver level is told again, as if nobody had seen it."""
    run = now.run or alarm.run
    if (alarm.words, alarm.level, alarm.run) == (cause.words[:300], cause.level, run):
        return
    if RANK[cause.level] > RANK[alarm.level]:
        alarm.seen_at = alarm.seen_by = alarm.mailed_at = None
    alarm.level, alarm.words, alarm.what_to_do = cause.level, cause.words[:300], cause.what_to_do[:300]
    alarm.value, alarm.limit, alarm.run = cause.value, cause.limit, run
    alarm.save()


def _pressing(alarm: Alarm) -> tuple[int, float]:
    return -RANK[alarm.level], -alarm.opened_at.timestamp()
