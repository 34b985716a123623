"""Moments of the story, and a history that says when things happened rather than when they were written."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Max
from django.utils import timezone

from yard.models import History


@dataclass(frozen=True)
class Clock:
    """Days before today, in the yard's own time."""

    today: date

    def day(self, ago: float) -> date:
        return self.today - timedelta(days=int(ago))

    def at(self, ago: float, hour: int = 9, minute: int = 0) -> datetime:
        """A moment of a day; today's lie before now."""
        moment = timezone.make_aware(datetime.combine(self.day(ago), time(hour, minute)))
        return min(moment, timezone.now() - timedelta(minutes=5))


@contextmanager
def happened(moment: datetime) -> Iterator[None]:
    """Give what is written to the history inside the time at which it happened in the story."""
    before = History.objects.aggregate(newest=Max("pk"))["newest"] or 0
    yield
    History.objects.filter(pk__gt=before).update(at=moment)
