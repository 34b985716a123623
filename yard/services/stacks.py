"""Stacks: building, adding, taking out, moving, restacking, taking down.

Only this module writes the stack table; with `memberships` and `stays`, which only it calls, it writes which
slab is in which stack and which stack stands in which bay. A refusal is a ValidationError whose field is
`tag`, `slabs`, `bay`, `at` or a field of the stack. Every function is one transaction and writes history.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max, Value
from django.db.models.functions import Lower
from django.utils import timezone

from yard.models import Bay, Person, Slab, Stack
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.cohorts import cohort_mark_stale
from yard.services.courses import courses_filled
from yard.services.history import changes_between, history_add, snapshot
from yard.services.memberships import (
    listed,
    members,
    memberships_arrange,
    memberships_close,
    memberships_open,
    slabs_lock,
    when,
)
from yard.services.stays import bay_at, bay_lock, check_not_in_future, stay_close, stay_open

TAGS_LOOKED_AT = 50  # the newest, for the next number of the series


class StackFields(TypedDict, total=False):
    """What a person may set on a stack besides its tag."""

    sticker_in: float
    sticker_width_in: float
    sticker_spacing_in: float
    width_ft: float
    length_ft: float
    covered: bool
    top_weight_lb: float
    target_mc_pct: float | None
    note: str


@transaction.atomic
def stack_build(
    *,
    tag: str,
    slabs: Sequence[Slab],
    bay: Bay,
    at: datetime,
    by: Person | None,
    courses: Sequence[int] | None = None,
    **fields: Unpack[StackFields],
) -> Stack:
    """Build a stack from loose slabs, bottom first, in `bay`; without courses they are filled to its width.

    Errors: ValidationError for a tag taken, a closed bay, a future moment, or slabs that are gone, not yet
    sawn at that moment or in another stack, with the name of that stack.
    """
    check_not_in_future(at)
    bay = bay_lock(bay)
    stack = _new_stack(tag, at, fields)
    locked = slabs_lock(slabs)
    _fill(stack, locked, courses, bay, at)
    history_add(stack, by=by, action="built", changes=_slabs_change([], locked) | {"bay": [None, bay.name]})
    return stack


@transaction.atomic
def stack_restack(
    *,
    tag: str,
    slabs: Sequence[Slab],
    bay: Bay,
    at: datetime,
    by: Person | None,
    courses: Sequence[int] | None = None,
    **fields: Unpack[StackFields],
) -> Stack:
    """Build a new stack from slabs of one or several stacks, and loose ones; a stack left empty is taken down.

    The new cohorts come from the old ones, so that their air and observations stay part of their past.
    Errors: as for `stack_build`; ValidationError also when `at` lies before a slab came into its stack.
    """
    check_not_in_future(at)
    bay = bay_lock(bay)
    sources = _lock_stacks_of(slabs)
    locked = slabs_lock(slabs)
    if moved := [slab.tag for slab in locked if slab.stack_id and slab.stack_id not in sources]:
        raise ValidationError({"slabs": f"Moved to another stack just now: {listed(moved)}. Look again."})
    for source in sources.values():
        leaving = [slab for slab in locked if slab.stack_id == source.pk]
        memberships_close(slabs=leaving, at=at, lie_in=bay_at(stack=source, at=at))
        history_add(source, by=by, action="restacked", changes=_slabs_change(leaving, []), note=f"into {tag}")
        if not members(source).exists():
            _end(source, at, by, note=f"all of it restacked into {tag}")
    stack = _new_stack(tag, at, fields)
    locked = slabs_lock(slabs)
    _fill(stack, locked, courses, bay, at)
    came = f"from {', '.join(source.tag for source in sources.values())}" if sources else ""
    history_add(stack, by=by, action="built", changes=_slabs_change([], locked) | {"bay": [None, bay.name]}, note=came)
    return stack


@transaction.atomic
def stack_add_slabs(
    *,
    stack: Stack,
    slabs: Sequence[Slab],
    at: datetime,
    by: Person | None,
    courses: Sequence[int] | None = None,
) -> Stack:
    """Put loose slabs on a standing stack; without courses they are laid on top.

    Errors: as for `stack_build`; ValidationError also for a moment before the stack was built.
    """
    check_not_in_future(at)
    stack = _lock(stack)
    built = stack.stays.order_by("since").first()
    if built and at < built.since:
        raise ValidationError({"at": f"{stack.tag} was built on {when(built.since)}: choose a later moment."})
    locked = slabs_lock(slabs)
    if courses is None:
        top = members(stack).aggregate(top=Max("course"))["top"] or 0
        courses = courses_filled(locked, stack.width_ft, first=top + 1)
    memberships_open(stack=stack, slabs=locked, courses=courses, bay=stack.bay, at=at)
    history_add(stack, by=by, action="slabs added", changes=_slabs_change([], locked))
    return stack


@transaction.atomic
def stack_take_out(
    *, stack: Stack, slabs: Sequence[Slab], at: datetime, by: Person | None, lie_in: Bay | None = None
) -> Stack:
    """Take slabs out of a stack; they then lie loose in `lie_in`, or else in the stack's bay.

    Errors: ValidationError for slabs that are not in it, or a moment before they came in.
    """
    check_not_in_future(at)
    stack = _lock(stack)
    locked = slabs_lock(slabs)
    if strange := [slab.tag for slab in locked if slab.stack_id != stack.pk]:
        raise ValidationError({"slabs": f"Not in {stack.tag}: {listed(strange)}."})
    memberships_close(slabs=locked, at=at, lie_in=lie_in or bay_at(stack=stack, at=at))
    history_add(stack, by=by, action="slabs out", changes=_slabs_change(locked, []))
    return stack


@transaction.atomic
def stack_move(*, stack: Stack, bay: Bay, at: datetime, by: Person | None, note: str = "") -> Stack:
    """Let a stack stand in `bay` from `at` on; its slabs' states follow the kind of the bay.

    Errors: ValidationError when it stands there already, for a closed bay, a future moment, or one that
    lies before its last move. Whether the bay is now too full: `stays.bay_full_warning`.
    """
    check_not_in_future(at)
    bay = bay_lock(bay)
    stack = _lock(stack)
    if stack.bay_id == bay.pk:
        raise ValidationError({"bay": f"{stack.tag} stands in {bay.name} already."})
    before = stack.bay.name if stack.bay else None
    stay_open(stack=stack, bay=bay, at=at)
    history_add(stack, by=by, action="moved", changes={"bay": [before, bay.name]}, note=note)
    return stack


@transaction.atomic
def stack_take_down(*, stack: Stack, at: datetime, by: Person | None, note: str = "") -> Stack:
    """Take a stack apart: its slabs lie loose where it stood, and its tag stays its own.

    Errors: ValidationError for a moment before a slab came in or the stack last moved.
    """
    check_not_in_future(at)
    stack = _lock(stack)
    inside = [row.slab for row in members(stack)]
    if inside:
        memberships_close(slabs=slabs_lock(inside), at=at, lie_in=stack.bay)
    _end(stack, at, by, note=note, changes=_slabs_change(inside, []))
    return stack


@transaction.atomic
def stack_arrange(
    *, stack: Stack, slabs: Sequence[Slab], by: Person | None, courses: Sequence[int] | None = None
) -> Stack:
    """Write anew in which order and course the slabs of a stack lie, bottom first.

    Errors: ValidationError when the slabs named are not exactly those in the stack.
    """
    stack = _lock(stack)
    memberships_arrange(stack=stack, slabs=slabs, courses=courses or courses_filled(slabs, stack.width_ft))
    history_add(stack, by=by, action="courses changed")
    return stack


@transaction.atomic
def stack_change(
    *, stack: Stack, by: Person | None, version: int, tag: str | None = None, **fields: Unpack[StackFields]
) -> Stack:
    """Change the tag, stickers, sizes, target or note of a stack seen at `version`.

    Errors: ChangedMeanwhile when somebody saved it since; ValidationError for a tag taken or a figure that
    cannot be.
    """
    stack = _lock(stack, even_down=True)
    if stack.version != version:
        raise ChangedMeanwhile(stack)
    wanted: dict[str, Any] = dict(fields)
    if tag is not None:
        wanted["tag"] = tag.strip()
    before = snapshot(stack, wanted)
    _set(stack, wanted)
    changes = changes_between(before, snapshot(stack, wanted))
    if not changes:
        return stack
    if "tag" in changes:
        _check_tag(stack.tag, but=stack.pk)
    stack.version += 1
    stack.save()
    history_add(stack, by=by, action="changed", changes=changes)
    if "target_mc_pct" in changes:
        cohort_mark_stale(cohort_ids=stack.cohorts.filter(left_at__isnull=True).values_list("pk", flat=True))
    return stack


def stack_tag_suggest() -> str:
    """The next tag of the series ST-1, ST-2, ..., after the newest of them."""
    newest = Stack.objects.order_by("-id").values_list("tag", flat=True)[:TAGS_LOOKED_AT]
    numbers = [int(tag[3:]) for tag in newest if tag.startswith("ST-") and tag[3:].isdecimal()]
    number = numbers[0] + 1 if numbers else 1
    while _same_tag(f"ST-{number}") is not None:
        number += 1
    return f"ST-{number}"


# ---- Parts of the above


def _lock(stack: Stack, even_down: bool = False) -> Stack:
    """The stack as it is now, held until the transaction ends.

    Without a join: PostgreSQL reads a row anew after waiting for its lock, but not the rows joined to it.
    """
    row = Stack.objects.select_for_update().get(pk=stack.pk)
    if row.taken_down_at is not None and not even_down:
        raise ValidationError(f"{row.tag} was taken down on {when(row.taken_down_at)}.")
    return row


def _lock_stacks_of(slabs: Sequence[Slab]) -> dict[int, Stack]:
    ids = Slab.objects.filter(pk__in=[slab.pk for slab in slabs], stack__isnull=False)
    rows = Stack.objects.select_for_update().order_by("pk")
    return {row.pk: row for row in rows.filter(pk__in=set(ids.values_list("stack_id", flat=True)))}


def _new_stack(tag: str, at: datetime, fields: StackFields) -> Stack:
    tag = tag.strip()
    _check_tag(tag)
    stack = Stack(tag=tag, built_on=timezone.localdate(at))
    _set(stack, dict(fields))
    try:
        with transaction.atomic():
            stack.save(force_insert=True)
    except IntegrityError as error:
        _check_tag(tag)
        raise error
    return stack


def _set(stack: Stack, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - StackFields.__annotations__.keys() - {"tag"}
    if unknown:
        raise TypeError(f"not a field of a stack: {', '.join(sorted(unknown))}")
    for name, value in fields.items():
        setattr(stack, name, value)
    stack.clean_fields(exclude=["bay"])


def _check_tag(tag: str, but: int | None = None) -> None:
    if not tag:
        raise ValidationError({"tag": "Give the stack a tag, such as ST-12."})
    same = _same_tag(tag, but)
    if same is not None:
        raise ValidationError({"tag": f"Another stack has the tag {same.tag}: choose another."})


def _same_tag(tag: str, but: int | None = None) -> Stack | None:
    return Stack.objects.alias(low=Lower("tag")).filter(low=Lower(Value(tag))).exclude(pk=but).first()


def _fill(stack: Stack, slabs: Sequence[Slab], courses: Sequence[int] | None, bay: Bay, at: datetime) -> None:
    courses = courses or courses_filled(slabs, stack.width_ft)
    stay_open(stack=stack, bay=bay, at=at)
    memberships_open(stack=stack, slabs=slabs, courses=courses, bay=bay, at=at)


def _end(stack: Stack, at: datetime, by: Person | None, note: str = "", changes: dict[str, Any] | None = None) -> None:
    stay_close(stack=stack, at=at)
    stack.taken_down_at = at
    stack.save(update_fields=["taken_down_at", "updated_at"])
    history_add(stack, by=by, action="taken down", changes=changes or {}, note=note)


def _slabs_change(before: Sequence[Slab], after: Sequence[Slab]) -> dict[str, Any]:
    return {"slabs": [[slab.tag for slab in before], [slab.tag for slab in after]]}
