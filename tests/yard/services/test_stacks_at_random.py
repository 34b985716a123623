"""A yard at random: builds, moves, restacks at any moment, some refused, and never two answers to one question."""

import random
from datetime import timedelta
from itertools import pairwise

import pytest
from django.core.exceptions import ValidationError
from django.db.models import F

from tests.make import BUILT_AT, make_bay, make_slab, make_yard
from yard.models import BayKind, Cohort, Membership, Slab, Stack
from yard.services.air_history import air_histories
from yard.services.placement_check import placement_faults
from yard.services.stacks import (
    stack_add_slabs,
    stack_build,
    stack_move,
    stack_restack,
    stack_take_down,
    stack_take_out,
)

STEPS = 50


class YardAtRandom:
    """Does random things to stacks, and keeps a plain diary of what was done to be compared with the tables."""

    def __init__(self, seed):
        self.dice = random.Random(seed)
        self.bays = [make_bay(f"{kind} {n}", kind) for kind in BayKind.values for n in range(2)]
        woods = ["oak-northern-red", "walnut-black"]
        self.slabs = [
            make_slab(species_key=self.dice.choice(woods), thickness_in=self.dice.choice([1.0, 2.125]))
            for _ in range(14)
        ]
        self.now, self.done, self.refused = BUILT_AT, 0, 0
        self.diary = {slab.pk: [] for slab in self.slabs}  # (moment, stack or None) as each thing was done

    def moment(self):
        """Mostly a little later than all before, now and then some days back."""
        self.now += timedelta(hours=self.dice.randrange(0, 400))
        return self.now - timedelta(days=self.dice.choice([0, 0, 0, 1, 9, 30]))

    def some_slabs(self, of=None):
        return self.dice.sample(of or self.slabs, self.dice.randint(1, min(5, len(of or self.slabs))))

    def some_stack(self):
        return self.dice.choice(list(Stack.objects.all()))

    def step(self, number):
        work = self.dice.choice(["build", "add", "out", "move", "move", "restack", "restack", "down"])
        if not Stack.objects.exists():
            work = "build"
        at = self.moment()
        try:
            touched, stack = getattr(self, work)(number, at)
        except ValidationError:
            self.refused += 1
            return
        self.done += 1
        for slab in touched:
            self.diary[slab.pk].append((at, stack))

    def build(self, number, at):
        slabs = self.some_slabs()
        return slabs, stack_build(tag=f"S{number}", slabs=slabs, bay=self.dice.choice(self.bays), at=at, by=None)

    def restack(self, number, at):
        slabs = self.some_slabs()
        return slabs, stack_restack(tag=f"S{number}", slabs=slabs, bay=self.dice.choice(self.bays), at=at, by=None)

    def add(self, number, at):
        stack, slabs = self.some_stack(), self.some_slabs()
        return slabs, stack_add_slabs(stack=stack, slabs=slabs, at=at, by=None)

    def out(self, number, at):
        stack = self.some_stack()
        slabs = self.some_slabs(list(Slab.objects.filter(stack=stack)) or self.slabs)
        stack_take_out(stack=stack, slabs=slabs, at=at, by=None)
        return slabs, None

    def move(self, number, at):
        stack_move(stack=self.some_stack(), bay=self.dice.choice(self.bays), at=at, by=None)
        return [], None

    def down(self, number, at):
        stack = self.some_stack()
        slabs = list(Slab.objects.filter(stack=stack))
        stack_take_down(stack=stack, at=at, by=None)
        return slabs, None

    def check(self):
        assert placement_faults() == []
        for slab in self.slabs:
            self.check_diary(slab)
        for spans in air_histories(Cohort.objects.all()).values():
            assert all(before.until == after.since for before, after in pairwise(spans))
            assert all(span.until is None or span.since < span.until for span in spans)
            assert spans[-1].until is None

    def check_diary(self, slab):
        """The memberships say at each moment what the diary says: in which stack the slab then was."""
        rows = list(Membership.objects.filter(slab=slab).exclude(since=F("until")).order_by("since"))
        for at, _stack in self.diary[slab.pk]:
            for moment in (at - timedelta(seconds=1), at):
                known = [stack for when, stack in self.diary[slab.pk] if when <= moment]
                there = [row.stack_id for row in rows if row.since <= moment and (not row.until or moment < row.until)]
                expected = [known[-1].pk] if known and known[-1] else []
                assert there == expected, f"{slab.tag} at {moment}"


@pytest.mark.parametrize("seed", range(5))
def test_after_any_sequence_the_tables_agree_with_each_other_and_with_a_plain_diary(db, seed):
    make_yard(time_zone="UTC")
    yard = YardAtRandom(seed)
    for number in range(STEPS):
        yard.step(number)
        assert placement_faults() == []
    yard.check()
    assert yard.done >= STEPS / 4
    assert yard.refused >= STEPS / 10


def test_the_check_itself_finds_each_kind_of_disagreement(db):
    make_yard(time_zone="UTC")
    yard = YardAtRandom(0)
    slabs = yard.slabs[:3]
    stack = stack_build(tag="S", slabs=slabs, bay=yard.bays[0], at=BUILT_AT, by=None)
    pk = slabs[0].pk
    broken = [
        (Slab, pk, {"stack": None}),
        (Slab, pk, {"cohort": None}),
        (Slab, pk, {"bay": yard.bays[0]}),
        (Slab, pk, {"state": "sawn"}),
        (Slab, pk, {"state": "sold"}),
        (Slab, pk, {"state": "dry"}),
        (Slab, yard.slabs[-1].pk, {"stack": stack}),
        (Slab, yard.slabs[-1].pk, {"state": "kiln"}),
        (Stack, stack.pk, {"bay": yard.bays[1]}),
        (Stack, stack.pk, {"bay": None}),
        (Stack, stack.pk, {"taken_down_at": BUILT_AT}),
        (Cohort, stack.cohorts.first().pk, {"left_at": BUILT_AT}),
    ]
    for model, row_id, change in broken:
        row = model.objects.filter(pk=row_id)
        before = row.values(*(f"{name}_id" if hasattr(model, f"{name}_id") else name for name in change)).get()
        row.update(**change)
        assert placement_faults(), f"{model.__name__} {change} was not found"
        row.update(**before)
        assert placement_faults() == []
