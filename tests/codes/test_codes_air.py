"""Combustion air against the published examples CA01-CA29 (ids of the fact base) and the known-infiltration rows."""

from __future__ import annotations

import math

import pytest
from conftest import said
from hypothesis import given
from hypothesis import strategies as st

from advisor import catalog
from advisor.codes import combustion_air as air
from advisor.codes import combustion_air_canada as canada
from advisor.codes import combustion_air_place as place
from advisor.codes.air_methods import combustion_air_methods
from advisor.codes.altitude import check_altitude_derate, derated_input_btu_h
from advisor.codes.trade_sizes import next_trade_grille_in, next_trade_round_in, round_area_in2, trade_rounds_in
from advisor.errors import InputError
from advisor.wording.checks import official_words


def by_key(**given_numbers):
    return {method.key: method for method in combustion_air_methods(**given_numbers)}


# CA01a-f: nfpa54-2012-annex, worked example; the annex rounds after every step (ratio to 2 places, area to whole in2).
def test_annex_example_with_its_rounding():
    total = 100_000 + 40_000
    assert air.standard_volume_ft3(total) == 7000  # CA01a
    room = 15 * 30 * 8
    assert room == 3600
    assert air.check_standard_volume(total, room).verdict == "fail"  # CA01b
    ratio = round(air.combination_ratio(room, 7000), 2)
    assert ratio == 0.51  # CA01c
    assert round(1 - ratio, 2) == 0.49  # CA01d
    full = round(air.one_outdoor_opening_in2(total))
    assert full == 47  # CA01e
    assert round(0.49 * full) == 23  # CA01f
    # inside, full precision is kept: 46.67 x (1 - 3600 / 7000)
    exact = air.combination_opening_in2(air.one_outdoor_opening_in2(total), room, 7000)
    assert exact == pytest.approx(22.67, abs=0.005)


@pytest.mark.parametrize(
    ("input_btu_h", "volume"),
    [(150_000, 7500), (135_000, 6750), (40_000, 2000)],  # CA02 utility-guide; CA11 manual-heater-air; CA13 mn-ifgc-e1
)
def test_standard_volume(input_btu_h, volume):
    assert air.standard_volume_ft3(input_btu_h) == volume


def test_ca02b_room_is_inadequate():  # utility-guide
    assert 20 * 30 * 8 == 4800
    assert air.check_standard_volume(150_000, 4800).verdict == "fail"


def test_ca03_legacy_rule_is_never_a_pass():
    # utility-guide prints 1 in2 per 5000 Btu/h: 30 in2 for 150,000 Btu/h. NFPA 54-2012 9.3.3 asks for more.
    legacy = 150_000 / catalog.number("rules_combustion_air", "legacy_tight_house_btu_h_per_in2")
    assert legacy == 30
    assert air.check_one_outdoor_opening(150_000, (), legacy).verdict == "fail"
    assert air.check_two_outdoor_openings(150_000, "direct", legacy, legacy).verdict == "fail"


@pytest.mark.parametrize(
    ("input_btu_h", "path", "each"),
    [
        (110_000 + 30_000, "vertical duct", 35.0),  # CA04 manual-furnace-air-a
        (100_000 + 30_000, "direct", 32.5),  # CA07 manual-furnace-air-b
        (80_000 + 30_000, "horizontal duct", 55.0),  # CA09 manual-furnace-air-b
        (108_000, "direct", 27.0),  # CA10 manual-furnace-air-c
    ],
)
def test_two_outdoor_openings(input_btu_h, path, each):
    assert air.two_outdoor_opening_in2(input_btu_h, path) == each


def test_ca10_picks_6_in_round():  # manual-furnace-air-c: 6 in round, 28.3 in2
    assert next_trade_round_in(27.0) == 6
    assert round(round_area_in2(6), 1) == 28.3


@pytest.mark.parametrize(
    ("other", "fan", "ach", "volume"),
    [(40_000, 0, 0.20, 4200), (40_000, 0, 0.40, 2100), (0, 40_000, 0.40, 1500)],  # CA14, CA15, CA17: mn-ifgc-e1
)
def test_known_rate_examples(other, fan, ach, volume):
    assert air.known_rate_volume_ft3(other, fan, ach) == pytest.approx(volume, abs=1e-6)


