"""The weather page, reading weather files, and taking them away."""

import re
from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_sensor, make_slab, make_stack, make_yard
from tests.wood.weather.made_files import epw
from tests.yard.services.test_weather_files import ISD, TYPICAL
from yard.models import Estimate, SensorDay, WeatherDay, WeatherFile, Yard
from yard.services.incoming_files import incoming_keep, incoming_read


def text(answer):
    return answer.content.decode()


def days_back(first, count=5, temp=10.0, rh=60):
    """An EPW of real days that begin so many days ago."""
    start = timezone.localdate() - timedelta(days=first)
    days = [start + timedelta(days=n) for n in range(count)]
    return epw([(d.year, d.month, d.day, h, temp, -99, rh) for d in days for h in range(1, 25)])


def send(client, *contents, names=("station.epw", "second.epw", "third.epw")):
    files = [SimpleUploadedFile(name, content) for name, content in zip(names, contents, strict=False)]
    return client.post("/weather/read/", {"files": files})


def keep(client, page, do="days", follow=True):
    token = re.search(r'name="token" value="([^"]+)"', text(page))[1]
    return client.post("/weather/keep/", {"token": token, "do": do}, follow=follow)


def test_days_that_nobody_measured_are_marked_as_usual_ones(hand_client, yard):
    page = text(hand_client.get("/weather/"))
    assert page.count('<span class="badge gone">usual</span>') == 21
    assert "from the built-in climate (a usual year, not this one)" in page
    assert "Madison" in page


def test_a_sensor_a_file_and_a_usual_day_stand_side_by_side_each_with_its_source(hand_client, yard):
    assert send(hand_client, days_back(6, 3)).status_code == 200
    keep(hand_client, send(hand_client, days_back(6, 3)))
    sensor = make_sensor("Post", is_outdoor=True)
    yesterday = timezone.localdate() - timedelta(days=1)
    SensorDay.objects.create(sensor=sensor, day=yesterday, temp_f=21.0, rh_pct=None, readings=24, hours=24)
    page = text(hand_client.get("/weather/"))
    cells = dict(re.findall(r'<th scope="row">([^<]+)</th>.*?<td>(?:<span[^>]*>)?([^<]+)', page))
    sources = [source.strip() for source in cells.values()]
    assert sources[0] == "sensor, humidity usual"
    assert sources.count("file") == 3
    assert "only the temperature was measured" in page


def test_a_file_is_looked_at_then_kept_and_the_wood_estimated_anew(hand_client, yard):
    stack = make_stack(at=timezone.now() - timedelta(days=20), slabs=1)
    page = send(hand_client, days_back(6, 5, temp=30.0, rh=20))
    assert "Keep these days" in text(page)
    assert ">5<" in text(page)
    assert not WeatherFile.objects.exists()
    page = text(keep(hand_client, page))
    assert "5 days of station.epw are the yard&#x27;s weather now" in page
    assert "1 estimate made anew." in page
    assert WeatherDay.objects.count() == 5
    assert "weather file read by" in Estimate.objects.get(cohort__stack=stack, is_current=True).because


def test_the_newer_file_says_whose_days_it_covers_and_goes_away_again(hand_client, yard):
    keep(hand_client, send(hand_client, days_back(6, 3, temp=10.0)))
    page = text(send(hand_client, days_back(6, 2, temp=20.0), names=("new.epw",)))
    assert "2 of these days are known from station.epw" in page
    keep(hand_client, send(hand_client, days_back(6, 2, temp=20.0), names=("new.epw",)))
    newest = WeatherFile.objects.order_by("-id").first()
    page = text(hand_client.post(f"/weather/files/{newest.pk}/remove/", follow=True))
    assert "new.epw is taken away" in page
    assert WeatherFile.objects.count() == 1


def test_missing_codes_and_bad_rows_are_told_before_anything_is_kept(hand_client, yard):
    one = timezone.localdate() - timedelta(days=9)
    two = one + timedelta(days=1)
    rows = [
        (one.year, one.month, one.day, h, 99.9 if h < 3 else 10.0, 99.9, 999 if h < 13 else 60) for h in range(1, 25)
    ]
    rows += [(two.year, two.month, two.day, h, 10.0, 5.0, 60) for h in range(1, 25)]
    page = text(send(hand_client, epw(rows) + b"2025,2,30,1,0,x,1,1,50\n"))
    assert "1 row left out" in page
    assert re.search(r'Without humidity</span><span class="figure-value">1<', page)
    assert not WeatherDay.objects.exists()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"tag,species\nA,oak\n", "no weather file known here"),
        (b"\x89PNG\x00\x01\x02", "not a text file"),
        (b"PK\x03\x04broken", "damaged"),
        (epw([(2025, 3, 1, h, 99.9, 99.9, 999) for h in range(1, 25)]), "no row with a temperature"),
    ],
)
def test_what_cannot_be_read_is_refused_beside_the_field(hand_client, yard, content, words):
    answer = send(hand_client, content)
    assert answer.status_code == 422
    error = re.search(r'id="id_files_error".*?</p>', text(answer), re.S)[0]
    assert words in error
    assert "station.epw" in error


