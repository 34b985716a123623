"""The workings of a charge and a run: days by the model, the heat bill, the deciding samples, the water caught."""

from kilns.models import Run
from kilns.physics.charge_days import FAN_FACTOR
from kilns.physics.charge_energy import ChargeEnergy
from kilns.physics.dehumidifier import mc_at_most_pct
from kilns.physics.load_heat import Load
from kilns.physics.schedules import Schedule
from kilns.physics.working_air import working_mc_at_most
from kilns.physics.working_schedules import working_controlling_mc
from kilns.services.charge_stacks import WoodOfStack
from kilns.services.run_samples import RunSamples
from kilns.services.sheet_figure import Figure, figure
from yard.services.estimate_working import MODEL
from yard.wood.sources import source
from yard.wood.working import Input, Working


def working_days(
    wood: WoodOfStack, schedule: Schedule, target_pct: float, days: float, low: float, high: float, d20_m2_s: float
) -> Working:
    """Open up the days of drying: the model's equation, what went into it, and where its spread comes from."""
    steps = "; ".join(f"from {step.mc_from_pct:g}% MC {step.dry_bulb_f:.0f} °F, EMC {step.emc_pct:.1f}%"
                      for step in schedule.steps)  # fmt: skip
    inputs = (
        Input("moisture content now", round(wood.mc_pct, 1), "%"), Input("to reach", target_pct, "%"),
        Input("thickness", round(wood.thickness_in, 3), "in"),
        Input("D20 as this yard's weighings have it", f"{d20_m2_s:.2e}", "m²/s"),
        Input("times the surface coefficient that fans give", FAN_FACTOR), Input("air by step", steps),
        Input("fast and slow wood, eight times in ten", f"{low:.1f} and {high:.1f}", "days"),
    )  # fmt: skip
    told = source("SIMPSON-1993")
    notes = ("The air is kept moister on days on which the wood would lose more than its safe rate.",)
    return Working(
        "Days of drying", MODEL, inputs, round(days, 1), "days", told.key, told.text, told.provenance,
        "charge_days", notes,
    )  # fmt: skip


def working_energy(energy: ChargeEnergy) -> Working:
    """Open up the bill of a charge, part by part: all heat needed, what gives it, what is bought."""
    bill = energy.bill
    parts = {
        "through walls and glazing": bill.walls, "leaking air": bill.leaks, "vented air": bill.vents,
        "warming load and kiln": bill.warming, "driving the water out": bill.evaporation,
        "given by fans": -bill.from_fans, "given by the dehumidifier's current": -bill.from_dehumidifier,
        "given back by condensing": -bill.from_condensing, "given by the sun": -bill.from_sun,
        "bought for heaters": bill.heaters, "bought for fans": bill.fans,
        "bought for the dehumidifier": bill.dehumidifier,
    }  # fmt: skip
    told = source("ASHRAE-HOF")
    times = (
        f"All heat needed is {bill.times_evaporation:.1f} times that of evaporation; 1.5 to 4 is usual (AH-188, read)"
    )
    return Working(
        "Current of the charge", "heaters + fans + dehumidifier; heaters = all heat needed − what the rest gives",
        tuple(Input(name, round(kwh, 1), "kWh") for name, kwh in parts.items()), round(bill.bought_kwh, 1), "kWh",
        told.key, told.text, told.provenance, "charge_energy", (times, *energy.reasons),
    )  # fmt: skip


def controlling_working(samples: RunSamples) -> Working | None:
    """Open up the mean of the wetter half; None without samples."""
    contents = [round(one, 1) for one in samples.contents_pct]
    return working_controlling_mc(contents) if contents else None


def water_says(run: Run, water_lb: float) -> Figure:
    """The most that the load's mean moisture can be, from the water caught; a refusal where nothing can be said."""
    plan = run.plan
    if not water_lb:
        return Figure(refusal="Weigh the water that is caught: it tells how wet the load is at most.")
    if not plan.get("footage_bf"):
        return Figure(refusal="Without a plan the load's dry weight is not known.")
    load = Load(plan["species_key"], plan["footage_bf"], plan["thickness_in"], plan["start_mc_pct"])
    return figure(lambda: mc_at_most_pct(load, water_lb), lambda: working_mc_at_most(load, water_lb))
