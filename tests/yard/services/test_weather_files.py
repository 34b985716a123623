"""Weather files: looked at, kept, taken away, and what the yard's air is then."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.make import make_sensor, make_stack, make_yard
from tests.wood.weather.made_files import epw, global_hourly, tmy3
from yard.models import Cohort, History, SensorDay, WeatherDay, WeatherFile, Yard
from yard.services.weather import (
    FROM_CLIMATE,
    FROM_FILE,
    FROM_OWN_CLIMATE,
    FROM_SENSOR,
    NoPlaceError,
    yard_air,
    yard_climate,
)
from yard.services.weather_files import (
    CannotKeepWeather,
    usual_year_drop,
    usual_year_keep,
    weather_file_keep,
    weather_file_remove,
)
from yard.services.weather_preview import standard_offset_h, weather_preview
from yard.wood.weather.weather_file import CannotReadWeather

REAL = Path(__file__).parents[2] / "wood" / "weather" / "data"
ISD = {year: (REAL / f"isd_lite_725300_{year}.gz").read_bytes() for year in (2015, 2016, 2017)}
TYPICAL = (REAL / "chicago_ohare_tmy3.epw.gz").read_bytes()


@pytest.fixture
def the_yard(yard):
    return yard


def actual(temp=10.0, rh=60, days=3, year=2025, source="AMY"):
    """An EPW of real days: every hour of the first days of March at one temperature and humidity."""
    return epw([(year, 3, d, h, temp, -99, rh) for d in range(1, days + 1) for h in range(1, 25)], source=source)


def look(yard, *contents):
    return weather_preview(files=[(f"file{n}.epw", content) for n, content in enumerate(contents)], yard=yard)


def keep(yard, *contents):
    return weather_file_keep(preview=look(yard, *contents), by=None)


def march(yard):
    return yard_air(first=date(2025, 3, 1), last=date(2025, 3, 4), yard=yard)


def test_a_file_is_looked_at_before_anything_is_kept(the_yard):
    preview = look(the_yard, actual())
    assert (preview.first, preview.last) == (date(2025, 3, 1), date(2025, 3, 3))
    assert (len(preview.days), preview.missing) == (3, 0)
    assert preview.may_keep
    assert not WeatherFile.objects.exists()


def test_its_days_are_the_yards_weather_once_kept_and_the_others_stay_usual(the_yard):
    file = keep(the_yard, actual(temp=10.0, rh=60))
    air = march(the_yard)
    assert list(air.temp_f[:3]) == pytest.approx([50.0] * 3)
    assert list(air.rh_pct[:3]) == pytest.approx([60.0] * 3)
    assert air.temp_from == [FROM_FILE] * 3 + [FROM_CLIMATE]
    assert (file.days_read, file.days_missing, file.first_day) == (3, 0, date(2025, 3, 1))
    assert "3 of 4 days from weather files" in air.sources_in_words()


def test_the_newest_file_counts_and_taking_it_away_gives_back_the_one_under_it(the_yard):
    keep(the_yard, actual(temp=10.0))
    preview = look(the_yard, actual(temp=20.0, days=2))
    assert [(one.name, one.days) for one in preview.overlaps] == [("file0.epw", 2)]
    newer = weather_file_keep(preview=preview, by=None)
    assert list(march(the_yard).temp_f[:3]) == pytest.approx([68.0, 68.0, 50.0])
    weather_file_remove(file=newer, by=None)
    assert list(march(the_yard).temp_f[:3]) == pytest.approx([50.0, 50.0, 50.0])
    assert History.objects.filter(table="weatherfile", action="removed").exists()


def test_a_sensor_in_the_yard_overrides_a_file_but_only_for_whole_days(the_yard):
    keep(the_yard, actual(temp=10.0))
    sensor = make_sensor("Outdoors", is_outdoor=True)
    for day, hours in ((1, 24), (2, 11)):
        SensorDay.objects.create(
            sensor=sensor, day=date(2025, 3, day), temp_f=33.0, rh_pct=90.0, readings=hours, hours=hours
        )
    assert march(the_yard).temp_from == [FROM_SENSOR, FROM_FILE, FROM_FILE, FROM_CLIMATE]


def test_missing_codes_make_no_weather(the_yard):
    codes = {1: (10.0, 60), 2: (99.9, 60), 3: (10.0, 999), 4: (10.0, 60)}
    rows = [(2025, 3, d, h, temp, 99.9, rh) for d, (temp, rh) in codes.items() for h in range(1, 25)]
    preview = look(the_yard, epw(rows))
    assert [day.day.day for day in preview.days] == [1, 3, 4]
    assert (preview.missing, preview.without_humidity) == (1, 1)
    weather_file_keep(preview=preview, by=None)
    air = march(the_yard)
    assert air.temp_from == [FROM_FILE, FROM_CLIMATE, FROM_FILE, FROM_FILE]
    assert air.rh_from == [FROM_FILE, FROM_CLIMATE, FROM_CLIMATE, FROM_FILE]
    assert "on 1 of them only the temperature was measured" in air.sources_in_words()


def test_a_file_of_missing_codes_alone_is_refused_in_words(the_yard):
    with pytest.raises(CannotReadWeather, match=r"file0\.epw: .*no row with a temperature"):
        look(the_yard, epw([(2025, 3, 1, h, 99.9, 99.9, 999) for h in range(1, 25)]))


def test_too_few_hours_make_no_day(the_yard):
    with pytest.raises(CannotReadWeather, match="has enough readings"):
        look(the_yard, epw([(2025, 3, 1, h, 10.0, 5.0, 60) for h in range(1, 9)]))


def test_days_to_come_are_left_out(the_yard):
    ahead = date.today() + timedelta(days=2)
    rows = [(day.year, day.month, day.day, h, 10.0, 5.0, 60) for day in (date(2025, 3, 1), ahead) for h in range(1, 25)]
    preview = look(the_yard, epw(rows))
    assert (len(preview.days), preview.to_come) == (1, 1)


def test_what_is_no_weather_is_refused_with_its_name(the_yard):
    for rubbish in (b"", b"tag,species\nA,oak\n", b"\x89PNG\x00\x00"):
        with pytest.raises(CannotReadWeather, match=r"file0\.epw"):
            look(the_yard, rubbish)


def test_a_typical_year_is_not_this_years_weather_but_can_be_the_usual_one(the_yard):
    preview = look(the_yard, TYPICAL)
    assert preview.typical
    assert not preview.may_keep
    with pytest.raises(CannotKeepWeather, match="your wood never stood in it"):
        weather_file_keep(preview=preview, by=None)
    usual_year_keep(preview=preview, by=None)
    yard = Yard.objects.get()
    climate = yard_climate(yard)
    assert climate.method == "weather file"
    assert "a typical year" in climate.label
    # Chicago O'Hare normals 1991-2020: January 25.2 °F, July 75.2 °F; a typical year lies within a few degrees.
    assert climate.month(1).temp_f == pytest.approx(25, abs=5)
    assert climate.month(7).temp_f == pytest.approx(75, abs=5)
    assert march(yard).temp_from == [FROM_OWN_CLIMATE] * 4
    usual_year_drop(by=None)
    assert yard_climate(Yard.objects.get()).method != "weather file"


def test_a_yard_far_from_every_built_in_place_has_weather_once_it_has_a_usual_year(db):
    yard = make_yard(lat_deg=60.4, lon_deg=5.3, city_key="", time_zone="Europe/Oslo")
    with pytest.raises(ValueError, match="nearest built-in place"):
        yard_climate(yard)
    usual_year_keep(preview=look(yard, TYPICAL), by=None)
    assert len(yard_climate(Yard.objects.get())) == 12


def test_a_yard_without_a_place_says_so(db):
    with pytest.raises(NoPlaceError):
        yard_climate(make_yard(lat_deg=None, lon_deg=None))


def test_a_short_file_makes_no_usual_year_and_says_which_month_is_short(the_yard):
    preview = look(the_yard, actual())
    assert preview.usual_year is None
    with pytest.raises(CannotKeepWeather, match="Month 1 has 0 days"):
        usual_year_keep(preview=preview, by=None)


def test_yearly_files_of_one_station_are_read_as_one(the_yard):
    preview = look(the_yard, ISD[2016], ISD[2015])
    assert preview.name == "file0.epw and 1 more"
    assert preview.first.year in (2014, 2015)
    joint = [day for day in preview.days if day.day == date(2015, 12, 31)]
    assert joint, "the local day cut by the turn of the UTC year is whole"


def test_files_of_two_stations_are_not_mixed(the_yard):
    hours = [(f"2025-03-01T{h:02d}:00:00", "FM-15", "+0100,1", "+0050,1") for h in range(24)]
    with pytest.raises(CannotReadWeather, match="not files of one place"):
        look(the_yard, global_hourly(hours), global_hourly(hours, station="11111199999"))


def test_a_station_far_away_or_much_higher_is_marked(the_yard):
    rows = [(f"03/{d:02d}/1988", f"{h:02d}:00", 10.0, 5.0, 60) for d in range(1, 4) for h in range(1, 25)]
    near = look(the_yard, tmy3(rows))
    # 0.03° north is 2.1 miles, 0.10° east at 43° 5.0 miles: 5.4 miles on the flat.
    assert near.miles_away == pytest.approx(5.4, abs=0.2)
    assert not near.is_far
    far = make_yard(lat_deg=46.8, lon_deg=-92.1, elevation_ft=2400.0)
    preview = look(far, tmy3(rows))
    assert preview.is_far
    assert preview.is_higher


def test_wood_that_stood_in_those_days_is_estimated_anew_and_older_wood_is_not(the_yard):
    standing = make_stack().cohorts.get()
    Cohort.objects.update(stale_since=None)
    keep(the_yard, actual(year=2024))
    assert Cohort.objects.get(pk=standing.pk).stale_since is None, "sawn a year after"
    keep(the_yard, actual(year=2025, days=15))
    assert Cohort.objects.get(pk=standing.pk).stale_since is not None


def test_the_yards_standard_time_ignores_summer_time_on_both_halves_of_the_globe(db):
    assert standard_offset_h(make_yard(time_zone="America/Chicago")) == -6
    assert standard_offset_h(make_yard(time_zone="Pacific/Auckland")) == 12
    assert standard_offset_h(make_yard(time_zone="Asia/Kolkata")) == 5.5


def test_ten_years_of_days_come_in_at_once(the_yard):
    keep(the_yard, *ISD.values())
    assert WeatherDay.objects.count() > 1000
