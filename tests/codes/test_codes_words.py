"""No sentence stands in the modules of the air, limit, terminal, CO and make-up rules, and every finding can be said.

What a reader sees is held against the units asked for: a reader of SI finds no US unit in any sentence of these rules.
"""

from __future__ import annotations

import ast
import itertools
import re
from collections.abc import Iterator

import pytest
from conftest import ROOT, said

from advisor import catalog
from advisor.codes import air_methods, limits, makeup_air, places, terminals
from advisor.codes import co_limits as co
from advisor.codes import combustion_air as air
from advisor.codes import combustion_air_place as place
from advisor.codes.check import Check
from advisor.findings import Finding
from advisor.wording.checks import official_words, rule_words
from advisor.wording.messages import has
from advisor.wording.speak import speaking

MODULES = (
    *("air_methods", "altitude", "co_limits", "combustion_air", "combustion_air_canada", "combustion_air_place"),
    *("limits", "makeup_air", "places", "terminals"),
)
US_UNIT = re.compile(r"\d (?:ft|ft2|ft3|in(?! parallel)|in2|cfm|F|Btu/h|gal|lb|mph|in wc)\b")
YES_NO = (None, True, False)


def sentences(tree: ast.Module) -> Iterator[str]:
    """Every string of three or more words outside docstrings and raise statements."""
    spared = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.Raise) or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        text = isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in spared
        if text and sum(any(map(str.isalpha, word)) for word in node.value.split()) >= 3:
            yield node.value


@pytest.mark.parametrize("name", MODULES)
def test_no_sentence_in_the_module(name: str) -> None:
    tree = ast.parse((ROOT / "advisor" / "codes" / f"{name}.py").read_text(encoding="utf-8"))
    assert list(sentences(tree)) == []


def test_the_count_finds_a_sentence() -> None:
    tree = ast.parse('def f(x):\n    """Three words here."""\n    return f"the room holds {x} of it", "two words"\n')
    assert list(sentences(tree)) == ["the room holds "]


def air_checks() -> Iterator[Check]:
    yield air.check_standard_volume(40_000, None)
    for volume, ach in itertools.product((1000.0, 9000.0), (None, 0.3, 0.5)):
        yield air.check_standard_volume(40_000, volume, ach)
    for fan, ach in itertools.product((0.0, 60_000.0), (None, 0.3, 0.9)):
        yield air.check_known_rate_volume(40_000, fan, 3000, ach)
    for area in (None, 1.0, 1000.0):
        yield air.check_indoor_openings_same_story(40_000, area, area)
        yield air.check_indoor_openings_other_story(40_000, area)
        yield from (air.check_two_outdoor_openings(40_000, path, area, area) for path in air.PATHS)
        yield air.check_one_outdoor_opening(40_000, (4.0,), area)
        yield from (air.check_combination(13.3, held, 2000, area) for held in (None, 0.0, 1000.0, 2000.0))
    for flow, lock in itertools.product((None, 1.0, 500.0), YES_NO):
        yield air.check_mechanical_supply(40_000, flow, 50, lock)


def place_checks() -> Iterator[Check]:
    for size in (None, 0.1, 20.0):
        yield place.check_least_dimension(size)
        yield place.check_opening_position(size, size)
        yield place.check_one_opening_clearance(size, size)
        yield place.check_screen(size)
    for known in YES_NO:
        yield place.check_fan_interference(known)
        yield place.check_air_duct(corrosion_resistant=known, serves_one_space=known, separate_high_and_low=known)
        bad = None if known is None else not known
        yield place.check_air_duct(
            screened_in_attic=bad,
            upper_duct_falls_toward_source=bad,
            gap_around_liner=bad,
            intake_above_grade_in=3.0,
            fireblocks_removed=2,
        )


