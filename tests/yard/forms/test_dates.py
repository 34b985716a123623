"""Days that have come."""

from datetime import UTC, datetime, timedelta

import pytest
from django import forms
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


@pytest.mark.parametrize("hour_utc", [6, 7])
def test_a_moment_shown_and_sent_back_is_the_same_even_in_the_hour_that_comes_twice(hour_utc):
    """On 2 November 2025 Chicago's clocks show 1:30 at 6:30 and at 7:30 UTC."""

    class Form(forms.Form):
        at = PastMomentField()

    moment = datetime(2025, 11, 2, hour_utc, 30, 20, tzinfo=UTC)
    with timezone.override("America/Chicago"):
        shown = Form(initial={"at": moment})["at"].value()
        text = forms.DateTimeInput(format="%Y-%m-%dT%H:%M").format_value(shown)
        assert text == "2025-11-02T01:30"
        form = Form({"at": text}, initial={"at": moment})
        assert form.is_valid(), form.errors
        assert form.cleaned_data["at"] == moment
        assert not Form({"at": text}).is_valid(), "typed, nobody knows which"
