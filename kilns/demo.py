"""What the kilns add to the invented yard: the sheet of its sun kiln, two schedules, three runs and a hub."""

from kilns.demo_runs import runs_add
from kilns.models import Kiln
from kilns.physics.schedules import humid_step
from kilns.services.alarms import alarms_check_all
from kilns.services.example_build import example_build, example_fields
from kilns.services.kilns import kiln_add
from kilns.services.schedules import schedule_add, schedule_take_over
from yard.models import Bay, Person, Sensor, Yard
from yard.services.reading_tokens import reading_token_make

SUN_KILN = "Sun kiln"


def build() -> None:
    """Add the kilns' part to the demo yard that the yard has just built."""
    owner = Person.objects.filter(role="owner").order_by("pk").first()
    kiln = kiln_sheet_add(owner)
    schedules_add(owner)
    runs_add(kiln, owner)
    hub_add(kiln, owner)
    alarms_check_all()


def kiln_sheet_add(owner: Person | None) -> Kiln:
    """Give the demo's kiln bay its sheet: the example kiln, as if somebody had built it."""
    bay = Bay.objects.get(name=SUN_KILN)
    note = "Built of what was there; the heaters came in the second winter."
    fields = example_fields() | {"name": SUN_KILN, "energy_price": "0.16", "note": note}
    return kiln_add(by=owner, bay=bay, build=example_build(), **fields)


def hub_add(kiln: Kiln, owner: Person | None) -> None:
    """A hub sends for the kiln's sensors; nobody in the demo has its token."""
    sensors = Sensor.objects.filter(in_kilns__kiln=kiln, in_kilns__until__isnull=True).order_by("pk")
    reading_token_make(name="Hub in the kiln", sensors=sensors, by=owner)


def schedules_add(owner: Person | None) -> None:
    """Keep a published schedule, and write one of the yard's own."""
    elevation_ft = Yard.objects.get().elevation_ft
    schedule_take_over(
        by=owner, code="T3-D1", elevation_ft=elevation_ft, name="Red oak 8/4", species_key="oak-northern-red",
        thickness_in=2.0,
    )  # fmt: skip
    gentle = [(400.0, 90.0, 80.0), (30.0, 95.0, 65.0), (20.0, 105.0, 50.0), (15.0, 115.0, 38.0)]
    schedule_add(
        by=owner, name="Slow walnut slabs", species_key="walnut-black", thickness_in=2.0,
        note="Ours: gentle to the end, after the first load case-hardened.",
        steps=[humid_step(*step, elevation_ft) for step in gentle],
    )  # fmt: skip