@pytest.mark.parametrize("row", catalog.table("known_infiltration_volumes"), ids=lambda r: r["min_volume_ft3"])
def test_every_known_infiltration_row(row):  # manual-furnace-air-b, within 1 ft3
    power, ach = float(row["input_btu_h"]), float(row["ach"])
    fan = row["appliance_kind"] == "fan_assisted"
    volume = air.known_rate_volume_ft3(0 if fan else power, power if fan else 0, ach)
    assert volume == pytest.approx(float(row["min_volume_ft3"]), abs=1.0)


def test_known_rate_is_capped_and_compulsory():
    # nfpa54-2012 9.3.2.2(3): at most 0.60; 9.3.2: below 0.40 the known-rate method is compulsory.
    assert air.known_rate_volume_ft3(40_000, 0, 2.0) == air.known_rate_volume_ft3(40_000, 0, 0.60)
    assert air.check_standard_volume(40_000, 99_999, ach=0.39).verdict == "not applicable"
    assert air.check_standard_volume(40_000, 99_999, ach=0.39).official.id == "codes_air.rate_known_compulsory"
    # At a known 0.40 the formula gives 52.5 ft3 per 1000 Btu/h, not 50: 2050 ft3 is not enough for 40,000 Btu/h.
    assert air.check_known_rate_volume(40_000, 0, 2050, 0.40).verdict == "fail"
    assert air.check_standard_volume(40_000, 2050).verdict == "pass"


def test_mixed_inputs_add_and_are_marked_as_memory():
    check = air.check_known_rate_volume(40_000, 100_000, 10_000, 0.40)
    # 21/0.4 x 40 + 15/0.4 x 100 = 2100 + 3750
    assert "5,850" in said(check.required)
    assert check.status == "memory"
    assert "confirmed in the locally adopted code" in official_words(check)
    assert air.check_known_rate_volume(40_000, 0, 10_000, 0.40).status == "seen"


def test_indoor_openings():
    # nfpa54-2012 9.3.2.3: same story 1 in2 per 1000 Btu/h, at least 100 each; other story 2 in2 in total.
    assert air.same_story_opening_in2(40_000) == 100
    assert air.same_story_opening_in2(140_000) == 140
    assert air.other_story_opening_in2(40_000) == 80
    assert air.check_indoor_openings_same_story(40_000, 100, 99).verdict == "fail"
    assert air.check_indoor_openings_same_story(40_000, 100, None).verdict == "unknown"
    assert air.check_indoor_openings_same_story(40_000, 50, None).verdict == "fail"


def test_one_opening_is_not_smaller_than_the_connectors():
    # nfpa54-2012 9.3.3.2: 40,000 / 3000 = 13.3 in2; a 4 in. and a 5 in. connector have 12.57 + 19.63 = 32.2 in2.
    assert air.one_outdoor_opening_in2(40_000) == pytest.approx(13.33, abs=0.01)
    assert air.one_outdoor_opening_in2(40_000, (4, 5)) == pytest.approx(32.2, abs=0.01)


def test_mechanical_supply():
    # nfpa54-2012 9.3.6: 0.35 cfm per 1000 Btu/h + replacement of exhaust + interlock.
    assert air.mechanical_supply_cfm(40_000, 100) == pytest.approx(114)
    assert air.check_mechanical_supply(40_000, 114, 100, True).verdict == "pass"
    assert air.check_mechanical_supply(40_000, 114, 100, False).verdict == "fail"
    assert air.check_mechanical_supply(40_000, 114, 100, None).verdict == "unknown"
    assert air.check_mechanical_supply(40_000, 113, 100, None).verdict == "fail"


@pytest.mark.parametrize(
    ("material", "where", "share"),
    [("wood", "us", 0.25), ("metal", "us", 0.75), ("wood", "nyc", 0.10), ("metal", "nyc", 0.60)],
)
def test_louver_shares(material, where, share):  # nfpa54-2012 9.3.7.1; nyc-fgc-2022
    assert air.louver_free_share(material, where).share == share
    assert air.gross_area_in2(35.0, material, where) == pytest.approx(35.0 / share)


