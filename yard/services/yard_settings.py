"""The yard's own row: reading it, setting it up, changing it."""

from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.utils import timezone

from yard.models import Cohort, Person, Yard
from yard.services.bays import bay_add
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.cohorts import cohort_mark_stale
from yard.services.history import changes_between, history_add, snapshot

# What the estimates of the wood depend on.
PLACE_FIELDS = frozenset({"lat_deg", "lon_deg", "city_key", "elevation_ft", "time_zone"})
MODEL_FIELDS = PLACE_FIELDS | {"kiln_target_pct", "dry_target_pct", "frozen_stops_drying"}


class YardFields(TypedDict, total=False):
    """What an owner may set on the yard."""

    name: str
    lat_deg: float
    lon_deg: float
    place_label: str
    city_key: str
    elevation_ft: float
    time_zone: str
    units: str
    currency: str
    tax_pct: Decimal
    log_rule: str
    kiln_target_pct: float
    dry_target_pct: float
    frozen_stops_drying: bool


class FirstBay(TypedDict):
    """A bay given at set-up."""

    name: str
    kind: str
    places: int


class AlreadySetUp(Exception):  # noqa: N818 - reads as the sentence it is
    """The yard has been set up meanwhile; its settings are changed on their own page."""


def the_yard() -> Yard:
    """The yard's row; before set-up an unsaved one with the defaults."""
    return Yard.objects.first() or Yard()


@transaction.atomic
def yard_set_up(*, by: Person | None, bays: list[FirstBay], **fields: Unpack[YardFields]) -> Yard:
    """Set the yard up, once: its row and its first bays, all or nothing. Errors: AlreadySetUp."""
    yard = _locked_or_new()
    if yard.set_up_at is not None:
        raise AlreadySetUp
    for name, value in fields.items():
        setattr(yard, name, value)
    yard.set_up_at = timezone.now()
    yard.save()
    history_add(yard, by=by, action="set up", changes={name: [None, value] for name, value in fields.items()})
    for bay in bays:
        bay_add(by=by, **bay)
    return yard


@transaction.atomic
def yard_change(*, by: Person | None, version: int, **fields: Unpack[YardFields]) -> Yard:
    """Change the yard's settings seen at `version`; another place or target makes every estimate stale.

    Errors: ChangedMeanwhile when somebody saved them since.
    """
    yard = _locked_or_new()
    if yard.version != version:
        raise ChangedMeanwhile(yard)
    before = snapshot(yard, fields)
    for name, value in fields.items():
        setattr(yard, name, value)
    changes = changes_between(before, snapshot(yard, fields))
    if not changes:
        return yard
    yard.version += 1
    yard.save()
    history_add(yard, by=by, action="changed", changes=changes)
    if changes.keys() & MODEL_FIELDS:
        _standing_wood_out_of_date()
    return yard


@transaction.atomic
def yard_usual_year(*, by: Person | None, climate: dict[str, Any]) -> Yard:
    """Keep a usual year of the yard's own, `label` and twelve `months` of [°F, %]; empty: the built-in one."""
    yard = _locked_or_new()
    before, yard.own_climate = yard.own_climate, climate
    if before == climate:
        return yard
    yard.version += 1
    yard.save()
    built_in = "the built-in one"
    words = [kept["label"] if kept else built_in for kept in (before, climate)]
    history_add(yard, by=by, action="changed", changes={"usual_year": words})
    _standing_wood_out_of_date()
    return yard


def _standing_wood_out_of_date() -> None:
    standing = Cohort.objects.filter(left_at__isnull=True).values_list("pk", flat=True)
    cohort_mark_stale(cohort_ids=standing)


def _locked_or_new() -> Yard:
    return Yard.objects.select_for_update().first() or Yard()
