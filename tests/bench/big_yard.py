"""Fills a yard with made-up wood straight into the tables: any number of slabs, stacks and readings."""

import random
import uuid
from datetime import UTC, date, datetime, timedelta

from django.db.models import Max

from yard.models import (
    Bay,
    Cohort,
    Contact,
    Estimate,
    EstimateTarget,
    History,
    Log,
    Membership,
    Reading,
    Sample,
    Sensor,
    SensorDay,
    Slab,
    Stack,
    Stay,
    Weighing,
    Yard,
)
from yard.models.base import CODE_ALPHABET

BATCH = 5000
TODAY = date(2026, 6, 1)
SPECIES = ("oak-northern-red", "walnut-black", "maple-sugar", "cherry-black", "ash-white")
QUARTERS = (4, 5, 6, 8, 12)
SLABS_A_STACK = 15  # so that the young yard has loose and dry wood, too
STANDING_SHARE = 0.25  # of a long-lived yard's stacks; the others were taken down
PATH_DAYS = 400
PILE = 60  # logs that wait for the mill: as many as a page shows, so that both yards fill their pages


class BigYard:
    """Adds to a yard until it has the asked size; the same seed makes the same yard."""

    def __init__(self, seed: int = 1):
        self.dice = random.Random(seed)
        self.made = 0
        Yard.objects.update_or_create(
            pk=1,
            defaults={
                "name": "Bench yard",
                "lat_deg": 45.0,
                "lon_deg": -90.0,
                "elevation_ft": 1000.0,
                "time_zone": "UTC",
                "set_up_at": datetime(2024, 1, 1, tzinfo=UTC),
            },
        )
        self.bays = [
            Bay.objects.get_or_create(
                name=f"Row {n + 1}",
                defaults={"kind": "outdoors", "places": 1000, "map_x": n % 6 * 3, "map_y": n // 6 * 3},
            )[0]
            for n in range(12)
        ]
        self.owner = Contact.objects.get_or_create(name="Somebody's oak", defaults={"is_owner": True})[0]

    def grow(self, *, slabs: int, stacks: int, readings: int) -> None:
        """Grow the yard up to these counts."""
        self._grow_slabs(slabs - Slab.objects.count(), stacks - Stack.objects.count())
        self._grow_readings(readings - Reading.objects.count())

    def _code(self) -> str:
        """A label code of its own: a counter written in the label's alphabet."""
        self.made += 1
        number, letters = self.made, ""
        for _ in range(6):
            number, rest = divmod(number, len(CODE_ALPHABET))
            letters = CODE_ALPHABET[rest] + letters
        return letters

    def _key(self) -> uuid.UUID:
        return uuid.UUID(int=self.dice.getrandbits(128), version=4)

    def _grow_slabs(self, slabs: int, stacks: int) -> None:
        if not Log.objects.exists():
            self._logs(PILE, waiting=True)
        logs = self._logs(slabs // 8 + 1)
        pieces = [self._slab(n, logs[n // 8], n % 8 + 1) for n in range(slabs)]
        made = Slab.objects.bulk_create(pieces, batch_size=BATCH)
        History.objects.bulk_create(
            [History(table="slab", row_id=slab.pk, row_label=slab.tag, action="added") for slab in made],
            batch_size=BATCH,
        )
        self._stacks(made, stacks)

    def _logs(self, count: int, waiting: bool = False) -> list[Log]:
        start = (Log.objects.aggregate(top=Max("id"))["top"] or 0) + 1
        rows = []
        for n in range(count):
            arrived = TODAY - timedelta(days=self.dice.randrange(30, 1500))
            waits = waiting or n % 40 == 0
            rows.append(
                Log(
                    code=self._code(),
                    tag=f"L{start + n:05d}",
                    species_key=self.dice.choice(SPECIES),
                    arrived_on=arrived,
                    small_end_in=self.dice.uniform(12, 30),
                    large_end_in=32,
                    length_ft=10,
                    rule="international",
                    doyle_bf=100,
                    scribner_bf=110,
                    international_bf=120,
                    cubic_ft3=20,
                    state="in_yard" if waits else "sawn",
                    sawn_on=None if waits else arrived + timedelta(days=20),
                    owner=self.owner if n % 30 == 0 else None,
                )
            )
        return Log.objects.bulk_create(rows, batch_size=BATCH)

    def _slab(self, n: int, log: Log, position: int) -> Slab:
        dice = self.dice
        quarters = dice.choice(QUARTERS)
        widths = [round(dice.uniform(8, 30), 1) for _ in range(5)]
        length = dice.choice((72.0, 96.0, 108.0, 120.0, 144.0))
        width = sum(widths) / 5
        return Slab(
            code=self._code(), client_key=self._key(), tag=f"{log.tag}-{position}-{n}", log=log, owner=log.owner,
            position=position, species_key=log.species_key,
            quarters=quarters, thickness_in=quarters / 4 + 0.125, widths_in=widths, length_in=length,
            mean_width_in=width, narrowest_in=min(widths), area_in2=width * length,
            green_bf=width * length * quarters / 4 / 144,
            sawn_on=TODAY - timedelta(days=dice.randrange(20, 1400)),
            state=dice.choice(("sawn", "dry", "dry", "sold", "sold", "sold")),
            grade=dice.choice(("FAS", "1C", "2C", "")),
            figure="curl" if n % 50 == 0 else "", matched_set=f"M{n // 100}" if n % 100 < 2 else "",
        )  # fmt: skip

    def _stacks(self, slabs: list[Slab], count: int) -> None:
        start = (Stack.objects.aggregate(top=Max("id"))["top"] or 0) + 1
        young = start == 1  # a yard that begins has taken no stack down yet
        rows = []
        for n in range(count):
            standing = young or self.dice.random() < STANDING_SHARE
            built = TODAY - timedelta(days=self.dice.randrange(30, 400 if standing else 1400))
            rows.append(
                Stack(
                    code=self._code(),
                    tag=f"S{start + n:04d}",
                    built_on=built,
                    bay=self.dice.choice(self.bays) if standing else None,
                    taken_down_at=None
                    if standing
                    else datetime.combine(built, datetime.min.time(), UTC) + timedelta(days=200),
                )
            )
        stacks = Stack.objects.bulk_create(rows, batch_size=BATCH)
        Stay.objects.bulk_create(
            [
                Stay(
                    stack=stack,
                    bay=stack.bay or self.bays[0],
                    since=_morning(stack.built_on),
                    until=stack.taken_down_at,
                )
                for stack in stacks
            ],
            batch_size=BATCH,
        )
        self._fill(stacks, slabs)

    def _fill(self, stacks: list[Stack], slabs: list[Slab]) -> None:
        cohorts = Cohort.objects.bulk_create(
            [
                Cohort(
                    stack=stack,
                    species_key=self.dice.choice(SPECIES),
                    thickness_in=2.125,
                    started_on=stack.built_on,
                    joined_at=_morning(stack.built_on),
                    left_at=stack.taken_down_at,
                )
                for stack in stacks
            ],
            batch_size=BATCH,
        )
        members, at_home = [], []
        for n, slab in enumerate(slabs[: len(stacks) * SLABS_A_STACK]):
            cohort = cohorts[n // SLABS_A_STACK]
            stack = stacks[n // SLABS_A_STACK]
            members.append(
                Membership(
                    slab=slab,
                    stack=stack,
                    cohort=cohort,
                    course=n % 10 + 1,
                    since=_morning(stack.built_on),
                    until=stack.taken_down_at,
                )
            )
            slab.cohort = cohort
            if stack.taken_down_at is None:
                slab.stack, slab.state = stack, "stacked"
            at_home.append(slab)
        Membership.objects.bulk_create(members, batch_size=BATCH)
        Slab.objects.bulk_update(at_home, ["stack", "cohort", "state"], batch_size=500)
        self._observe(cohorts)

    def _observe(self, cohorts: list[Cohort]) -> None:
        samples = Sample.objects.bulk_create(
            [Sample(code=self._code(), name=f"{cohort.stack.tag} A", cohort=cohort) for cohort in cohorts],
            batch_size=BATCH,
        )
        Weighing.objects.bulk_create(
            [
                Weighing(
                    client_key=self._key(),
                    sample=sample,
                    weight_lb=40 - 2 * week,
                    made_at=sample.cohort.joined_at + timedelta(weeks=week),
                    received_at=sample.cohort.joined_at,
                )
                for sample in samples
                for week in range(6)
            ],
            batch_size=BATCH,
        )
        self._estimate(cohorts)

    def _estimate(self, cohorts: list[Cohort]) -> None:
        estimates = Estimate.objects.bulk_create([self._an_estimate(cohort) for cohort in cohorts], batch_size=500)
        EstimateTarget.objects.bulk_create(
            [
                EstimateTarget(
                    estimate=estimate,
                    target_mc_pct=target,
                    is_own=target == 20.0,
                    reached_now=0.3,
                    low_on=TODAY + timedelta(days=10),
                    mid_on=TODAY + timedelta(days=self.dice.randrange(0, 300)),
                    high_on=TODAY + timedelta(days=320),
                )
                for estimate in estimates
                for target in (25.0, 20.0, 12.0)
            ],
            batch_size=BATCH,
        )
        for cohort, estimate in zip(cohorts, estimates, strict=True):
            cohort.estimate = estimate
        Cohort.objects.bulk_update(cohorts, ["estimate"], batch_size=500)

    def _an_estimate(self, cohort: Cohort) -> Estimate:
        mean = self.dice.uniform(12, 60)
        column = [round(80 - 60 * day / PATH_DAYS, 1) for day in range(PATH_DAYS)]
        return Estimate(
            cohort=cohort, as_of=TODAY, computed_at=datetime(2026, 6, 1, tzinfo=UTC), mean_pct=mean,
            mean_low_pct=mean - 3, mean_high_pct=mean + 3, shell_pct=mean - 4, core_pct=mean + 4,
            core_low_pct=mean + 1, core_high_pct=mean + 8, rate_pct_day=0.3, safe_rate_pct_day=1.5,
            path=_path(cohort, column) if cohort.left_at is None else {},
        )  # fmt: skip

    def _grow_readings(self, count: int) -> None:
        sensor, _new = Sensor.objects.get_or_create(name="Outdoors", defaults={"is_outdoor": True})
        newest = sensor.readings.order_by("-at").values_list("at", flat=True).first()
        start = (newest or datetime(2022, 1, 1, tzinfo=UTC)) + timedelta(minutes=1)
        for first in range(0, max(count, 0), BATCH):
            Reading.objects.bulk_create(
                Reading(sensor=sensor, at=start + timedelta(minutes=n), temp_f=50.0, rh_pct=60.0)
                for n in range(first, min(first + BATCH, count))
            )
        days = {(start + timedelta(minutes=n)).date() for n in range(0, max(count, 0), 720)}
        SensorDay.objects.bulk_create(
            [
                SensorDay(sensor=sensor, day=day, temp_f=50.0, rh_pct=60.0, readings=1440, hours=24)
                for day in sorted(days)
            ],
            ignore_conflicts=True,
        )


def _morning(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 8, tzinfo=UTC)


def _path(cohort: Cohort, column: list[float]) -> dict:
    return {
        "first": str(cohort.started_on), "low": column, "mid": column, "high": column, "emc": column,
        "frozen": [0] * len(column),
    }  # fmt: skip