def where_checks() -> Iterator[Check]:
    rooms: tuple[places.Place | None, ...] = ("bedroom", "bathroom", "closet", "other", None)
    flames: tuple[places.Flame, ...] = ("open", "sealed", "none")
    for room, flame, known, door in itertools.product(rooms, flames, YES_NO, YES_NO):
        yield places.check_sleeping_room(room, flame=flame, all_air_from_outdoors=known, self_closing_tight_door=door)
    for height, flame, known, new in itertools.product((None, 4.0, 18.0), flames, YES_NO, (True, False)):
        yield places.check_garage_ignition_height(height, flammable_vapor_listed=known, flame=flame, new_unit=new)
    for known, other in itertools.product(YES_NO, YES_NO):
        yield places.check_garage_opening_to_dwelling(known, other)
    for known in YES_NO:
        yield places.check_garage_vehicle_barrier(known)
        yield places.check_service_access(known)
        yield from (places.check_manufactured_home_listing(known, new_unit=new) for new in (True, False))
        yield from (places.check_manufactured_home_separate_air(flame, known) for flame in flames)
        yield from (places.check_outdoor_protection(known, new_unit=new) for new in (True, False))


def limit_checks() -> Iterator[Check]:
    for scheme, rows in limits.schemes().items():
        for situation, row in rows.items():
            words: dict[str, str] = {}
            if situation in ("furnace", "damped furnace", "induced draft"):
                words = {"shared": situation}
            elif situation in ("power vent", "sealed", "lone inducer"):
                words = {"appliance": "induced draft" if situation == "lone inducer" else situation}
            limit = limits.depressurization_limit(situation == "orphan", False, scheme=scheme, **words)  # type: ignore[arg-type]
            assert situation == "all" or limit.key == row.key
            yield from (limits.check_depressurization(net, limit) for net in (None, 1.0, 90.0))
    alone = [limits.depressurization_limit(orphan, False) for orphan in (True, False)]
    yield from (limits.check_possible_depressurization(net, alone, ["was_shared"]) for net in (None, 1.0, 3.0, 9.0))
    yield from (limits.check_draft(draft, outdoors) for draft in (None, 1.0) for outdoors in (None, 40.0))
    for key, seconds, watched in itertools.product(limits.SPILLAGE_KEYS, (None, 100.0, float("inf")), (None, 90.0)):
        yield from limits.spillage_checks(seconds, key, watched_s=watched)


def co_checks() -> Iterator[Check]:
    for key, ppm, oxygen in itertools.product(co.FLUE_KEYS, (None, 20.0, 900.0), (None, 8.0, 20.5)):
        yield co.check_flue_co(ppm, oxygen_pct=oxygen, key=key)
        yield co.check_flue_co(ppm, basis="air-free", key=key)
    yield from (co.check_ambient_co(ppm) for ppm in (None, 0.0, 12.0, 40.0, 200.0))
    for column, fans in itertools.product("ABCD", ([], [100.0, 1200.0])):
        yield makeup_air.makeup_air(column, 2000.0, fans).check
    for cfm in (None, 200.0, 600.0):
        yield makeup_air.check_state_trigger(cfm)
        for beside, makeup, starts in itertools.product(
            ("natural", "outside", "fan-assisted", "none", None), (None, 0.0, 300.0, 700.0), YES_NO
        ):
            yield makeup_air.check_hood(cfm, beside, makeup_cfm=makeup, starts_by_itself=starts)


