"""A log's scale as a page shows it, with its working."""

import pytest

from yard.services.log_scale import large_end_taken_in, log_scale, net_bf


def by_key(scale):
    return {line.key: line for line in scale.lines}


def test_the_working_of_each_rule_gives_the_figure_that_is_shown():
    lines = by_key(log_scale(12, 14, 16, rule="doyle"))
    assert {key: line.gross_bf for key, line in lines.items()} == {
        "doyle": 64, "scribner": 80, "international": 95,
    }  # fmt: skip
    for line in lines.values():
        assert line.working.result == line.gross_bf
        assert line.working.source
    assert [key for key, line in lines.items() if line.on_ticket] == ["doyle"]


def test_defects_come_off_in_whole_board_feet():
    assert net_bf(95, 10) == 85  # 9.5 off, taken to 10
    assert net_bf(None, 10) is None
    assert by_key(log_scale(12, 14, 16, defect_pct=25))["doyle"].net_bf == 48


def test_a_rule_that_does_not_reach_says_its_range():
    line = by_key(log_scale(3, None, 16))["doyle"]
    assert line.gross_bf is None
    assert "outside 4 to 120 in" in line.why_not


def test_a_large_end_that_was_not_measured_is_said_to_be_taken_from_the_usual_taper():
    assert large_end_taken_in(12, None, 16) == 14
    assert any("not measured" in note for note in log_scale(12, None, 16).notes)
    assert not log_scale(12, 14, 16).notes


def test_a_length_in_whole_centimetres_is_not_cut_by_a_foot():
    # 4.88 m is 16.01 ft, 4.87 m is 15.98 ft: a quarter of an inch short of 16, and still scaled at 16? No:
    # more than the slack of a rounded centimetre, so it is scaled at 15.
    assert by_key(log_scale(12, 14, 4.88 / 0.3048))["doyle"].gross_bf == 64
    assert by_key(log_scale(12, 14, 4.87 / 0.3048))["doyle"].gross_bf == 60


def test_ends_the_wrong_way_round_have_no_volume_and_say_why():
    scale = log_scale(16, 12, 16)
    assert scale.cubic_ft3 is None
    assert "small end comes first" in scale.cubic_why_not


@pytest.mark.parametrize("length_ft", [1, 8, 16, 40])
def test_scaling_never_counts_more_than_the_log_is_long(length_ft):
    longer = by_key(log_scale(12, 14, length_ft + 0.9))["doyle"].gross_bf
    assert longer == by_key(log_scale(12, 14, length_ft))["doyle"].gross_bf
