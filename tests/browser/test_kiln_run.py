"""A whole run in the invented yard, as a person does it: plan, load, read, weigh, step, equalise, heat, close.

The run lies in the past month, so that a month of readings can be read in from a file; the moisture that its samples
show is told by the test.
"""

import re
from datetime import UTC, datetime, timedelta
from importlib import import_module

import numpy as np
import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone
from playwright.sync_api import expect

from kilns.models import Kiln, KilnSensor, Run, RunPhoto, Treatment
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, shot, small_targets
from yard.demo.build import build
from yard.demo.pictures import face_grain
from yard.models import Cohort, OvenSection, Person, Reading, Sample, Sensor, Slab, Stack, Weighing
from yard.services.weighings import weighing_void
from yard.services.yard_prior import prior_for

STACK, DAYS = "ST-6", 31
SAMPLES = (("K-1", 1.15), ("K-2", 1.05), ("K-3", 0.82))  # and what of the load's mean each has
WEIGHED_ON = (4, 12, 18, 24)  # day of the run
OVEN_DRY_LB = 8.0


class Month:
    """The month of the run: its air minute by minute, and the mean moisture of its wood by day."""

    def __init__(self, begun_pct):
        day = timezone.localdate() - timedelta(days=DAYS + 1)
        self.start = timezone.make_aware(datetime(day.year, day.month, day.day, 9))
        self.begun_pct = begun_pct
        self.minutes = np.arange(0, DAYS * 1440)
        days = self.minutes / 1440
        hot = ([0, 1, 8, 16, 26, 26.4, 27.6, 28, DAYS], [60, 100, 110, 118, 118, 152, 152, 110, 80])
        self.temp_f = np.round(np.interp(days, *hot) + np.sin(self.minutes / 45), 1)
        self.rh_pct = np.interp(days, [0, 1, 8, 16, 22, 23, 26, 27, DAYS], [70, 72, 55, 35, 30, 36, 36, 22, 45])

    def at(self, days):
        return self.start + timedelta(days=days)

    def mean_pct(self, day):
        return float(np.interp(day, [0, 12, 18, 24], [self.begun_pct, 10.0, 7.25, 6.8]))

    def file(self):
        """The sensor's own file, a row a minute, in °C as many loggers write."""
        begun = self.start.astimezone(UTC)
        celsius = np.round((self.temp_f - 32) / 1.8, 2)
        rows = zip(self.minutes.tolist(), celsius.tolist(), self.rh_pct.tolist(), strict=True)
        lines = [f"{begun + timedelta(minutes=n):%Y-%m-%dT%H:%M:%SZ},{temp:.2f},{rh:.1f}" for n, temp, rh in rows]
        return "\n".join(["time,temperature °C,humidity %", *lines]).encode()


@pytest.fixture
def demo(transactional_db, settings, tmp_path):
    if connection.vendor != "sqlite":
        pytest.skip("the services are tested on both databases; the way through the pages once, on SQLite")
    settings.MEDIA_ROOT = tmp_path
    build()
    import_module(apps.get_app_config("kilns").demo).build()
    return Person.objects.get(username="marit")


@pytest.fixture
def month(demo):
    """The month before, in which the story's own weighings of this stack are left out."""
    with timezone.override("America/Chicago"):
        cohort = Cohort.objects.select_related("estimate").get(stack__tag=STACK)
        begun = timezone.localdate() - timedelta(days=DAYS + 1)
        month = Month(max(11.0, cohort.estimate.mean_on(begun)))
        for weighing in Weighing.objects.standing().filter(sample__cohort=cohort, made_at__gte=month.start):
            weighing_void(weighing=weighing, reason="it stood in the kiln then", by=demo)
        for sample in Sample.objects.filter(cohort=cohort):
            sample.retired_at = timezone.now()
            sample.save()
        yield month


def typed(at):
    return timezone.localtime(at).strftime("%Y-%m-%dT%H:%M")


