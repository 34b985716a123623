"""The demo yard: whole, consistent, the same every time, and honest about its hidden wood."""

import contextlib
import os
import sqlite3
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import override_settings

from yard.demo.build import build
from yard.demo.story import LOGS, PASSWORD
from yard.models import Cohort, Estimate, Log, Person, Photo, Slab, SlabState, Stack
from yard.services.placement_check import placement_faults

BUILT_ROWS = """
    SELECT tag, code, round(green_bf, 6), round(net_bf, 6), state FROM yard_slab ORDER BY id;
    SELECT tag, code, species_key, international_bf, arrived_on FROM yard_log ORDER BY id;
    SELECT sample_id, weight_lb, made_at, received_at FROM yard_weighing ORDER BY id;
    SELECT cohort_id, mean_pct, core_pct, as_of FROM yard_estimate ORDER BY id;
"""


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demo built once for all tests here, and taken back afterwards."""
    media = override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("media"))
    with django_db_blocker.unblock(), media, transaction.atomic():
        build()
        yield
        transaction.set_rollback(True)


def built_by_command(folder):
    """What `manage.py demo` leaves in a folder of its own."""
    environment = os.environ | {"SLABWRIGHT_DATA_DIR": str(folder)}
    done = subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve"], env=environment, capture_output=True, text=True,
        timeout=240, cwd=settings.BASE_DIR,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    with contextlib.closing(sqlite3.connect(folder / "slabwright.sqlite3")) as database:
        rows = [database.execute(query).fetchall() for query in BUILT_ROWS.split(";") if query.strip()]
    return rows, done.stdout


def test_the_demo_tells_the_whole_life_of_a_yard(demo):
    assert Person.objects.values_list("role", flat=True).distinct().count() == 3
    assert Log.objects.count() == len(LOGS)
    assert set(Log.objects.values_list("state", flat=True)) == {"in_yard", "on_mill", "sawn"}
    assert {"sawn", "stacked", "kiln", "dry"} <= set(Slab.objects.values_list("state", flat=True))
    assert Stack.objects.filter(taken_down_at__isnull=False).exists()
    assert Photo.objects.count() >= 8
    assert placement_faults() == []


def test_the_slip_of_the_pen_is_found_and_nothing_else_of_that_stack(demo):
    conflicts = Estimate.objects.get(cohort__stack__tag="ST-7", is_current=True).conflicts
    assert len(conflicts) == 1
    assert "heavier" in conflicts[0]["words"]


def test_dry_wood_has_a_net_tally_under_its_green_one(demo):
    dry = Slab.objects.filter(state=SlabState.DRY)
    assert dry.exists()
    assert all(0.85 * slab.green_bf < slab.net_bf < slab.green_bf for slab in dry)


def test_every_standing_cohort_has_an_estimate_of_today_and_is_not_stale(demo):
    standing = Cohort.objects.filter(left_at__isnull=True)
    assert standing.count() >= 8
    assert not standing.filter(estimate__isnull=True).exists()
    assert not standing.filter(stale_since__isnull=False).exists()


def test_the_command_builds_the_same_yard_every_time_and_prints_the_log_in(tmp_path):
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    first, printed = built_by_command(tmp_path / "one")
    second, _printed = built_by_command(tmp_path / "two")
    assert all(len(rows) > 10 for rows in first)
    assert first == second
    assert PASSWORD in printed
    assert "marit (owner)" in printed


def test_the_demo_command_refuses_a_real_yard(db):
    with pytest.raises(CommandError, match="by itself"):
        call_command("demo", no_serve=True)
