"""Logs and slabs of the story, put in through the yard's own services."""

import uuid
from decimal import Decimal

import numpy as np

from yard.demo.clock import Clock, happened
from yard.demo.pictures import end_grain, face_grain
from yard.demo.story import LogTold
from yard.models import Contact, Log, LogRule, Person, Slab
from yard.services.logs import log_add, log_finish_sawing, log_start_sawing
from yard.services.photos import photo_add
from yard.services.slabs import slab_add

KERF_IN = 0.15
STATIONS = 5
LOT_WIDTHS_IN = ((6.0, 12), (7.0, 9), (8.0, 14), (10.0, 6))
WITH_PICTURE = frozenset("ACEGJMQ")


def write_log(told: LogTold, number: int, clock: Clock, by: Person) -> Log:
    """Take in a log and saw it, if the story says so."""
    moment = clock.at(told.arrived, 14)
    with happened(moment):
        log = log_add(
            by=by, tag="", rule=LogRule.INTERNATIONAL, species_key=told.species_key,
            small_end_in=float(told.small_in), large_end_in=float(told.large_in), length_ft=told.length_ft,
            arrived_on=clock.day(told.arrived), felled_on=clock.day(told.arrived + 12),
            supplier=Contact.objects.filter(name=told.supplier).first(),
            owner=Contact.objects.filter(name=told.owner).first(),
            where_from="Fence line past the mill pond" if number % 3 == 0 else "",
            cost=Decimal(told.cost) if told.cost else None, note=told.note, defect_pct=told.defect_pct,
            ends_sealed_on=clock.day(told.arrived) if told.sealed else None, kerf_in=KERF_IN,
        )  # fmt: skip
        if told.name in WITH_PICTURE:
            photo_add(thing=log, upload=end_grain(told.species_key, number), by=by, caption="Butt end")
    if told.sawn is not None:
        with happened(clock.at(told.sawn, 11)):
            _saw(told, log, number, clock, by)
    return log


def _saw(told: LogTold, log: Log, number: int, clock: Clock, by: Person) -> None:
    log_start_sawing(by=by, log=log)
    for fields in _lot(told) if told.kind == "lot" else _slabs(told, number):
        slab = slab_add(by=by, log=log, client_key=uuid.UUID(int=number * 1000 + fields.pop("n")),
                        sawn_on=clock.day(told.sawn or 0), **fields)  # fmt: skip
        if slab.figure and slab.position in (2, 3) and told.name in WITH_PICTURE:
            photo_add(
                thing=slab, upload=face_grain(told.species_key, number + (slab.position or 0)), by=by, caption="Face"
            )
    if told.sawn:
        log_finish_sawing(by=by, log=log, on=clock.day(told.sawn))


def _slabs(told: LogTold, number: int):
    """Through-and-through: chords of the log at each cut, narrower ends where the taper runs out."""
    dice = np.random.default_rng(number)
    step = told.thickness_in + KERF_IN
    radii = np.linspace(told.small_in, told.large_in, STATIONS) / 2
    for n in range(told.slabs):
        off = (n - (told.slabs - 1) / 2) * step
        chord = 2 * np.sqrt(np.clip(radii**2 - (abs(off) + told.thickness_in / 2) ** 2, 4.0, None))
        widths = [round(float(width) * 4) / 4 for width in chord - 0.5 + dice.normal(0, 0.35, STATIONS)]
        middle = told.slabs // 2 - 1 <= n <= told.slabs // 2
        yield {
            "n": n, "kind": told.kind, "thickness_in": told.thickness_in, "length_in": told.length_ft * 12,
            "widths_in": [max(4.0, width) for width in widths], "has_pith": middle,
            "has_knots": bool(dice.random() < 0.4),
            "figure": told.figure if told.figure and n % 2 else "",
            "matched_set": f"{told.name}-pair" if told.figure and n in (1, 2) else "",
            "grade": ("FAS", "1C", "2C")[int(dice.integers(0, 3))] if told.thickness_in < 1.5 else "",
        }  # fmt: skip


def _lot(told: LogTold):
    length_in = told.length_ft * 12
    tally = [{"width_in": width, "length_in": length_in, "count": count} for width, count in LOT_WIDTHS_IN]
    yield {"n": 0, "kind": "lot", "thickness_in": told.thickness_in, "length_in": length_in, "tally": tally,
           "widths_in": [], "width_basis": "edged"}  # fmt: skip


def price_some(by: Person) -> None:
    """Prices of their own for a few good pieces (invented)."""
    from yard.services.slabs import slab_change

    for slab in Slab.objects.filter(figure__gt="", net_bf__isnull=False)[:6]:
        slab_change(by=by, slab=slab, version=slab.version, price=Decimal(round((slab.net_bf or 0) * 16)))
