"""Files that are not as they should be: clear words, nothing lost, nothing doubled."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.make import make_sensor
from yard.models import Reading, SensorDay
from yard.services.sensor_files import SensorChoices, sensor_choices, sensor_file_keep, sensor_file_preview
from yard.wood.weather.weather_file import CannotReadWeather

CHOICES = SensorChoices(time="Time", temp="Temp", rh="RH", temp_unit="F")
JULY = datetime(2025, 7, 1, 12)


@pytest.fixture
def sensor(yard):
    return make_sensor("Post")


def lines(start, count, temp_f=80.0, minutes=60):
    return [f"{start + timedelta(minutes=minutes * n):%Y-%m-%d %H:%M},{temp_f + n % 5},50" for n in range(count)]


def file_of(*rows, head="Time,Temp,RH"):
    return "\n".join([head, *rows, ""]).encode()


def look(sensor, yard, content, choices=CHOICES):
    return sensor_file_preview(sensor=sensor, content=content, choices=choices, yard=yard)


def keep(sensor, yard, content, choices=CHOICES):
    return sensor_file_keep(sensor=sensor, preview=look(sensor, yard, content, choices), choices=choices)


def told(preview):
    return " ".join((*preview.warnings, preview.odd))


def test_a_doubled_file_and_one_with_each_row_twice_add_nothing(sensor, yard):
    rows = lines(JULY, 30)
    assert keep(sensor, yard, file_of(*rows)).new == 30
    again = keep(sensor, yard, file_of(*rows))
    assert (again.new, again.known, again.other) == (0, 30, 0)
    doubled = look(sensor, yard, file_of(*rows, *rows))
    assert "30 rows have a time that was there already" in told(doubled)
    assert sensor_file_keep(sensor=sensor, preview=doubled, choices=CHOICES).new == 0
    assert Reading.objects.count() == 30
    assert sum(SensorDay.objects.values_list("readings", flat=True)) == 30


def test_another_file_with_other_columns_is_not_read_by_the_old_choices(sensor, yard):
    keep(sensor, yard, file_of(*lines(JULY, 3)))
    other = b"When;T (C);Hum\n2025-07-02 12:00;20,5;50\n"
    with pytest.raises(CannotReadWeather, match="There is no column 'Time'; the file has"):
        look(sensor, yard, other)
    choices = sensor_choices(sensor, other)
    assert choices.time in ("", "When")
    assert choices.time != "Time"


def test_celsius_read_as_fahrenheit_is_asked_about(sensor, yard):
    """Madison's July is about 72 °F, 22 °C (NOAA normals 1991-2020)."""
    content = file_of(*lines(JULY, 48, temp_f=20.0))
    assert "Is the unit right?" in look(sensor, yard, content).odd
    assert look(sensor, yard, file_of(*lines(JULY, 48, temp_f=72.0))).odd == ""


def test_a_gap_is_told_and_fills_later(sensor, yard):
    whole = lines(JULY, 200)  # 12:00 of standard time in Chicago is 18:00 UTC
    preview = look(sensor, yard, file_of(*whole[:50], *whole[150:]))
    assert "Nothing between 2025-07-03 19:00 and 2025-07-08 00:00, 4 days" in told(preview)
    assert sensor_file_keep(sensor=sensor, preview=preview, choices=CHOICES).new == 100
    assert keep(sensor, yard, file_of(*whole)).new == 100
    assert Reading.objects.count() == 200


def test_rows_of_a_clock_that_was_reset_are_left_out_and_told(sensor, yard):
    content = file_of(*lines(JULY, 20), *lines(datetime(2000, 1, 1), 5), *lines(JULY + timedelta(days=1), 20))
    preview = look(sensor, yard, content)
    assert "5 rows from 2000-01-01 06:00 on are those of a clock that was reset" in told(preview)
    assert sensor_file_keep(sensor=sensor, preview=preview, choices=CHOICES).new == 40
    assert not Reading.objects.filter(at__year__lt=2025).exists()


def test_an_old_loggers_file_of_one_time_is_kept_as_it_is(sensor, yard):
    assert keep(sensor, yard, file_of(*lines(datetime(2001, 7, 1), 24))).new == 24