def test_unknown_louver():
    with pytest.raises(InputError, match="plastic"):
        air.louver_free_share("plastic")


def test_place_rules():
    assert place.check_least_dimension(2.9).verdict == "fail"
    assert place.check_least_dimension(3).verdict == "pass"
    assert place.check_opening_position(12, 12).verdict == "pass"
    assert place.check_opening_position(13, None).verdict == "fail"
    assert place.check_opening_position(12, None).verdict == "unknown"
    assert place.check_one_opening_clearance(1, 5).verdict == "fail"
    assert place.check_one_opening_clearance(1, 6).verdict == "pass"
    assert place.check_screen(0.2).verdict == "fail"
    assert place.check_screen(0.25).verdict == "pass"
    good = {"corrosion_resistant": True, "serves_one_space": True, "separate_high_and_low": True}
    assert place.check_air_duct(**good).verdict == "pass"
    assert place.check_air_duct().verdict == "unknown"
    for wrong in (
        {"separate_high_and_low": False},
        {"screened_in_attic": True},
        {"upper_duct_falls_toward_source": True},
        {"gap_around_liner": True},
        {"intake_above_grade_in": 11},
        {"fireblocks_removed": 2},
    ):
        assert place.check_air_duct(**{**good, **wrong}).verdict == "fail"


def test_fan_interference_is_never_a_pass():
    assert place.check_fan_interference(True).verdict == "unknown"
    assert place.check_fan_interference(None).verdict == "unknown"


def test_altitude():
    # nfpa54-2012 11.1.2: none up to 2000 ft, then 4 % per 1000 ft above sea level: 30 % at 7500 ft.
    assert derated_input_btu_h(40_000, 2000) == 40_000
    assert derated_input_btu_h(40_000, 7500) == pytest.approx(28_000)
    assert check_altitude_derate(40_000, 7500).verdict == "unknown"
    assert check_altitude_derate(40_000, 7500, 40_000).verdict == "fail"
    assert check_altitude_derate(40_000, 7500, 28_000).verdict == "pass"
    assert check_altitude_derate(40_000, 1500).verdict == "not applicable"
    with pytest.raises(InputError):
        derated_input_btu_h(40_000, 30_000)


def test_methods_of_the_annex_room():
    # The room of CA01 with both appliances, connectors 4 and 4 in.
    found = by_key(
        other_input_btu_h=40_000, fan_input_btu_h=100_000, space_volume_ft3=3600, connector_diameters_in=(4, 4)
    )
    assert found["standard_volume"].complies_now is False
    assert found["known_rate_volume"].complies_now is None
    assert found["two_outdoor_vertical"].parts[0].free_area_in2 == 35
    part = found["two_outdoor_vertical"].parts[0]
    assert (part.count, part.round_in) == (2, 7)  # 38.5 in2 is the first stock size over 35
    assert "12 in of the ceiling" in said(part.place)
    assert "12 in of the floor" in said(part.place)
    assert found["combination"].parts[0].free_area_in2 == pytest.approx(22.67, abs=0.005)
    assert found["combination"].parts[0].round_in == 6
    assert found["mechanical_supply"].parts[0].flow_cfm == pytest.approx(49)
    assert all("depressurization" in said(method.note) for method in found.values())


def test_lone_heater_needs_two_4_in_ducts():
    # 40,000 / 4000 = 10 in2 each: a 4 in. round has 12.57 in2, a 3 in. one 7.07.
    part = by_key(other_input_btu_h=40_000)["two_outdoor_vertical"].parts[0]
    assert part.round_in == 4
    # One opening: 13.3 in2 by input but a 4 in. connector has 12.57, so input governs and 5 in. is the stock size.
    assert by_key(other_input_btu_h=40_000, connector_diameters_in=(4,))["one_outdoor"].parts[0].round_in == 5


def test_indoor_openings_need_the_joined_volume_too():
    numbers = {
        "other_input_btu_h": 40_000,
        "space_volume_ft3": 500,
        "indoor_high_free_in2": 100,
        "indoor_low_free_in2": 100,
    }
    assert by_key(**numbers, same_story_volume_ft3=1499)["indoor_same_story"].complies_now is False
    assert by_key(**numbers, same_story_volume_ft3=1500)["indoor_same_story"].complies_now is True


