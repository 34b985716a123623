"""Proves that what slabs and stacks say of where they are agrees with the memberships and stays."""

from collections.abc import Iterator

from django.db import connection
from django.db.models import Count, F, Q

from yard.models import GONE, BayKind, Cohort, Membership, Slab, SlabState, Stack, Stay


def placement_faults() -> list[str]:
    """Every disagreement in a sentence; none when all is well."""
    return [
        *_slab_against_membership(),
        *_stack_against_stay(),
        *_states(),
        *_cohorts(),
        *_overlaps("yard_membership", "slab_id", "slab"),
        *_overlaps("yard_stay", "stack_id", "stack"),
    ]


def _slab_against_membership() -> Iterator[str]:
    inside = Membership.objects.filter(until__isnull=True).select_related("slab", "stack", "cohort")
    wrong = ~Q(slab__stack=F("stack")) | Q(slab__stack__isnull=True)
    wrong |= ~Q(slab__cohort=F("cohort")) | Q(slab__cohort__isnull=True) | Q(slab__bay__isnull=False)
    wrong |= ~Q(cohort__stack=F("stack")) | Q(stack__taken_down_at__isnull=False) | Q(slab__state__in=GONE)
    for row in inside.filter(wrong):
        yield f"slab {row.slab.tag}: its row disagrees with its membership in {row.stack.tag}"
    members = Membership.objects.filter(until__isnull=True).values("slab")
    for slab in Slab.objects.filter(stack__isnull=False).exclude(pk__in=members):
        yield f"slab {slab.tag}: says it is in a stack, and no membership does"


def _stack_against_stay() -> Iterator[str]:
    standing = Stay.objects.filter(until__isnull=True).select_related("stack")
    wrong = ~Q(stack__bay=F("bay")) | Q(stack__bay__isnull=True) | Q(stack__taken_down_at__isnull=False)
    for stay in standing.filter(wrong):
        yield f"stack {stay.stack.tag}: its row disagrees with its stay"
    open_stays = Stay.objects.filter(until__isnull=True).values("stack")
    for stack in Stack.objects.exclude(pk__in=open_stays).filter(Q(bay__isnull=False) | Q(taken_down_at__isnull=True)):
        yield f"stack {stack.tag}: stands, and no open stay says where"


def _states() -> Iterator[str]:
    in_kiln = Q(stack__bay__kind=BayKind.KILN)
    wrong = in_kiln & ~Q(state=SlabState.KILN) | Q(stack__isnull=False) & ~in_kiln & ~Q(
        state__in=[SlabState.STACKED, SlabState.DRY]
    )
    wrong |= Q(stack__isnull=True, state__in=[SlabState.STACKED, SlabState.KILN])
    wrong |= Q(state=SlabState.DRY, dry_on__isnull=True)
    for slab in Slab.objects.filter(wrong).select_related("stack"):
        yield f"slab {slab.tag}: state {slab.state} does not fit where it is"


def _cohorts() -> Iterator[str]:
    counted = Cohort.objects.annotate(
        inside=Count("memberships", filter=Q(memberships__until__isnull=True))
    ).select_related("stack")
    for cohort in counted.filter(Q(inside=0, left_at__isnull=True) | Q(inside__gt=0, left_at__isnull=False)):
        yield f"cohort {cohort.pk} of {cohort.stack.tag}: {cohort.inside} slabs in it, left_at {cohort.left_at}"
    for cohort in Cohort.objects.filter(came_from=F("pk")):
        yield f"cohort {cohort.pk}: came from itself"


def _overlaps(table: str, key: str, noun: str) -> Iterator[str]:
    """Overlapping intervals, looked for anew: not by the constraint that should have refused them."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT a.id, b.id, a.{key} FROM {table} a JOIN {table} b ON a.{key} = b.{key} AND a.id < b.id "
            "WHERE (a.until IS NULL OR a.until > a.since) AND (b.until IS NULL OR b.until > b.since) "
            "AND (b.until IS NULL OR a.since < b.until) AND (a.until IS NULL OR b.since < a.until)"
        )
        for first, second, thing in cursor.fetchall():
            yield f"{noun} {thing}: rows {first} and {second} of {table} overlap"
