"""Builds the invented yard into an empty database."""

import random
from datetime import timedelta

from django.db.models import F
from django.utils import timezone

from yard.demo.clock import Clock, happened
from yard.demo.stacks import Yardful, observe, write_stack
from yard.demo.story import BAYS, CONTACTS, LOGS, PASSWORD, PEOPLE, PLACE, STACKS
from yard.demo.weather import FIRST_DAY, write_kiln_air, write_weather
from yard.demo.wood import price_some, write_log
from yard.models import (
    Bay,
    Cohort,
    Log,
    MeterReading,
    OvenSection,
    Person,
    Sample,
    Slab,
    Stack,
    Weighing,
    Yard,
)
from yard.models.base import CODE_ALPHABET, CODE_LENGTH
from yard.services.bays import bay_add
from yard.services.cohort_air import AirBook
from yard.services.contacts import contact_add
from yard.services.estimates import estimates_refresh
from yard.services.yard_settings import yard_set_up

KILN_RUNS = [(395, 366), (150, 92), (6, 0)]


def build() -> None:
    """Fill the yard: people, places, weather, wood, observations, estimates."""
    with timezone.override(PLACE["time_zone"]):
        _build()


def _build() -> None:
    clock = Clock(timezone.localdate())
    people = {role: _person(*told) for *told, role in ((*person, person[3]) for person in PEOPLE)}
    owner, hand = people["owner"], people["hand"]
    with happened(clock.at(FIRST_DAY - 5)):
        yard = yard_set_up(by=owner, bays=[], **PLACE)
        for name, kind, fields in BAYS:
            bay_add(by=owner, name=name, kind=kind, **fields)
        for name, what, note in CONTACTS:
            contact_add(by=owner, name=name, note=note, **{what: True})
    write_weather(yard, clock)
    write_kiln_air(Bay.objects.get(name="Sun kiln"), clock, KILN_RUNS)
    logs = {told.name: write_log(told, number, clock, owner) for number, told in enumerate(LOGS, 1)}
    here = Yardful(yard, clock, owner, hand, logs)
    stacks = [write_stack(told, number, here) for number, told in enumerate(STACKS, 1)]
    book = AirBook(yard=yard, first=clock.day(FIRST_DAY), today=clock.today)
    for number, (told, stack) in enumerate(zip(STACKS, stacks, strict=True), 1):
        observe(told, number, stack, here, book)
    price_some(owner)
    _settle(clock)
    _estimate()


def _person(username: str, first: str, last: str, role: str) -> Person:
    return Person.objects.create_user(username, password=PASSWORD, role=role, first_name=first, last_name=last)


def _estimate() -> None:
    """First what is finished, since it teaches the rest."""
    finished = Cohort.objects.filter(left_at__isnull=False).values_list("pk", flat=True)
    standing = Cohort.objects.filter(left_at__isnull=True).values_list("pk", flat=True)
    for ids in (list(finished), list(standing)):
        estimates_refresh(cohort_ids=ids, because="the demo was built")


def _settle(clock: Clock) -> None:
    """Records were received when they were made, and label codes are the same every time."""
    for model in (Weighing, MeterReading, OvenSection):
        model.objects.update(received_at=F("made_at") + timedelta(seconds=20))
    dice = random.Random(7)
    taken: set[str] = set()
    for model in (Log, Slab, Stack, Bay, Sample):
        rows = list(model.objects.order_by("pk"))
        for row in rows:
            row.code = _code(dice, taken)
        model.objects.bulk_update(rows, ["code"], batch_size=500)
    Yard.objects.update(set_up_at=clock.at(FIRST_DAY - 5))


def _code(dice: random.Random, taken: set[str]) -> str:
    while True:
        code = "".join(dice.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))
        if code not in taken:
            taken.add(code)
            return code