def terminal_checks() -> Iterator[Check]:
    numbers = (None, 0.5, 4.0, 30.0)
    for pitch, height, wall, size, over, cap in itertools.product(
        (None, 5.0, 24.0), numbers, (None, 3.0, 20.0), (None, 4.0, 14.0), numbers, YES_NO
    ):
        yield terminals.check_roof_height(
            pitch_rise_per_12=pitch,
            height_above_roof_ft=height,
            diameter_in=size,
            wall_distance_ft=wall,
            above_obstacles_within_10_ft=over,
            listed_cap=cap,
        )
    for above, away in itertools.product(numbers, (*numbers, float("inf"))):
        yield terminals.check_chimney_height(
            above_hood_ft=above, above_roof_ft=away, above_obstacles_within_10_ft=above
        )
        yield terminals.check_forced_air_inlet(above, away)
    for scheme, power, one in itertools.product(terminals.TERMINAL_SCHEMES, (9_000, 40_000, 60_000, 199_000), numbers):
        for lies in (None, "beside", "below"):
            yield from terminals.check_sidewall_terminal(
                scheme,
                power,
                opening_ft=one,
                opening_is=lies,  # type: ignore[arg-type]
                forced_inlet_above_ft=one,
                forced_inlet_horizontal_ft=one,
                grade_in=one,
                expected_snow_in=one,
                adjacent_opening_ft=one,
                above_adjacent_opening_ft=one,
                walkway_ft=one,
                meter_ft=one,
                regulator_vent_ft=one,
            )


ROOMS = {
    "air": air_checks,
    "place": place_checks,
    "limit": limit_checks,
    "CO and make-up": co_checks,
    "terminal": terminal_checks,
    "where it stands": where_checks,
}


@pytest.mark.parametrize("room", ROOMS)
def test_every_check_can_be_said_in_both_systems(room: str) -> None:
    seen = set()
    for check in ROOMS[room]():
        assert has(f"codes.rule.{check.rule}"), check.rule
        assert re.fullmatch(r"[a-z_]+", check.rule)
        assert check.clause
        for system in ("us", "si"):
            with speaking(system):
                sentences_said = (official_words(check), said(check.client), said(check.required), said(check.provided))
            for words in (rule_words(check), *sentences_said):
                assert "{" not in words
                if system == "si":
                    assert not US_UNIT.search(words), words
            assert sentences_said[0].endswith(".")
            assert sentences_said[1].endswith(".")
        seen.add(check.rule)
    assert len(seen) >= 4


def test_the_pattern_finds_us_units() -> None:
    for words in ("at least 12 in above", "40,000 Btu/h", "2 ft3 or", "up to 4 in.", "35 cfm"):
        assert US_UNIT.search(words)
    assert not US_UNIT.search("NFPA 54-2012 12.7.2, 4 inches, 3 m2")


@pytest.mark.parametrize("louver", ["metal", "wood", "none"])
def test_every_way_and_its_parts_can_be_said(louver: str) -> None:
    keys = set()
    for altitude, volume, power in itertools.product((0.0, 7000.0), (None, 500.0, 90_000.0), (40_000.0, 900_000.0)):
        for way in air_methods.combustion_air_methods(
            other_input_btu_h=power,
            space_volume_ft3=volume,
            same_story_volume_ft3=1000.0,
            altitude_ft=altitude,
            louver_material=louver,
            connector_diameters_in=(4.0,),
        ):
            keys.add(way.key)
            assert way.name == Finding(f"codes_air.method.{way.key}")
            for system in ("us", "si"):
                with speaking(system):
                    words = [said(way.name), said(way.note)]
                    words += [said(w) for part in way.parts for w in (part.item, part.trade_size, part.place)]
                assert system == "us" or not any(US_UNIT.search(w) for w in words), words
            assert said(way.note).endswith("a room can pass and still spill.")
    assert len(keys) == 10


def test_every_id_of_the_tables_has_its_message() -> None:
    rows = {
        "codes_limits.system": catalog.table("depressurization_limits"),
        "codes_limits.line": catalog.table("spillage_time"),
        "codes_co.what": catalog.table("co_limits"),
    }
    for room, found in rows.items():
        assert not [row["key"] for row in found if not has(f"{room}.{row['key']}")]
    for row in catalog.table("terminal_clearances"):
        for column in ("item", "condition", "direction"):
            assert has(f"codes_terminals.{column}.{row[column].replace(' ', '_')}")