def headed(page, words):
    """The page with this heading has come."""
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def a_new_kiln(page, month):
    page.goto("/kilns/new/")
    page.get_by_label("Name").fill("Barn kiln")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_text("Barn kiln is added.")).to_be_visible()
    page.goto("/sensors/new/")
    page.get_by_label("Name").fill("Barn kiln air")
    page.get_by_role("button", name="Add it").click()
    headed(page, "Barn kiln air")
    return Kiln.objects.get(name="Barn kiln"), Sensor.objects.get(name="Barn kiln air")


def put_the_sensor_in(page, kiln, sensor, month):
    """On the kiln's own page; it has stood there since the day before the run."""
    page.goto(f"/kilns/{kiln.pk}/")
    page.get_by_role("link", name="Sensors", exact=True).last.click()
    headed(page, "Sensors")
    form = page.locator("main form.card")
    form.get_by_label("Sensor", exact=True).select_option(label="Barn kiln air")
    form.get_by_label("Where it stands").select_option("air_in")
    form.get_by_label(re.compile("^Since")).fill(typed(month.at(-1)))
    form.get_by_role("button", name="Put it in").click()
    expect(page.locator("main table").get_by_role("link", name="Barn kiln air")).to_be_visible()
    assert KilnSensor.objects.get(kiln=kiln, sensor=sensor).since == month.at(-1)


def plan_it(page, kiln, month):
    stack = Stack.objects.get(tag=STACK)
    page.goto(f"/kilns/{kiln.pk}/charge/")
    page.locator(f"#stack-{stack.pk}").check()
    page.get_by_label("Start").fill(f"{timezone.localdate(month.start)}")
    page.get_by_label("Name of the run").fill("Cherry boards")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name="ST-6: what it would take")).to_be_visible(timeout=60_000)
    expect(page.locator(".figure-range", has_text="eight times in ten")).to_be_visible()
    look_over(page, "charge worked out")
    page.get_by_role("button", name="Plan this run").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Cherry boards")
    return Run.objects.get(name="Cherry boards")


def load_it(page, run, month):
    page.get_by_label(re.compile("^The kiln's meter shows")).fill("1000")
    page.locator("#start").get_by_label("When").fill(typed(month.start))
    page.get_by_role("button", name="Start the run").click()
    expect(page.get_by_text(re.compile("has begun"))).to_be_visible()
    assert Stack.objects.get(tag=STACK).bay == run.kiln.bay


def read_a_month(page, sensor, month):
    page.goto(f"/sensors/{sensor.pk}/read/")
    page.set_input_files("input[type=file]", {"name": "barn.csv", "mimeType": "text/csv", "buffer": month.file()})
    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("button", name=re.compile("Look at what it gives|Keep")).first.click(timeout=60_000)
    keep = page.get_by_role("button", name=re.compile("^Keep"))
    if keep.count():
        keep.click(timeout=60_000)
    expect(page.get_by_role("heading", level=1)).to_have_text("Barn kiln air", timeout=60_000)
    assert Reading.objects.filter(sensor=sensor).count() == DAYS * 1440


def name_the_samples(page, run, month):
    """Three samples, each with a section cut beside it when the run begins, so that its own weight tells its MC."""
    page.goto(f"/kilns/runs/{run.pk}/")
    for name, share in SAMPLES:
        content = share * month.mean_pct(0)
        page.get_by_role("link", name="Name a sample").click()
        headed(page, "Name a sample")
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_role("button", name="Name it, then weigh it").click()
        headed(page, f"Sample {name}")
        page.get_by_role("link", name="Oven section").click()
        page.get_by_label("Section, wet").fill(f"{10 * (100 + content):.1f}")
        page.get_by_label("Section, oven-dry").fill("1000")
        page.get_by_label(re.compile("^Cut on")).fill(typed(month.at(0.1)))
        page.get_by_label(re.compile("^What is left of the sample weighs")).fill(of_its_mc(content))
        page.get_by_role("button", name="Save", exact=True).click()
        headed(page, "Kept")
        back_to_the_run(page, run)
    assert OvenSection.objects.filter(sample__name__in=dict(SAMPLES), sample_weight_lb__gt=OVEN_DRY_LB).count() == 3


