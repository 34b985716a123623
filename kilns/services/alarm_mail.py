"""Alarms by e-mail, where e-mail is set up: each once, and once more when it gets worse."""

import logging
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import send_mail
from django.urls import reverse

from kilns.models import Alarm
from kilns.services.alarm_cause import INFO
from kilns.services.alarms import alarms_mailed
from yard.services.yard_settings import the_yard

log = logging.getLogger("kilns.alarms")

NOT_NOW = (OSError, SMTPException)


def alarms_mail() -> int:
    """Send what is open and was not sent yet, all in one message; what could not be sent waits. Returns how many."""
    if not settings.ALARMS_TO:
        return 0
    waiting = list(Alarm.objects.filter(closed_at__isnull=True, mailed_at__isnull=True).select_related("kiln"))
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
    first = next((one for one in alarms if one.level != INFO), alarms[0])
    more = f" and {len(alarms) - 1} more" if len(alarms) > 1 else ""
    lines = [f"{one.kiln.name}: {one.words}\n{one.what_to_do}\n" for one in alarms]
    where = f"{settings.PUBLIC_URL.rstrip('/')}{reverse('kilns:alarms')}" if settings.PUBLIC_URL else ""
    foot = f"Each is sent once. Say there that you have seen it: {where}" if where else "Each is sent once."
    subject = f"{the_yard().name}: {first.kiln.name}: {first.words}{more}"
    return " ".join(subject.split())[:180], "\n".join([*lines, foot])
