"""The yard as drawn: bays where they lie, and in each the stacks that stand there, in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, F, Q, Window
from django.db.models.functions import RowNumber

from yard.models import Bay, Stack
from yard.services.bays import MAP_WIDTH
from yard.services.stack_list import StackRow, stack_rows

STACKS_DRAWN = 40  # in all; a bay's own page has all of its stacks
OF_A_BAY = (3, 12)  # at least and at most of one bay
SQUARE = 100  # drawing units a square of the map
GAP = 8
HEAD = 46  # of a tile, for its name


@dataclass(frozen=True, slots=True)
class Slot:
    """Room for one stack in the drawing."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class StackTile(Slot):
    """A stack in the drawing."""

    row: StackRow

    @property
    def mc_whole(self) -> str:
        """The moisture as a whole percentage, as there is no room for more."""
        return f"{self.row.moisture.mean_pct:.0f}"


@dataclass(frozen=True, slots=True)
class BayTile:
    """A bay in the drawing, with its stacks; `more` of them are not drawn."""

    bay: Bay
    x: float
    y: float
    width: float
    height: float
    stacks: tuple[StackTile, ...]
    free: tuple[Slot, ...]
    standing: int

    @property
    def more(self) -> int:
        return self.standing - len(self.stacks)

    @property
    def ready(self) -> int:
        """How many of the stacks drawn are ready."""
        return sum(tile.row.moisture.is_ready for tile in self.stacks)


@dataclass(frozen=True, slots=True)
class YardMap:
    """The drawing: its size, and its bays from the top left."""

    width: int
    height: int
    tiles: tuple[BayTile, ...]


def yard_map() -> YardMap:
    """All bays in use with their stacks, the longest standing first."""
    bays = list(
        Bay.objects.filter(closed_on__isnull=True)
        .annotate(standing=Count("stacks_now", filter=Q(stacks_now__taken_down_at__isnull=True)))
        .order_by("map_y", "map_x", "name")
    )
    most = stacks_drawn_of_a_bay(len(bays))
    by_bay: dict[int, list[StackRow]] = {bay.pk: [] for bay in bays}
    for row in stack_rows(_first_of_each_bay(bays, most)):
        by_bay[row.stack.bay_id].append(row)
    tiles = tuple(_bay_tile(bay, by_bay[bay.pk], most) for bay in bays)
    lowest = max((bay.map_y + bay.map_h for bay in bays), default=1)
    return YardMap(MAP_WIDTH * SQUARE, lowest * SQUARE, tiles)


def stacks_drawn_of_a_bay(bays: int) -> int:
    """How many stacks of one bay are drawn, so that the whole map stays about as large in a large yard.

    >>> stacks_drawn_of_a_bay(3), stacks_drawn_of_a_bay(10), stacks_drawn_of_a_bay(40)
    (12, 4, 3)
    """
    least, most = OF_A_BAY
    return max(least, min(most, STACKS_DRAWN // max(bays, 1)))


def _first_of_each_bay(bays: Sequence[Bay], most: int) -> list[Stack]:
    numbered = Stack.objects.standing().filter(bay__in=[bay.pk for bay in bays])
    number = Window(RowNumber(), partition_by=F("bay"), order_by=(F("built_on").asc(), F("id").asc()))
    found = numbered.annotate(number=number).filter(number__lte=most)
    return list(found.order_by("built_on", "id"))


def _bay_tile(bay: Bay, rows: Sequence[StackRow], most: int) -> BayTile:
    x, y = bay.map_x * SQUARE + GAP, bay.map_y * SQUARE + GAP
    width, height = bay.map_w * SQUARE - 2 * GAP, bay.map_h * SQUARE - 2 * GAP
    slots = _slots(max(len(rows), min(bay.places, most)), x, y, width, height)
    stacks = tuple(
        StackTile(slot.x, slot.y, slot.width, slot.height, row) for slot, row in zip(slots, rows, strict=False)
    )
    return BayTile(bay, x, y, width, height, stacks, slots[len(rows) :], bay.standing)


def _slots(count: int, x: float, y: float, width: float, height: float) -> tuple[Slot, ...]:
    """Lay the places of a bay out, each as nearly square as its tile allows."""
    room_w, room_h = width - GAP, height - HEAD - GAP
    across = _across(count, room_w, room_h)
    wide, high = room_w / across, room_h / -(-count // across)
    return tuple(
        Slot(
            x=round(x + GAP + n % across * wide, 1),
            y=round(y + HEAD + n // across * high, 1),
            width=round(wide - GAP, 1),
            height=round(high - GAP, 1),
        )
        for n in range(count)
    )


def _across(count: int, room_w: float, room_h: float) -> int:
    """How many side by side leave each the largest shorter side."""

    def shorter_side(across: int) -> float:
        return min(room_w / across, 1.6 * room_h / -(-count // across))

    return max(range(1, count + 1), key=lambda across: (shorter_side(across), -across))