def test_a_clock_set_back_gives_the_first_reading_of_each_time_and_says_so(sensor, yard):
    rows = [*lines(JULY, 60, minutes=1), *lines(JULY + timedelta(minutes=30), 60, temp_f=60.0, minutes=1)]
    preview = look(sensor, yard, file_of(*rows))
    assert "30 rows have a time that was there already: a clock set back" in told(preview)
    sensor_file_keep(sensor=sensor, preview=preview, choices=CHOICES)
    assert Reading.objects.count() == 90
    assert Reading.objects.order_by("at")[40].temp_f >= 80
    later = keep(sensor, yard, file_of(*lines(JULY + timedelta(minutes=30), 60, temp_f=60.0, minutes=1)))
    assert (later.new, later.known, later.other) == (0, 60, 30)


def test_the_hour_that_comes_twice_is_two_hours_by_a_clock_with_offsets(sensor, yard):
    """The clocks of Chicago went back on 2 November 2025."""
    rows = [f"2025-11-02T0{h}:30:00-0{o}:00,40,50" for h, o in ((0, 5), (1, 5), (1, 6), (2, 6))]
    preview = look(sensor, yard, file_of(*rows))
    assert preview.warnings == ()
    assert sensor_file_keep(sensor=sensor, preview=preview, choices=CHOICES).new == 4
    first, *_, last = Reading.objects.order_by("at").values_list("at", flat=True)
    assert last - first == timedelta(hours=3)


def test_stamps_of_two_kinds_in_one_file_are_refused_as_they_cannot_be_ordered(sensor, yard):
    content = file_of("2025-07-01T12:00:00-05:00,80,50", "2025-07-01 13:00,80,50")
    with pytest.raises(CannotReadWeather, match="cannot be ordered"):
        look(sensor, yard, content)


def test_a_yard_that_moves_to_another_zone_keeps_the_moments_of_what_it_has(sensor, yard):
    keep(sensor, yard, file_of(*lines(JULY, 24)))
    before = list(Reading.objects.order_by("at").values_list("at", flat=True))
    yard.time_zone = "America/Denver"
    yard.save()
    again = keep(sensor, yard, file_of(*lines(JULY, 24)))  # the same stamps mean other moments there
    assert before == list(Reading.objects.filter(at__in=before).order_by("at").values_list("at", flat=True))
    assert (again.new, again.known) == (1, 23)
    assert before[0] == datetime(2025, 7, 1, 18, tzinfo=UTC)


def test_the_page_says_that_known_times_came_with_other_figures(owner_client, sensor, yard):
    keep(sensor, yard, file_of(*lines(JULY, 5)))
    sent = SimpleUploadedFile("a.csv", file_of(*lines(JULY, 6, temp_f=70.0)))
    page = owner_client.post(f"/sensors/{sensor.pk}/read/", {"file": sent})
    answer = owner_client.post(
        f"/sensors/{sensor.pk}/columns/",
        {
            "token": page.context["token"], "do": "keep", "time": "Time", "temp": "Temp", "rh": "RH",
            "temp_unit": "F", "date_order": "ymd",
        },
        follow=True,
    )  # fmt: skip
    text = answer.content.decode()
    assert "1 new readings are kept, 5 were known already, 5 of them with other figures" in text


@pytest.mark.parametrize("written", ["%Y-%m-%d %H:%M:%S", "%m/%d/%Y %H:%M:%S", "%Y-%m-%dT%H:%M:%S-06:00"])
def test_a_sensor_that_reads_every_ten_seconds_loses_none_of_them(sensor, yard, written):
    rows = [f"{JULY + timedelta(seconds=10 * n):{written}},80,50" for n in range(60)]
    order = "mdy" if "/" in written else "ymd"
    choices = SensorChoices(time="Time", temp="Temp", rh="RH", temp_unit="F", date_order=order)
    preview = look(sensor, yard, file_of(*rows), choices)
    assert preview.warnings == ()
    assert sensor_file_keep(sensor=sensor, preview=preview, choices=choices).new == 60
    first, second = Reading.objects.order_by("at").values_list("at", flat=True)[:2]
    assert second - first == timedelta(seconds=10)
