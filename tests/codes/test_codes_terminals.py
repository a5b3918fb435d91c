"""Terminals: roof pitch table (irc-2018), the 2 ft / 10 ft rule (nfpa54-2012 12.7.2), sidewall clearances by scheme."""

from __future__ import annotations

import itertools
import math

import pytest

from advisor import catalog
from advisor.codes import terminals
from advisor.errors import InputError
from advisor.wording.checks import official_words


def verdicts(scheme, power, **given):
    return {check.rule: check.verdict for check in terminals.check_sidewall_terminal(scheme, power, **given)}


def roof(**change):
    base = {"pitch_rise_per_12": 5.0, "height_above_roof_ft": 1.0, "diameter_in": 4.0, "wall_distance_ft": 20.0}
    return terminals.check_roof_height(**{**base, **change})


# irc-2018 Fig. G2427.6.3
@pytest.mark.parametrize(
    ("pitch", "height"), [(0, 1.0), (6, 1.0), (6.1, 1.25), (7.5, 1.5), (12, 4.0), (12.5, 5.0), (18, 7.0), (21, 8.0)]
)
def test_pitch_table(pitch, height):
    found = terminals.roof_pitch_row(pitch)
    assert found is not None
    assert found.min_height_above_roof_ft == height


def test_pitch_table_is_gapless_and_monotone():
    rows = catalog.table("roof_pitch_height")
    for before, after in itertools.pairwise(rows):
        assert before["pitch_rise_per_12_to"] == after["pitch_rise_per_12_over"]
        assert float(before["min_height_above_roof_ft"]) < float(after["min_height_above_roof_ft"])
    assert terminals.roof_pitch_row(21.1) is None


def test_roof_height():
    assert roof().verdict == "pass"
    assert roof(height_above_roof_ft=0.9).verdict == "fail"
    assert roof(pitch_rise_per_12=None).verdict == "unknown"
    assert roof(wall_distance_ft=None).verdict == "unknown"


@pytest.mark.parametrize("change", [{"wall_distance_ft": 7.9}, {"diameter_in": 14.0}, {"pitch_rise_per_12": 24.0}])
def test_two_foot_ten_foot_rule(change):  # nfpa54-2012 12.7.2
    assert roof(**change, height_above_roof_ft=1.9).verdict == "fail"
    assert roof(**change, height_above_roof_ft=2.0).verdict == "unknown"
    assert roof(**change, height_above_roof_ft=2.0, above_obstacles_within_10_ft=1.9).verdict == "fail"
    assert roof(**change, height_above_roof_ft=2.0, above_obstacles_within_10_ft=2.0).verdict == "pass"


def test_chimney():  # nfpa54-2012 12.6.2: 5 ft, 3 ft, 2 ft
    def found(hood, above, near):
        return terminals.check_chimney_height(
            above_hood_ft=hood, above_roof_ft=above, above_obstacles_within_10_ft=near
        ).verdict

    assert found(5, 3, 2) == "pass"
    assert found(4.9, 3, None) == "fail"
    assert found(5, 2.9, 2) == "fail"
    assert found(5, 3, 1.9) == "fail"
    assert found(5, 3, None) == "unknown"


def test_forced_air_inlet():  # nfpa54-2012 12.7.2: 3 ft above when within 10 ft
    check = terminals.check_forced_air_inlet
    assert check(3, 5).verdict == "pass"
    assert check(2.9, 10).verdict == "fail"
    assert check(0, 10.1).verdict == "pass"
    assert check(None, 5).verdict == "unknown"
    assert check(None, math.inf).verdict == "pass"


@pytest.mark.parametrize(
    ("scheme", "power", "inches"),
    [
        ("us_direct_vent", 10_000, 6),  # nfpa54-2012 12.9.3
        ("us_direct_vent", 40_000, 9),
        ("us_direct_vent", 50_000, 9),
        ("us_direct_vent", 199_000, 12),
        ("us_direct_vent_later_edition", 40_000, 9),
        ("us_direct_vent_later_edition", 150_000, 12),  # memory
        ("us_direct_vent_later_edition", 199_000, 36),  # memory
        ("canada_b149_1", 10_000, 6),  # manual-terminals, second-hand
        ("canada_b149_1", 100_000, 12),
        ("canada_b149_1", 100_001, 36),
    ],
)
def test_opening_clearance_by_scheme_and_input(scheme, power, inches):
    row = terminals.terminal_row(scheme, "opening", power)
    assert row is not None
    assert (row.distance, row.unit) == (inches, "in")
    rule = "terminal_to_openings_of_the_building"
    assert verdicts(scheme, power, opening_ft=None)[rule] == "unknown"
    given = {check.rule: check for check in terminals.check_sidewall_terminal(scheme, power, opening_ft=inches / 12)}
    assert given[rule].verdict == "pass"
    assert verdicts(scheme, power, opening_ft=(inches - 0.1) / 12)[rule] == "fail"