def test_louver_sets_the_gross_size():
    metal = by_key(other_input_btu_h=140_000)["two_outdoor_direct"].parts[0]
    wood = by_key(other_input_btu_h=140_000, louver_material="wood")["two_outdoor_direct"].parts[0]
    assert metal.gross_area_in2 == pytest.approx(35 / 0.75)
    assert wood.gross_area_in2 == pytest.approx(35 / 0.25)


def test_big_rooms_get_parallel_ducts():
    # 600,000 Btu/h, horizontal: 300 in2 each; the largest stock round has 113 in2, three of them 339.
    part = by_key(other_input_btu_h=600_000)["two_outdoor_horizontal"].parts[0]
    assert part.round_in is not None
    per_place = part.count // 2
    assert per_place == 3
    assert per_place * round_area_in2(part.round_in) >= 300


def test_nothing_burns():
    with pytest.raises(InputError):
        combustion_air_methods(other_input_btu_h=0)


@given(st.floats(0, 113))
def test_trade_round_is_the_smallest_that_fits(area):
    size = next_trade_round_in(area)
    assert size is not None
    assert round_area_in2(size) >= area
    smaller = [other for other in trade_rounds_in() if other < size]
    assert all(round_area_in2(other) < area for other in smaller)


def test_trade_sizes_end():
    assert next_trade_round_in(round_area_in2(12) + 0.1) is None
    assert next_trade_grille_in(1e6) is None
    with pytest.raises(InputError):
        next_trade_round_in(-1)


@given(st.floats(1_000, 400_000), st.floats(0, 400_000), st.floats(0.05, 3))
def test_known_rate_falls_with_rate_and_grows_with_input(other, fan, ach):
    need = air.known_rate_volume_ft3(other, fan, ach)
    assert need >= air.known_rate_volume_ft3(other, fan, ach * 1.1)
    assert need <= air.known_rate_volume_ft3(other * 1.1, fan, ach)
    # A draft hood asks for 21/15 of a fan-assisted burner.
    assert air.known_rate_volume_ft3(other, 0, ach) == pytest.approx(1.4 * air.known_rate_volume_ft3(0, other, ach))


@given(st.floats(0, 10_000), st.floats(100, 10_000), st.floats(1, 500))
def test_combination_lies_between_nothing_and_full(available, required, full):
    area = air.combination_opening_in2(full, available, required)
    assert 0 <= area <= full
    assert (area == 0) == (available >= required)


# Canada: csa-b149-text examples CA20-CA29. Tables 8.1-8.3 were not read; the fits are status "derived".
@pytest.mark.parametrize(
    ("with_control", "without", "area", "duct"),
    [
        (125_000, 0, 18, 5),  # CA20
        (290_000, 0, 43, 7),  # CA21
        (0, 136_000, 11, 4),  # CA22
        (40_000, 100_000, 11, None),  # CA23
        (210_000, 0, 32, 6),  # CA24
    ],
)
def test_canada_small(with_control, without, area, duct):
    found = canada.canada_opening_in2(with_control, without)
    assert round(found) == area
    if duct is not None:
        assert canada.canada_round_duct_in(found) == duct


def test_canada_enclosure_and_lone_heater():
    assert canada.canada_enclosure_opening_in2(125_000) == 125  # CA25
    assert canada.canada_opening_in2(50_000, lone_water_heater=True) == 0
    assert canada.canada_opening_in2(51_000, lone_water_heater=True) > 0
    with pytest.raises(InputError, match="400000"):
        canada.canada_opening_in2(400_001)


@pytest.mark.parametrize(
    ("natural", "power", "area", "ventilation"),
    [
        (700_000, 0, 100, 10),  # CA26
        (1_600_000, 0, 186, 19),  # CA27
        (0, 1_500_000, 50, 10),  # CA28
        (1_800_000, 1_200_000, 240, 24),  # CA29
    ],
)
def test_canada_large(natural, power, area, ventilation):
    found = canada.canada_large_system_in2(natural, power)
    assert round(found.air_in2) == area
    assert math.floor(found.ventilation_in2 + 0.5) == ventilation
