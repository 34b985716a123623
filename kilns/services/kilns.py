"""Kilns: adding, changing, closing, and the parts they are built of. Only this module writes their tables."""

from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from kilns.models import Circuit, Device, Kiln, KilnLayer, KilnSurface
from kilns.services.kiln_boxes import layer_of
from kilns.services.kiln_build import Build, CircuitTold, DeviceTold, SurfaceTold, build_of
from yard.models import Bay, BayKind, Person
from yard.services.bays import bay_add
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.wood.ranges import OutsideRange


class KilnFields(TypedDict, total=False):
    """What a person may set on a kiln itself."""

    name: str
    chamber_length_ft: float
    chamber_width_ft: float
    chamber_volume_ft3: float
    stack_length_ft: float
    stack_width_ft: float
    stack_height_ft: float
    air_changes_per_h: float
    vent_cfm: float
    structure_btu_f: float
    glazing_tilt_deg: float | None
    glazing_facing_deg: float
    hottest_f: float
    energy_price: Any
    note: str


@transaction.atomic
def kiln_add(
    *, by: Person | None, build: Build | None = None, bay: Bay | None = None, **fields: Unpack[KilnFields]
) -> Kiln:
    """Add a kiln with its parts, in a bay of kind kiln that has none, or in a new bay of its name.

    Errors: ValidationError for a bay that is no kiln or has its sheet, for a name taken, for sizes that cannot be.
    """
    if bay is None:
        bay = bay_add(by=by, name=fields["name"], kind=BayKind.KILN, places=1)
    if bay.kind != BayKind.KILN:
        raise ValidationError({"bay": f"{bay.name} is not a kiln: choose another bay, or change its kind first."})
    if Kiln.objects.filter(bay=bay).exists():
        raise ValidationError({"bay": f"{bay.name} has its kiln sheet already."})
    kiln = Kiln(bay=bay)
    _set(kiln, dict(fields))
    kiln.save(force_insert=True)
    history_add(kiln, by=by, action="added")
    parts = build or Build()
    for told in parts.surfaces:
        _write_surface(kiln, None, told)
    _write_equipment(kiln, parts.circuits, parts.devices)
    return kiln


@transaction.atomic
def kiln_change(*, kiln: Kiln, by: Person | None, version: int, **fields: Unpack[KilnFields]) -> Kiln:
    """Change a kiln seen at `version`. Errors: ChangedMeanwhile; ValidationError as for `kiln_add`."""
    row = _locked(kiln, version)
    before = snapshot(row, fields)
    _set(row, dict(fields))
    changes = changes_between(before, snapshot(row, fields))
    return _saved(row, by, "changed", changes) if changes else row


@transaction.atomic
def surface_set(
    *, kiln: Kiln, by: Person | None, version: int, told: SurfaceTold, surface: KilnSurface | None = None
) -> Kiln:
    """Add a surface with its layers, or change one. Errors: ChangedMeanwhile; ValidationError."""
    row = _locked(kiln, version)
    before = _surface_words(row, surface)
    _write_surface(row, surface, told)
    if before == told.words:
        return row
    return _saved(row, by, "changed", {"surface": [before, told.words]})


@transaction.atomic
def surface_remove(*, kiln: Kiln, by: Person | None, version: int, surface: KilnSurface) -> Kiln:
    """Take a surface with its layers off the sheet. Errors: ChangedMeanwhile."""
    row = _locked(kiln, version)
    before = _surface_words(row, surface)
    KilnSurface.objects.filter(pk=surface.pk, kiln=row).delete()
    return _saved(row, by, "changed", {"surface": [before, ""]})


@transaction.atomic
def equipment_set(
    *,
    kiln: Kiln,
    by: Person | None,
    version: int,
    circuits: tuple[CircuitTold, ...],
    devices: tuple[DeviceTold, ...],
) -> Kiln:
    """Replace a kiln's circuits and devices. Errors: ChangedMeanwhile; ValidationError naming the device or circuit."""
    row = _locked(kiln, version)
    had = build_of(row)
    if (had.circuits, had.devices) == (circuits, devices):
        return row
    row.devices.all().delete()
    row.circuits.all().delete()
    _write_equipment(row, circuits, devices)
    before, after = ({"circuits": [a.words for a in c], "devices": [a.words for a in d]}
                     for c, d in ((had.circuits, had.devices), (circuits, devices)))  # fmt: skip
    return _saved(row, by, "changed", changes_between(before, after))