def test_without_a_file_it_asks_for_one(hand_client, yard):
    answer = hand_client.post("/weather/read/", {})
    assert answer.status_code == 422
    assert "Choose a file first" in text(answer)


def test_a_typical_year_is_explained_and_becomes_the_usual_year_only(hand_client, owner_client, yard):
    page = send(hand_client, TYPICAL, names=("chicago.epw.gz",))
    assert "This is a typical year: its months come from different years" in text(page)
    assert "Keep these days" not in text(page)
    refused = keep(hand_client, page, do="days")
    assert refused.status_code == 422
    assert "your wood never stood in it" in text(refused)
    assert not WeatherFile.objects.exists()
    said = text(keep(hand_client, page, do="usual"))
    assert "The usual year is that of chicago.epw.gz" in said
    assert Yard.objects.get().own_climate["label"]
    assert hand_client.post("/weather/usual/drop/").status_code == 403
    owner_client.post("/weather/usual/drop/")
    assert Yard.objects.get().own_climate == {}


def test_yearly_files_are_read_together(hand_client, yard):
    page = text(send(hand_client, ISD[2015], ISD[2016]))
    assert "station.epw and 1 more" in page


def test_a_look_of_somebody_else_or_of_yesterday_is_gone(hand_client, viewer, yard):
    token = incoming_keep(files=[("x.epw", days_back(6))], by=viewer)
    answer = hand_client.post("/weather/keep/", {"token": token, "do": "days"}, follow=True)
    assert "choose it once more" in text(answer)
    for rubbish in ("", "../../etc/passwd", "x" * 24):
        assert "choose it once more" in text(hand_client.post("/weather/keep/", {"token": rubbish}, follow=True))
    assert incoming_read(token=token, by=viewer)[0][0] == "x.epw"
    assert not WeatherFile.objects.exists()


def test_a_yard_without_a_place_or_far_from_all_says_so_and_still_reads_files(owner_client, db):
    make_yard(lat_deg=None, lon_deg=None)
    page = text(owner_client.get("/weather/"))
    assert "The yard has no place yet" in page
    make_yard(lat_deg=60.4, lon_deg=5.3)
    page = text(owner_client.get("/weather/"))
    assert "nearest built-in place" in page
    assert owner_client.get("/weather/read/").status_code == 200


def test_earlier_days_can_be_looked_at_but_none_to_come(hand_client, yard):
    page = text(hand_client.get("/weather/", {"until": "2025-02-10"}))
    assert "10 Feb 2025" in page
    ahead = (date.today() + timedelta(days=3)).isoformat()
    answer = hand_client.get("/weather/", {"until": ahead})
    assert answer.status_code == 422
    assert "has not come yet" in text(answer)
    assert hand_client.get("/weather/", {"until": "1950-01-02"}).status_code == 200


def test_metric_people_read_celsius(hand_client, hand, yard):
    hand.units = "metric"
    hand.save()
    assert "°C" in text(hand_client.get("/weather/"))


def test_the_page_takes_as_many_queries_with_many_days_and_files_as_without(hand_client, yard):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get("/weather/").status_code == 200
        return len(captured)

    keep(hand_client, send(hand_client, days_back(6, 3)))
    make_sensor("Post", is_outdoor=True)
    few = queries()
    keep(hand_client, send(hand_client, *ISD.values()))
    sensor = make_sensor("Wall")
    for n in range(30):
        SensorDay.objects.create(
            sensor=sensor, day=date(2026, 1, 1) + timedelta(days=n), temp_f=20, rh_pct=50, readings=1, hours=1
        )  # fmt: skip
    sawn = timezone.localdate() - timedelta(days=701)
    make_stack(at=timezone.now() - timedelta(days=700), slabs=[make_slab(sawn_on=sawn)])
    assert queries() == few


def test_viewers_look_only(viewer_client, client, yard):
    page = text(viewer_client.get("/weather/"))
    assert "Read a weather file" not in page
    assert viewer_client.get("/weather/read/").status_code == 403
    assert client.get("/weather/").status_code == 302
