"""Things to test with: `make_person("hand")`, `make_yard()` and friends; each takes what a test cares about."""

from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from itertools import count

from django.utils import timezone

from yard.models import Bay, Estimate, EstimateTarget, Invite, Person, Sensor, Yard
from yard.services.slabs import slab_add
from yard.services.stacks import stack_build

PASSWORD = "a long enough one"
YARD_DAY = date(2026, 3, 2)
ARRIVED_ON = date(2025, 2, 3)
SAWN_ON = date(2025, 3, 3)
BUILT_AT = datetime(2025, 3, 10, 15, tzinfo=UTC)
_number = count(1)


def make_yard(**fields):
    """The yard, set up near Madison."""
    chosen = {
        "name": "Test yard", "lat_deg": 43.07, "lon_deg": -89.4, "place_label": "Madison, WI",
        "city_key": "WI-Madison", "elevation_ft": 860.0, "time_zone": "America/Chicago",
        "set_up_at": timezone.now(),
    }  # fmt: skip
    yard = Yard.objects.first() or Yard()
    for name, value in (chosen | fields).items():
        setattr(yard, name, value)
    yard.save()
    return yard


def make_person(role="owner", username=None, **fields):
    """Somebody who logs in with PASSWORD."""
    username = username or f"{role}{next(_number)}"
    return Person.objects.create_user(username, password=PASSWORD, role=role, **fields)


def make_invite(role="hand", token="token", **fields):
    """A one-time link that is still open."""
    chosen = {"expires_at": timezone.now() + timedelta(days=7), "token_hash": sha256(token.encode()).hexdigest()}
    return Invite.objects.create(role=role, **(chosen | fields))


def make_bay(name=None, kind="outdoors", **fields):
    """A bay in the yard's weather with room for five stacks."""
    chosen = {"places": 5} | fields
    return Bay.objects.create(name=name or f"Row {next(_number)}", kind=kind, **chosen)


def make_sensor(name="Sensor", **fields):
    """A sensor of air temperature and humidity."""
    return Sensor.objects.create(name=name, **fields)


def make_log(tag="", species_key="oak-northern-red", **fields):
    """A log 16 in at the small end, 20 at the large, 8 ft 6 in long, by the International rule."""
    from yard.services.logs import log_add

    sizes = {"small_end_in": 16.0, "large_end_in": 20.0, "length_ft": 8.5, "rule": "international"}
    chosen = {"arrived_on": ARRIVED_ON} | sizes | fields
    return log_add(by=None, tag=tag or f"L-{next(_number)}", species_key=species_key, **chosen)


def make_slab(tag=None, log=None, **fields):
    """A live-edge slab of red oak, 8/4, 8 ft long, sawn on SAWN_ON, lying loose."""
    sizes = {"widths_in": [18.0, 16.5, 15.0, 16.0, 19.0], "length_in": 96.0, "thickness_in": 2.125, "quarters": 8}
    chosen = {"kind": "live_edge", "sawn_on": SAWN_ON} | sizes | fields
    if log is None:
        chosen.setdefault("species_key", "oak-northern-red")
    return slab_add(by=None, log=log, tag=tag or f"T-{next(_number)}", **chosen)


def make_stack(tag=None, slabs=4, bay=None, at=BUILT_AT, species="oak-northern-red", courses=None, **fields):
    """A stack of so many new slabs, or of those given, built at BUILT_AT; `fields` are the stack's."""
    if isinstance(slabs, int):
        slabs = [make_slab(species_key=species) for _ in range(slabs)]
    return stack_build(
        tag=tag or f"ST-T{next(_number)}", slabs=slabs, bay=bay or make_bay(), at=at, by=None, courses=courses, **fields
    )


def make_estimate(cohort, mean_pct=20.0, low_pct=None, high_pct=None, ready_on=None, reached_now=0.0, **fields):
    """A stored estimate of a cohort, as the model would leave it, with the date for the stack's own target."""
    low_pct, high_pct = low_pct or mean_pct - 2, high_pct or mean_pct + 2
    chosen = {
        "as_of": timezone.localdate(), "computed_at": timezone.now(), "mean_pct": mean_pct, "mean_low_pct": low_pct,
        "mean_high_pct": high_pct, "shell_pct": mean_pct - 4, "core_pct": mean_pct + 4, "core_low_pct": mean_pct + 1,
        "core_high_pct": mean_pct + 7,
    } | fields  # fmt: skip
    Estimate.objects.filter(cohort=cohort).update(is_current=False)
    estimate = Estimate.objects.create(cohort=cohort, **chosen)
    EstimateTarget.objects.create(
        estimate=estimate, target_mc_pct=20.0, is_own=True, reached_now=reached_now,
        low_on=ready_on, mid_on=ready_on, high_on=ready_on,
    )  # fmt: skip
    cohort.estimate, cohort.stale_since = estimate, None
    cohort.save(update_fields=["estimate", "stale_since"])
    return estimate
