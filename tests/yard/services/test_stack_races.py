"""Two people stacking, moving and restacking the same wood at the same moment, with real threads."""

import threading
from datetime import timedelta

from django.core.exceptions import ValidationError
from django.db import connection
from django.test import TransactionTestCase

from tests.make import BUILT_AT, make_bay, make_slab, make_stack, make_yard
from yard.models import Bay, Slab, Stack, Stay
from yard.services.placement_check import placement_faults
from yard.services.stacks import (
    stack_add_slabs,
    stack_build,
    stack_move,
    stack_restack,
    stack_take_down,
    stack_take_out,
)

DAY = timedelta(days=1)
ROUNDS = 12


def at_once(*works):
    """Run each in a thread of its own, let go together; returns what each gave back or was refused with."""
    barrier, results = threading.Barrier(len(works)), [None] * len(works)

    def run(number, work):
        try:
            barrier.wait()
            results[number] = work()
        except ValidationError as refused:
            results[number] = refused
        except Exception as fault:
            results[number] = AssertionError(f"not a clear refusal: {fault!r}")
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def sort_out(results):
    """Those that worked and those that were refused in words; any other fault fails the test."""
    for result in results:
        if isinstance(result, AssertionError):
            raise result
    refused = [result for result in results if isinstance(result, ValidationError)]
    return [result for result in results if result not in refused], refused


class StackRaces(TransactionTestCase):
    def setUp(self):
        make_yard(time_zone="UTC")
        self.bays = [make_bay(f"Row {n}") for n in range(4)]

    def tearDown(self):
        assert placement_faults() == []

    def build(self, tag, slabs):
        return lambda: stack_build(tag=tag, slabs=slabs, bay=self.bays[0], at=BUILT_AT, by=None)

    def test_of_two_builds_with_one_slab_in_common_exactly_one_stands(self):
        for n in range(ROUNDS):
            shared = make_slab(f"R-{n}")
            one, other = [make_slab(), shared, make_slab()], [make_slab(), make_slab(), shared]
            built, refused = sort_out(at_once(self.build(f"A{n}", one), self.build(f"B{n}", other)))
            assert (len(built), len(refused)) == (1, 1)
            assert f"R-{n} is in {built[0].tag} (Row 0)" in refused[0].message_dict["slabs"][0]
            assert Stack.objects.filter(tag__in=[f"A{n}", f"B{n}"]).count() == 1
            assert Slab.objects.get(pk=shared.pk).stack == built[0]

    def test_of_two_stacks_with_one_tag_exactly_one_stands(self):
        for n in range(ROUNDS):
            works = [self.build(f"Tag{n}", [make_slab()]), self.build(f"TAG{n}", [make_slab()])]
            built, refused = sort_out(at_once(*works))
            assert (len(built), len(refused)) == (1, 1)
            assert "Another stack has the tag" in refused[0].message_dict["tag"][0]

    def test_a_stack_moved_by_four_people_at_once_stands_in_one_bay(self):
        stack = make_stack(bay=make_bay("Start"))
        for n in range(1, ROUNDS + 1):
            at = BUILT_AT + n * DAY

            def move(bay, at=at):
                return lambda: stack_move(stack=stack, bay=bay, at=at, by=None)

            moved, refused = sort_out(at_once(*(move(bay) for bay in self.bays)))
            assert len(moved) >= 3  # one bay may be where it stands already
            assert len(moved) + len(refused) == 4
            assert Stay.objects.filter(stack=stack, until__isnull=True).count() == 1

    def test_restacking_and_taking_out_and_taking_down_at_once_leave_each_slab_in_one_place(self):
        for n in range(ROUNDS):
            stack = make_stack(slabs=3)
            slabs = list(Slab.objects.filter(stack=stack))
            at = BUILT_AT + DAY
            results = at_once(
                lambda slabs=slabs, n=n, at=at: stack_restack(
                    tag=f"N{n}", slabs=slabs[:2], bay=self.bays[1], at=at, by=None
                ),
                lambda slabs=slabs, stack=stack, at=at: stack_take_out(stack=stack, slabs=[slabs[1]], at=at, by=None),
                lambda stack=stack, at=at: stack_take_down(stack=stack, at=at, by=None),
            )
            done, _refused = sort_out(results)
            assert len(done) >= 1
            assert placement_faults() == []

    def test_moving_into_a_bay_while_slabs_are_added_keeps_states_right(self):
        kiln = Bay.objects.create(name="Kiln", kind="kiln")
        for _ in range(ROUNDS):
            stack, more = make_stack(slabs=1), [make_slab(), make_slab()]
            sort_out(
                at_once(
                    lambda stack=stack: stack_move(stack=stack, bay=kiln, at=BUILT_AT + DAY, by=None),
                    lambda stack=stack, more=more: stack_add_slabs(stack=stack, slabs=more, at=BUILT_AT + DAY, by=None),
                )
            )
            states = set(Slab.objects.filter(stack=stack).values_list("state", flat=True))
            assert states == {"kiln"}