def test_mechanical_draft():  # nfpa54-2012 12.9.1-2, 12.9.6
    scheme = "us_mechanical_draft"
    rule = "terminal_to_openings_of_the_building"
    assert verdicts(scheme, 40_000, opening_ft=3.9)[rule] == "fail"
    assert verdicts(scheme, 40_000, opening_ft=4)[rule] == "pass"
    assert verdicts(scheme, 40_000, opening_ft=1, opening_is="below")[rule] == "pass"
    assert verdicts(scheme, 40_000, opening_ft=0.9, opening_is="below")[rule] == "fail"
    rule = "terminal_to_a_forced_air_inlet"
    assert verdicts(scheme, 40_000, forced_inlet_above_ft=2.9, forced_inlet_horizontal_ft=9)[rule] == "fail"
    assert verdicts(scheme, 40_000, forced_inlet_above_ft=3, forced_inlet_horizontal_ft=9)[rule] == "pass"
    assert verdicts(scheme, 40_000, forced_inlet_horizontal_ft=math.inf)[rule] == "pass"
    rule = "terminal_to_a_neighbours_opening"
    assert verdicts(scheme, 40_000, adjacent_opening_ft=9, above_adjacent_opening_ft=0)[rule] == "fail"
    assert verdicts(scheme, 40_000, adjacent_opening_ft=9, above_adjacent_opening_ft=-2)[rule] == "pass"
    assert verdicts(scheme, 40_000, adjacent_opening_ft=9, above_adjacent_opening_ft=25)[rule] == "pass"
    assert verdicts(scheme, 40_000, adjacent_opening_ft=10)[rule] == "pass"
    assert verdicts(scheme, 40_000, adjacent_opening_ft=9)[rule] == "unknown"
    assert verdicts(scheme, 40_000, meter_ft=3.9)["terminal_to_the_meter"] == "fail"
    assert verdicts(scheme, 40_000, walkway_ft=7)["terminal_above_a_walkway"] == "pass"


def test_grade_and_snow():
    rule = "terminal_above_grade_and_snow"
    assert verdicts("us_mechanical_draft", 40_000, grade_in=12)[rule] == "pass"
    assert verdicts("us_mechanical_draft", 40_000, grade_in=29, expected_snow_in=18)[rule] == "fail"
    assert verdicts("us_mechanical_draft", 40_000, grade_in=30, expected_snow_in=18)[rule] == "pass"
    assert verdicts("us_mechanical_draft", 40_000, grade_in=30, expected_snow_in=None)[rule] == "unknown"
    # nyc-fgc-2022: 36 in.
    assert verdicts("nyc_mechanical_draft", 40_000, grade_in=35)[rule] == "fail"
    assert verdicts("nyc_mechanical_draft", 40_000, grade_in=36)[rule] == "pass"


def test_nothing_given_is_unknown_everywhere():
    for scheme in terminals.TERMINAL_SCHEMES:
        assert set(verdicts(scheme, 40_000, expected_snow_in=None).values()) == {"unknown"}


def test_canada_is_not_mixed_with_us_rows():
    checks = terminals.check_sidewall_terminal("canada_b149_1", 40_000)
    assert all("CSA B149.1" in check.clause for check in checks)
    assert "terminal_to_a_neighbours_opening" not in {check.rule for check in checks}
    # manual-terminals: 6 ft from a mechanical inlet in any direction, 3 ft from a regulator vent
    assert verdicts("canada_b149_1", 40_000, forced_inlet_horizontal_ft=5.9)["terminal_to_a_forced_air_inlet"] == "fail"
    assert verdicts("canada_b149_1", 40_000, regulator_vent_ft=2.9)["terminal_to_a_regulator_vent"] == "fail"


def test_memory_row_says_so():
    check = terminals.check_sidewall_terminal("us_direct_vent_later_edition", 199_000, opening_ft=2)[0]
    assert check.verdict == "fail"
    assert check.status == "memory"
    assert "confirmed in the locally adopted code" in official_words(check)


def test_unknown_scheme():
    with pytest.raises(InputError, match="terminal scheme"):
        terminals.check_sidewall_terminal("us", 40_000)


def test_every_row_is_reachable():
    """Every clearance row belongs to a scheme that a case can choose."""
    used = {group for groups in terminals.TERMINAL_SCHEMES.values() for group in groups}
    assert {row["scheme"] for row in catalog.table("terminal_clearances")} == used
