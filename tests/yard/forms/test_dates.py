"""Days that have come."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from yard.forms.dates import PastDateField, PastMomentField


def test_today_and_earlier_days_are_taken():
    today = timezone.localdate()
    assert PastDateField().clean(today.isoformat()) == today


def test_tomorrow_is_refused_with_the_reason():
    tomorrow = timezone.localdate() + timedelta(days=1)
    with pytest.raises(ValidationError, match="has not come yet"):
        PastDateField().clean(tomorrow.isoformat())


def test_slip_in_the_year_is_refused():
    with pytest.raises(ValidationError, match="too long ago"):
        PastDateField().clean("0206-03-02")


def test_text_that_is_no_day_is_refused():
    with pytest.raises(ValidationError, match="This is no day"):
        PastDateField().clean("last spring")


def test_moment_ahead_of_the_clock_is_refused():
    ahead = timezone.localtime() + timedelta(hours=1)
    with pytest.raises(ValidationError, match="has not come yet"):
        PastMomentField().clean(ahead.strftime("%Y-%m-%dT%H:%M"))