def of_its_mc(content):
    """What a sample shows on the scale."""
    return f"{OVEN_DRY_LB * (1 + content / 100):.3f}"


def back_to_the_run(page, run):
    page.get_by_role("link", name=f"Back to the run {run.name}").click()
    headed(page, run.name)


def weigh_them(page, run, month, day):
    """From the run's page to the weigh screen of the first, and from what it changed to the next."""
    for name, share in SAMPLES:
        page.get_by_role("link", name=re.compile(f"^{name}( Due)?$")).first.click()
        headed(page, f"Sample {name}")
        page.get_by_label("Weight", exact=True).fill(of_its_mc(share * month.mean_pct(day)))
        page.get_by_text("Another time, a note").click()
        page.get_by_label(re.compile("^At another time")).fill(typed(month.at(day)))
        page.get_by_role("button", name="Save", exact=True).click()
        headed(page, "Kept")
    back_to_the_run(page, run)


def go_on(page, run, at):
    """Take what the page of the run calls for, as it is filled in."""
    form = page.locator("#go-on")
    form.get_by_label("When").fill(typed(at))
    form.get_by_role("button", name="It began").click()
    expect(page.get_by_text(re.compile("Written down: "))).to_be_visible()
    run.refresh_from_db()


def dry_it(page, run, month):
    phases = []
    go_on(page, run, month.at(0.9))
    for day in WEIGHED_ON:
        weigh_them(page, run, month, day)
        if page.get_by_text("Due now").count():
            go_on(page, run, month.at(day + 0.02))
        phases.append((run.phase, run.step))
    return phases


def set_phase(page, run, phase, at):
    page.goto(f"/kilns/runs/{run.pk}/")
    form = page.locator("#go-on")
    form.get_by_label("Phase").select_option(phase)
    form.get_by_label("When").fill(typed(at))
    form.get_by_role("button", name="It began").click()
    expect(page.get_by_text(re.compile("Written down: "))).to_be_visible()
    run.refresh_from_db()


def prove_the_heat(page, run, month):
    page.goto(f"/kilns/runs/{run.pk}/heat/")
    page.get_by_label("Until").fill(typed(month.at(28)))
    page.get_by_role("button", name="Look").click()
    expect(page.get_by_role("heading", name="By the model on the measured air")).to_be_visible(timeout=60_000)
    expect(page.locator(".notice.good")).to_contain_text("Proved")
    look_over(page, "heat proved")
    page.get_by_role("button", name="Keep the record of the model").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Record of heat treatment", timeout=60_000)
    expect(page.get_by_text("Not a certificate")).to_be_visible()


def close_it(page, run, month):
    page.goto(f"/kilns/runs/{run.pk}/final/")
    for place, content in enumerate(("7.2", "7.6", "7.9")):
        page.get_by_label(re.compile(", MC$|, MC optional$|, MC in")).nth(place).fill(content)
    page.get_by_label("When").fill(typed(month.at(30.5)))
    page.get_by_role("button", name="Write them down").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Close Cherry boards")
    page.get_by_label(re.compile("^The meter shows")).fill("1420")
    page.get_by_label("When").fill(typed(month.at(30.6)))
    page.get_by_role("button", name="Close the run").click()
    expect(page.get_by_role("heading", name="What it gave")).to_be_visible(timeout=60_000)


