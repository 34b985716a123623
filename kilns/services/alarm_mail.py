"""Alarms by e-mail, where e-mail is set up: each once, and once more when it gets worse."""

import logging
from datetime import timedelta
from smtplib import SMTPException
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import send_mail
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from kilns.models import Alarm
from kilns.services.alarm_cause import DANGER, RANK
from kilns.services.alarms import alarms_mailed
from yard.services.yard_settings import the_yard
from yard.templatetags.quantities import moment

log = logging.getLogger("kilns.alarms")

NOT_NOW = (OSError, SMTPException)
STILL_TOLD = timedelta(days=1)  # so long after it is over, a danger that nobody was told of is told (our own choice)


def alarms_mail() -> int:
    """Send what is open and was not sent yet, all in one message; what could not be sent waits. Returns how many.

    A danger that came and went unsent, as while the mail was out of order, is told all the same.
    """
    if not settings.ALARMS_TO:
        return 0
    over = Q(level=DANGER, closed_at__gte=timezone.now() - STILL_TOLD)
    unsent = Alarm.objects.filter(Q(closed_at__isnull=True) | over, mailed_at__isnull=True)
    waiting = list(unsent.select_related("kiln"))
    if not waiting:
        return 0
    subject, body = alarm_message(waiting)
    try:
        send_mail(subject, body, settings.DEFAULT_FROM_EMAIL, settings.ALARMS_TO)
    except NOT_NOW as error:
        log.warning("%d alarms could not be sent and wait: %s", len(waiting), error)
        return 0
    alarms_mailed(alarms=waiting)
    return len(waiting)


def alarm_message(alarms: list[Alarm]) -> tuple[str, str]:
    """The subject and the words of a message about these."""
    alarms = sorted(alarms, key=lambda one: -RANK[one.level])  # the subject tells of the gravest
    first = alarms[0]
    more = f" and {len(alarms) - 1} more" if len(alarms) > 1 else ""
    yard = the_yard()
    with timezone.override(ZoneInfo(yard.time_zone)):
        lines = [
            f"{one.kiln.name}: {one.words}\n"
            + (f"Over since {moment(one.closed_at)}." if one.closed_at else one.what_to_do)
            for one in alarms
        ]
    where = f"{settings.PUBLIC_URL.rstrip('/')}{reverse('kilns:alarms')}" if settings.PUBLIC_URL else ""
    foot = f"Each is sent once. Say there that you have seen it: {where}" if where else "Each is sent once."
    subject = f"{yard.name}: {first.kiln.name}: {first.words}{more}"
    return " ".join(subject.split())[:180], "\n\n".join([*lines, foot])
