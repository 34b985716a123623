"""Kilns are kept with their parts, by one service, with a version and a history."""

from dataclasses import replace

import pytest
from django.core.exceptions import ValidationError

from kilns.models import Circuit, Device, Kiln, KilnSurface
from kilns.physics.example_kiln import small_kiln
from kilns.services.example_build import example_build
from kilns.services.kiln_boxes import box_of, fans_curve, glazing_of
from kilns.services.kiln_build import Build, CircuitTold, DeviceTold, LayerTold, SurfaceTold, build_of
from kilns.services.kilns import equipment_set, kiln_add, kiln_change, kiln_close, surface_remove, surface_set
from tests.kilns.make import make_kiln
from tests.make import make_bay
from yard.models import Bay, History
from yard.services.changed_meanwhile import ChangedMeanwhile


def test_the_example_as_rows_is_the_example_of_the_physics(yard):
    """Areas are kept to a tenth of a square foot, so sums agree to a thousandth."""
    box, wanted = box_of(make_kiln()), small_kiln()
    assert box.wall_btuh_f() == pytest.approx(wanted.wall_btuh_f(), rel=1e-3)
    assert box.leak_cfm == pytest.approx(wanted.leak_cfm, rel=1e-3)
    assert (box.heater_w, box.fan_w, box.structure_btu_f) == (3000.0, 200.0, 150.0)
    assert box.dehumidifier == wanted.dehumidifier
    assert glazing_of(example_build()).light_share == 0.8


def test_a_new_kiln_makes_a_bay_of_its_name_and_history_says_who(owner, yard):
    kiln = kiln_add(by=owner, bay=None, **_sizes(name="Barn kiln"))
    assert (kiln.bay.name, kiln.bay.kind) == ("Barn kiln", "kiln")
    assert History.objects.get(table="kiln", row_id=kiln.pk).by == owner


def test_a_kiln_takes_a_bay_that_is_a_kiln_and_has_no_sheet(yard):
    bay = make_bay("Sun kiln", kind="kiln")
    assert make_kiln(bay=bay).bay == bay
    with pytest.raises(ValidationError, match="has its kiln sheet already"):
        make_kiln(bay=bay)
    with pytest.raises(ValidationError, match="is not a kiln"):
        make_kiln(bay=make_bay("North row"))
    assert Kiln.objects.count() == 1


def test_a_refused_kiln_leaves_no_bay_behind(yard):
    with pytest.raises(ValidationError):
        make_kiln(name="Too long a stack", stack_length_ft=13.0)
    assert Bay.objects.count() == 0


def test_parts_come_back_as_they_were_told(yard):
    wanted = example_build()
    kept = build_of(make_kiln())
    assert (kept.circuits, kept.surfaces) == (wanted.circuits, tuple(
        replace(told, pk=row.pk) for told, row in zip(wanted.surfaces, KilnSurface.objects.order_by("pk"), strict=True)
    ))  # fmt: skip
    assert set(kept.devices) == set(wanted.devices)


def test_two_people_who_change_one_kiln_notice_each_other(owner, yard):
    kiln = make_kiln()
    kiln_change(kiln=kiln, by=owner, version=1, hottest_f=130.0)
    with pytest.raises(ChangedMeanwhile):
        kiln_change(kiln=kiln, by=owner, version=1, hottest_f=110.0)
    told = SurfaceTold("door", "door", 20.0, (LayerTold("plywood", 0.5),))
    with pytest.raises(ChangedMeanwhile):
        surface_set(kiln=kiln, by=owner, version=1, told=told)
    row = History.objects.filter(table="kiln", action="changed").get()
    assert row.changes == {"hottest_f": [120.0, 130.0]}


def test_a_surface_is_added_changed_and_taken_off_with_its_layers(owner, yard):
    kiln = make_kiln()
    told = SurfaceTold("door", "door", 20.0, (LayerTold("plywood", 0.5), LayerTold("eps", 2.0)))
    kiln = surface_set(kiln=kiln, by=owner, version=1, told=told)
    door = KilnSurface.objects.get(name="door")
    thin = replace(told, layers=(LayerTold(own_name="old door", own_r_value=2.5, vapour_barrier=True),))
    kiln = surface_set(kiln=kiln, by=owner, version=2, told=thin, surface=door)
    assert build_of(kiln).surfaces[-1].layers == thin.layers
    assert door.layers.count() == 1
    kiln = surface_remove(kiln=kiln, by=owner, version=3, surface=door)
    assert (kiln.version, KilnSurface.objects.filter(name="door").exists()) == (4, False)
    before, after = History.objects.filter(table="kiln").order_by("-id")[1].changes["surface"]
    assert "EPS" in before
    assert "old door, R 2.5" in after


@pytest.mark.parametrize(
    ("layers", "words"),
    [
        ((), "at least one layer"),
        ((LayerTold("eps"),), "Layer 1"),
        ((LayerTold("plywood", 0.5), LayerTold("straw", 2.0)), "Layer 2: .*no material"),
        ((LayerTold(own_name="mystery"),), "R-value"),
    ],
)
def test_a_surface_that_cannot_be_reckoned_is_refused_and_nothing_changes(yard, layers, words):
    kiln = make_kiln()
    with pytest.raises(ValidationError, match=words):
        surface_set(kiln=kiln, by=None, version=1, told=SurfaceTold("wall", "wall", 10.0, layers))
    assert Kiln.objects.get().version == 1
    assert KilnSurface.objects.count() == 3


def test_equipment_is_replaced_as_a_whole_and_told_in_history(owner, yard):
    kiln = make_kiln()
    circuits = (CircuitTold("Main", 30, 240),)
    devices = (DeviceTold("heater", "Big heater", 5000, circuit="Main"),)
    kiln = equipment_set(kiln=kiln, by=owner, version=1, circuits=circuits, devices=devices)
    assert (Circuit.objects.count(), Device.objects.get().circuit.name, kiln.version) == (1, "Main", 2)
    assert equipment_set(kiln=kiln, by=owner, version=2, circuits=circuits, devices=devices).version == 2
    changes = History.objects.filter(table="kiln").order_by("-id")[0].changes
    assert changes["circuits"][1] == ["Main: 30 A at 240 V"]
    lost = (DeviceTold("fan", "Fan", 50, circuit="Barn"),)
    with pytest.raises(ValidationError, match="no circuit called Barn"):
        equipment_set(kiln=kiln, by=owner, version=2, circuits=circuits, devices=lost)
    assert Device.objects.get().name == "Big heater"


def test_a_closed_kiln_is_taken_into_use_again(owner, yard):
    kiln = kiln_close(kiln=make_kiln(), by=owner)
    assert kiln.closed_on is not None
    assert kiln_close(kiln=kiln, by=owner).closed_on is None


def test_fans_of_two_kinds_count_together_where_both_have_points(yard):
    two = (
        DeviceTold("fan", "A", 50, count=2, curve=((0.0, 1000.0), (0.2, 500.0))),
        DeviceTold("fan", "B", 50, curve=((0.0, 400.0), (0.1, 300.0))),
        DeviceTold("fan", "C without points", 50),
    )
    curve = fans_curve(Build(devices=two))
    assert curve.static_in == (0.0, 0.1)
    assert curve.air_cfm == (2400.0, 1800.0)  # 2 x 1000 + 400; 2 x 750 + 300


def _sizes(**more):
    sizes = {"chamber_length_ft": 12.0, "chamber_width_ft": 4.0, "chamber_volume_ft3": 300.0}
    return sizes | {"stack_length_ft": 10.0, "stack_width_ft": 3.0, "stack_height_ft": 4.0} | more