def test_a_run_goes_from_plan_to_slabs_that_are_for_sale(open_page, demo, month):
    page = open_page(DESK, person=demo)
    page.context.set_default_timeout(30_000)
    cohort = Cohort.objects.get(stack__tag=STACK)
    following = Cohort(pk=0, species_key=cohort.species_key, thickness_in=cohort.thickness_in)
    before = prior_for(following)
    kiln, sensor = a_new_kiln(page, month)
    put_the_sensor_in(page, kiln, sensor, month)
    run = plan_it(page, kiln, month)
    load_it(page, run, month)
    read_a_month(page, sensor, month)
    name_the_samples(page, run, month)
    phases = dry_it(page, run, month)
    weights = Weighing.objects.standing().filter(sample__cohort=cohort, sample__name__in=dict(SAMPLES))
    assert weights.count() == len(SAMPLES) * (1 + len(WEIGHED_ON))  # the first when its section was cut
    assert phases[-2][0] == "equalise"
    assert phases[-1][0] == "condition"
    assert len({step for phase, step in phases if phase == "drying"}) >= 2  # the samples have changed the step
    look_over(page, "run while it conditions")
    page.get_by_text("Prong test", exact=True).click()
    page.get_by_label(re.compile("^Prongs bend inward")).fill("1/16")
    page.get_by_role("button", name="Write the test down").click()
    expect(page.get_by_text(re.compile("free of stress")).first).to_be_visible()
    set_phase(page, run, "sanitise", month.at(26))
    set_phase(page, run, "cool", month.at(28))
    prove_the_heat(page, run, month)
    close_it(page, run, month)
    # the kiln's own up to the hour of its closing, and the yard's outdoor ones
    behind = re.search(
        r"(\d+) readings stand behind them", page.locator("#run-chart + script + figcaption").inner_text()
    )
    assert int(behind[1]) > 30.6 * 1440
    look_over(page, "run closed")
    treatment = Treatment.objects.get(run=run)
    assert (treatment.proved_by, treatment.lowest_core_f >= 133.0) == ("model", True)
    slabs = Slab.objects.filter(memberships__cohort=cohort).distinct()
    assert {slab.state for slab in slabs} == {"dry"}
    assert all(0.85 < slab.net_bf / slab.green_bf < 0.99 for slab in slabs)
    after = prior_for(following)
    assert after.ln_d.sd < before.ln_d.sd
    assert after.ln_d.mean != before.ln_d.mean
    expect(page.get_by_text("The next black cherry of")).to_be_visible()
    page.goto(f"/slabs/?q={slabs[0].tag}")
    expect(page.get_by_text(slabs[0].tag).first).to_be_visible()
    expect(page.get_by_text("Dry").first).to_be_visible()


def a_photo_in_two_taps(page, run):
    """The camera opens from the top of the page; the picture's button comes under the thumb, far down as it stands."""
    page.goto(f"/kilns/runs/{run.pk}/")
    with page.expect_file_chooser() as chosen:
        page.locator("label.button", has_text="Take a photo").tap()
    chosen.value.set_files({"name": "taken.jpg", "mimeType": "image/jpeg", "buffer": face_grain("ash-white", 1).read()})
    add = page.get_by_role("button", name="Add", exact=True)
    expect(add).to_be_in_viewport()
    add.tap()
    expect(page.get_by_alt_text(f"Photo of run {run.name}, 1 of 1")).to_be_visible()
    assert RunPhoto.objects.filter(run=run).count() == 1


@pytest.mark.looks
def test_runs_of_the_demo_fit_a_phone_and_axe_finds_nothing(open_page, demo):
    page = open_page(PHONE, person=demo, has_touch=True)
    closed, running, planned = (Run.objects.get(state=state) for state in ("closed", "running", "planned"))
    for name, path in {
        "charge": f"/kilns/{running.kiln_id}/charge/", "runs": "/kilns/runs/",
        "run closed": f"/kilns/runs/{closed.pk}/",
        "run running": f"/kilns/runs/{running.pk}/", "run planned": f"/kilns/runs/{planned.pk}/",
        "heat": f"/kilns/runs/{running.pk}/heat/", "final": f"/kilns/runs/{running.pk}/final/",
        "close": f"/kilns/runs/{running.pk}/close/", "treatment": f"/kilns/treatments/{Treatment.objects.get().pk}/",
    }.items():  # fmt: skip
        page.goto(path)
        look_over(page, name)
        assert small_targets(page) == [], name
    a_photo_in_two_taps(page, running)
    page.goto(f"/kilns/runs/{closed.pk}/")
    expect(page.locator("#run-chart .main-svg").first).to_be_visible()
    assert page.locator("#run-chart .scatterlayer .trace").count() >= 9
    expect(page.locator("#progress-chart .main-svg").first).to_be_visible()
    shot(page, "run closed, charts")
