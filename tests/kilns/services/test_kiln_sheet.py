"""The sheet's figures against sums by hand, and what it says where it cannot tell."""

import pytest

from kilns.services.kiln_build import Build, CircuitTold, DeviceTold, LayerTold, SurfaceTold
from kilns.services.kiln_sheet import kiln_sheet
from kilns.services.sheet_asked import Asked
from kilns.services.stack_fits import fit_of
from tests.kilns.make import make_kiln
from tests.make import make_yard


def sheet_of(kiln, yard, **asked):
    return kiln_sheet(kiln, Asked(**asked), yard).value


def test_the_example_holds_both_its_promises_in_a_hard_winter_in_numbers(yard):
    """By hand: glazing 83.7/1.87 + walls 139.4/20.24 + floor 48/11.78 + leak 0.9 are 56.6 Btu/(h °F); 3,200 W are
    10,919 Btu/h, 193 °F over outdoors: 140 °F down to about -53 °F, some degrees less for thinner air."""
    sheet = sheet_of(make_kiln(), make_yard(elevation_ft=0.0))
    dry, hot = (line.promise for line in sheet.promises.value)
    assert hot.lowest_outdoor.temp_f == pytest.approx(140 - 10_919 / 57.4, abs=3)
    assert hot.lowest_outdoor.low_f < hot.lowest_outdoor.temp_f < hot.lowest_outdoor.high_f
    assert dry.lowest_outdoor.temp_f <= 20
    assert [one.what for _, one in sheet.too_hot] == ["dehumidifier"]


def test_losses_by_surface_are_area_over_r_and_sum_to_all(yard):
    sheet = sheet_of(make_kiln(), yard, drying_f=120.0, outdoor_f=20.0)
    lines = {line.name: line for line in sheet.losses.value}
    assert lines["glazed roof"].watts == pytest.approx(83.7 / 1.87 * 100 / 3.412142, rel=1e-6)
    assert sum(line.share_pct for line in sheet.losses.value) == pytest.approx(100.0)
    assert next(iter(lines)) == "glazed roof"


def test_every_figure_shown_is_that_of_its_working(yard):
    sheet = sheet_of(make_kiln(), yard)
    dry, hot = sheet.promises.value
    for line in (dry, hot):
        assert line.working.result == pytest.approx(line.promise.lowest_outdoor.temp_f, abs=0.05)
    assert sheet.warm_up.working.result == sheet.warm_up.value.wood_at_h
    assert sheet.air.working.result == sheet.air.value.low_cfm
    assert sheet.fans.working.result == pytest.approx(sheet.fans.value.point.speed_fpm)
    assert sheet.water.working.result == sheet.water.value.capacity_lb_per_day
    assert sheet.collector.working.result == sheet.collector.value.bf_per_ft2
    assert sheet.sun.working.result == pytest.approx(sheet.sun.value.months[0].btu_ft2_day)


def test_the_largest_stack_is_counted_in_courses_between_stickers(yard):
    """48 in of 8/4 sawn 2-1/8 on 3/4 stickers: 16 courses of 2 7/8 less a sticker; 16 x 3 x 0.9 x 10 x 2 = 864 bf."""
    fit = fit_of(make_kiln(), 2.0, 0.9)
    assert (fit.courses, fit.board_feet_bf) == (16, 864.0)
    assert fit.height_in == pytest.approx(16 * 2.125 + 15 * 0.75)
    assert fit.open_area_ft2 == pytest.approx(15 * 0.75 * (120 - 9 * 1.5) / 144)  # nine stickers every 16 in


def test_less_heat_and_more_insulation_move_the_promise_the_right_way(yard):
    kiln = make_kiln()

    def hot(**asked):
        return sheet_of(kiln, yard, **asked).promises.value[1].promise.lowest_outdoor.temp_f

    as_built = hot()
    assert hot(heater_w=1500.0) > as_built + 30
    assert hot(r_added=10.0) < as_built
    assert hot(air_changes_per_h=5.0) > as_built
    kiln.refresh_from_db()
    assert (kiln.version, kiln.air_changes_per_h) == (1, 0.5)


def test_a_heater_of_1500_w_on_15_a_is_over_80_percent_and_on_20_a_not(yard):
    build = Build(
        surfaces=(SurfaceTold("wall", "wall", 100.0, (LayerTold("xps", 2.0),)),),
        circuits=(CircuitTold("Small", 15), CircuitTold("Large", 20)),
        devices=(DeviceTold("heater", "A", 1500, circuit="Small"), DeviceTold("heater", "B", 1500, circuit="Large"),
                 DeviceTold("fan", "Loose", 50)),
    )  # fmt: skip
    sheet = sheet_of(make_kiln(build=build), yard)
    assert [line.over for line in sheet.circuits] == [True, False]
    assert [one.name for one in sheet.loose] == ["Loose"]
    assert "licensed electrician" in sheet.caution


def test_layers_over_their_limit_are_named(yard):
    build = Build(surfaces=(SurfaceTold("wall", "wall", 100.0, (LayerTold("eps", 3.0),)),),
                  devices=(DeviceTold("heater", "A", 9000),))  # fmt: skip
    sheet = sheet_of(make_kiln(build=build), yard, sanitising_f=190.0)
    assert [(inside, one.limit_f) for inside, one in sheet.too_hot] == [(190.0, 165.0)]
    assert "EPS" in sheet.too_hot[0][1].what
    assert sheet.barriers == ["The wall has no vapour barrier: wet kiln air condenses in the insulation"]


def test_the_sheet_says_why_it_cannot_tell_instead_of_guessing(yard):
    bare = Build(surfaces=(SurfaceTold("wall", "wall", 100.0, (LayerTold("xps", 2.0),)),))
    sheet = sheet_of(make_kiln(build=bare), make_yard(lat_deg=None, lon_deg=None))
    assert "more heat than there is" in sheet.promises.refusal
    assert sheet.fans.refusal == "No fans are on the sheet."
    assert "No dehumidifier" in sheet.water.refusal
    assert "No glazing" in sheet.sun.refusal
    assert sheet_of(make_kiln(), make_yard(lat_deg=None, lon_deg=None)).sun.refusal.startswith(
        "Give the yard its place"
    )
    assert "miles" in sheet_of(make_kiln(), make_yard(lat_deg=50.0, lon_deg=10.0)).sun.refusal


def test_without_heaters_the_winter_is_no_warmer_inside_than_fans_make_it(yard):
    build = Build(surfaces=(SurfaceTold("wall", "wall", 100.0, (LayerTold("xps", 2.0),)),))
    lines = sheet_of(make_kiln(build=build), yard).winter.value
    assert [line.held.temp_f for line in lines] == pytest.approx([line.outdoor_f for line in lines])
    assert all(line.drying_w > 0 for line in lines)