@transaction.atomic
def kiln_close(*, kiln: Kiln, by: Person | None) -> Kiln:
    """Take a kiln out of use, or into use again when it is closed. Its bay, its runs and their past stay."""
    row = Kiln.objects.select_for_update().get(pk=kiln.pk)
    if row.closed_on is None and row.runs.running().exists():
        raise ValidationError(f"A run is going on in {row.name}: close it first.")
    row.closed_on = timezone.localdate() if row.closed_on is None else None
    return _saved(row, by, "closed" if row.closed_on else "opened again", {})


def _locked(kiln: Kiln, version: int) -> Kiln:
    row = Kiln.objects.select_for_update().get(pk=kiln.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    return row


def _saved(row: Kiln, by: Person | None, action: str, changes: dict[str, Any]) -> Kiln:
    row.version += 1
    row.save()
    history_add(row, by=by, action=action, changes=changes)
    return row


def _set(kiln: Kiln, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - KilnFields.__annotations__.keys()
    if unknown:
        raise TypeError(f"not a field of a kiln: {', '.join(sorted(unknown))}")
    for name, value in fields.items():
        setattr(kiln, name, value.strip() if isinstance(value, str) else value)
    kiln.clean_fields(exclude=["bay"])
    wrong = {}
    for side, words in (("length", "long"), ("width", "wide")):
        if getattr(kiln, f"stack_{side}_ft") > getattr(kiln, f"chamber_{side}_ft"):
            wrong[f"stack_{side}_ft"] = f"The chamber is not that {words}."
    sides_ft2 = kiln.stack_length_ft * kiln.stack_width_ft
    if sides_ft2 * kiln.stack_height_ft > kiln.chamber_volume_ft3:
        wrong["chamber_volume_ft3"] = "The largest stack alone takes more room than that."
    if wrong:
        raise ValidationError(wrong)


def _surface_words(kiln: Kiln, surface: KilnSurface | None) -> str:
    if surface is None:
        return ""
    return next((one.words for one in build_of(kiln).surfaces if one.pk == surface.pk), "")


def _write_surface(kiln: Kiln, surface: KilnSurface | None, told: SurfaceTold) -> None:
    row = surface or KilnSurface(kiln=kiln)
    row.part, row.name, row.area_ft2 = told.part, told.name.strip(), told.area_ft2
    row.clean_fields(exclude=["kiln"])
    if not told.layers:
        raise ValidationError("Give at least one layer: what the surface is made of.")
    layers = [_layer_row(row, place, one) for place, one in enumerate(told.layers, 1)]
    row.save()
    row.layers.all().delete()
    KilnLayer.objects.bulk_create(layers)


def _layer_row(surface: KilnSurface, position: int, told) -> KilnLayer:
    row = KilnLayer(
        surface=surface, position=position, material_key=told.material_key, thickness_in=told.thickness_in,
        own_name=told.own_name.strip(), own_r_value=told.own_r_value, own_limit_f=told.own_limit_f,
        vapour_barrier=told.vapour_barrier,
    )  # fmt: skip
    row.clean_fields(exclude=["surface"])
    if not row.material_key and row.own_r_value is None:
        raise ValidationError(f"Layer {position} is neither a material of the table nor has it an R-value.")
    try:
        layer_of(told)
    except (OutsideRange, KeyError) as error:
        raise ValidationError(f"Layer {position}: {error}") from None
    return row


def _write_equipment(kiln: Kiln, circuits: tuple[CircuitTold, ...], devices: tuple[DeviceTold, ...]) -> None:
    rows = {}
    for told in circuits:
        if told.name.strip() in rows:
            raise ValidationError(f"Two circuits are called {told.name}: give each its own name.")
        circuit = Circuit(kiln=kiln, name=told.name.strip(), breaker_a=told.breaker_a, volts=told.volts)
        circuit.clean_fields(exclude=["kiln"])
        circuit.save()
        rows[circuit.name] = circuit
    for told in devices:
        if told.circuit and told.circuit not in rows:
            raise ValidationError(f"{told.name}: there is no circuit called {told.circuit}.")
        device = Device(
            kiln=kiln, circuit=rows.get(told.circuit), kind=told.kind, name=told.name.strip(), count=told.count,
            power_w=told.power_w, limit_f=told.limit_f, curve=[list(point) for point in told.curve],
            pints_per_day=told.pints_per_day, litres_per_kwh=told.litres_per_kwh,
        )  # fmt: skip
        device.clean_fields(exclude=["kiln", "circuit"])
        device.save()
