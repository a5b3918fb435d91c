"""The natural air-change rate in a case (NFPA 54-2012 9.3.2, 9.3.2.2; mn-ifgc-e1): known, by state, or only pointed to.

By hand for 40,000 Btu/h with a draft hood: standard 50 x 40 = 2,000 ft3 (CA13); known rate 21 / ACH x 40: 2,100 ft3 at
0.40 (CA15), 4,200 at 0.20 (CA14), 1,400 from 0.60 on. Fan-assisted 15 / ACH x 40 = 1,500 at 0.40 (CA17).
"""

from __future__ import annotations

import pytest
from conftest import said

from advisor.case.model import Case
from advisor.case.read import parse_case
from advisor.codes.air_change_rate import check_rate_shown, state_air_changes
from advisor.codes.check import Check
from advisor.errors import InputError
from advisor.facts import air_changes
from advisor.findings import finding
from advisor.remedies import combustion_air
from advisor.remedies.air_facts import combustion_air_ways
from advisor.remedies.base import Job
from advisor.review.case import air_checks

STANDARD, KNOWN = "standard_indoor_volume", "known_infiltration_volume"
TRACER = 'air_changes_per_hour = {}\nair_changes_basis = "tracer gas"\n'
GUESS = 'air_changes_per_hour = {}\nair_changes_basis = "estimated"\n'
TIGHTER = "leakage_cfm50 = 500\nvolume_ft3 = 9000\n"  # 3.3 at 50 Pa, 0.17
STATED = "air_changes_per_hour = {}\n"
DOOR = 'kind = "{}"\ndoor = "solid"\ngrille_free_area_in2 = 0\n'
FAN = '[[other_appliance]]\nkind = "furnace"\ndraft = "fan-assisted"\ninput_btu_h = 40000\n'


def house(rate: str, volume: float | None, *, more: str = "", kind: str = "utility room", burners: str = "") -> Case:
    """A heater of 40,000 Btu/h in a shut room; all that the volume methods rest on is given unless it is the matter."""
    lists = "supply = []\nopening = []\nexhaust = []\n" + ("" if burners else "other_appliance = []\n")
    zone = DOOR.format(kind) + ("" if volume is None else f"volume_ft3 = {volume}\n")
    return parse_case(
        f"{lists}[house]\n{rate}{more}[zone]\n{zone}[heater]\ninput_btu_h = 40000\n[vent]\nshared = false\n{burners}"
        '[[run]]\nseen = "unclear"\n'
    )


def in_use(case: Case) -> Check:
    return air_checks(case)[0]


@pytest.mark.parametrize(
    ("rate", "volume", "rule", "verdict"),
    [
        # nobody knows the rate: 2,000 ft3 (CA13)
        ("", 2000, STANDARD, "pass"),
        ("", 1999, STANDARD, "fail"),
        # 0.40 measured: the formula asks for 2,100 (CA15), the standard method is not used whatever it would say
        (TRACER.format(0.4), 2100, KNOWN, "pass"),
        (TRACER.format(0.4), 2050, KNOWN, "fail"),
        # below 0.40 it is compulsory: 4,200 at 0.20 (CA14)
        (TRACER.format(0.2), 4200, KNOWN, "pass"),
        (TRACER.format(0.2), 4199, KNOWN, "fail"),
        (TRACER.format(0.39), 2000, KNOWN, "fail"),
        # 9.3.2.2(3): more than 0.60 counts as 0.60
        (TRACER.format(0.6), 1400, KNOWN, "pass"),
        (TRACER.format(3.0), 1400, KNOWN, "pass"),
        (TRACER.format(3.0), 1399, KNOWN, "fail"),
    ],
)
def test_the_rate_chooses_the_method(rate: str, volume: float, rule: str, verdict: str) -> None:
    check = in_use(house(rate, volume))
    assert (check.rule, check.verdict, check.missing) == (rule, verdict, ())


def test_the_two_coefficients_add_up_in_one_room() -> None:
    # 2,100 by the hood (CA15) and 1,500 by the fan-assisted one (CA17)
    for volume, verdict in ((3600, "pass"), (3599, "fail")):
        check = in_use(house(TRACER.format(0.4), volume, burners=FAN))
        assert (check.rule, check.verdict) == (KNOWN, verdict)
        assert said(check.required) == "at least 3,600 ft3"
        # that the two volumes are added was not read
        assert check.status == "memory"


def test_the_standard_method_is_not_offered_beside_a_known_rate() -> None:
    ways = {way.key: way for way in combustion_air_ways(house(TRACER.format(0.2), 9000))}
    assert ways["standard_volume"].complies_now is None
    assert ways["standard_volume"].check.official.id == "codes_air.rate_known_compulsory"
    assert ways["known_rate_volume"].complies_now is True


def test_a_rate_without_its_origin_shows_nothing() -> None:
    for volume, usual in ((4200, "pass"), (4199, "fail")):
        check = in_use(house(STATED.format(0.2), volume))
        assert (check.rule, check.verdict, check.usual) == (KNOWN, "unknown", usual)
        assert check.missing == ("air_change_basis",)


def test_taken_away_or_not_measured_it_is_unknown() -> None:
    assert in_use(house(TRACER.format(0.2), None)).verdict == "unknown"
    assert in_use(house(GUESS.format(0.39), 5000)).verdict == "unknown"


@pytest.mark.parametrize(
    ("rate", "tight"),
    [
        # ACH50 / 20 (quick rule): 1,000 cfm in 8,000 ft3 = 7.5 at 50 Pa = 0.375; 1,080 = 8.1 = 0.405
        ("leakage_cfm50 = 1000\nvolume_ft3 = 8000\n", True),
        ("leakage_cfm50 = 1080\nvolume_ft3 = 8000\n", False),
        # 0.40 itself is not below 0.40: 1,600 cfm in 12,000 ft3 = 8.0
        ("leakage_cfm50 = 1600\nvolume_ft3 = 12000\n", False),
        ("leakage_cfm50 = 1599\nvolume_ft3 = 12000\n", True),
        # no volume: the floor under a usual ceiling of 8 ft; neither: nothing is shown and the rate is simply not known
        ("leakage_cfm50 = 1000\nfloor_area_ft2 = 1000\n", True),
        ("leakage_cfm50 = 1080\nfloor_area_ft2 = 1000\n", False),
        ("leakage_cfm50 = 300\n", False),
        (GUESS.format(0.39), True),
        (GUESS.format(0.40), False),
        # the lowest sign counts
        (GUESS.format(0.60) + "leakage_cfm50 = 1000\nvolume_ft3 = 8000\n", True),
        # what was measured settles it
        (TRACER.format(0.40) + "leakage_cfm50 = 1000\nvolume_ft3 = 8000\n", False),
    ],
)
def test_a_tight_house_never_passes_by_volume(rate: str, tight: bool) -> None:
    checks = air_checks(house(rate, 5000))
    assert checks[0].verdict == ("unknown" if tight else "pass")
    assert checks[0].missing == (("air_change_rate",) if tight else ())
    shown = [check for check in checks if check.rule == "air_change_rate_of_the_house"]
    assert [check.verdict for check in shown] == (["unknown"] if tight else [])


def test_what_is_too_small_stays_too_small_in_a_tight_house() -> None:
    checks = air_checks(house("leakage_cfm50 = 1000\nvolume_ft3 = 8000\n", 1500))
    assert [check.verdict for check in checks] == ["fail"]


def test_the_words_say_what_to_do() -> None:
    first, shown = air_checks(house("leakage_cfm50 = 1000\nvolume_ft3 = 8000\n", 5000))
    assert "tracer gas" in said(first.client)
    assert "outdoors" in said(first.client)
    assert "1,000 cfm at 50 Pa in 8,000 ft3 = 7.5" in said(shown.official)
    assert "about 0.38 by" in said(shown.official)
    assert (shown.clause, shown.status) == ("NFPA 54-2012 9.3.2", "seen")


def test_a_usual_ceiling_weakens_the_status() -> None:
    _, shown = air_checks(house("leakage_cfm50 = 1000\nfloor_area_ft2 = 1000\n", 5000))
    assert shown.status == "common practice"


@pytest.mark.parametrize("volume", [1500, 5000])
def test_methods_that_count_volume_are_withheld_and_outdoor_ones_are_not(volume: float) -> None:
    tight = "leakage_cfm50 = 1000\nvolume_ft3 = 8000\n"
    opening = '[[opening]]\nkind = "direct"\nposition = "high"\ndiameter_in = 5\ncover = "none"\nstate = "open"\n'
    text = "supply = []\nother_appliance = []\nexhaust = []\n[house]\n{}[zone]\n{}[heater]\ninput_btu_h = 40000\n"
    zone = DOOR.format("utility room") + f"volume_ft3 = {volume}\n"
    case = parse_case(
        text.format(tight, zone)
        + f'[vent]\nshared = false\nconnector_diameter_in = 4\n{opening}[[run]]\nseen = "unclear"\n'
    )
    ways = {way.key: way for way in combustion_air_ways(case)}
    # 19.6 in2 against 40,000 / 3,000 = 13.3 and the connector's 12.6
    assert ways["one_outdoor"].complies_now is True
    assert ways["standard_volume"].complies_now is (None if volume == 5000 else False)
    assert ways["combination"].complies_now is None
    assert "air_change_rate" in ways["combination"].check.missing
    assert in_use(case).rule == "one_outdoor_opening"


def test_grilles_to_a_tight_house_are_not_shown_to_be_enough() -> None:
    def volume_check(rate: str) -> Check:
        case = house(rate, 500)
        sized = next(r for r in combustion_air.REMEDIES if r.id == "indoor_openings").size(Job(case))
        return next(check for check in sized.checks if check.rule in (STANDARD, KNOWN))

    assert volume_check("volume_ft3 = 8000\n").verdict == "pass"
    assert volume_check("volume_ft3 = 8000\nleakage_cfm50 = 1000\n").verdict == "unknown"
    # 21 / 0.10 x 40 = 8,400 ft3
    assert volume_check("volume_ft3 = 8400\n" + TRACER.format(0.1)).verdict == "pass"
    assert volume_check("volume_ft3 = 8399\n" + TRACER.format(0.1)).verdict == "fail"


@pytest.mark.parametrize(
    ("more", "volume", "rule", "verdict", "missing"),
    [
        # mn-ifgc-e1: 0.20 for a house of 1994 or later (CA14), 0.40 before, where the standard method stands (CA13)
        ('state = "MN"\nyear_built = 1994\n', 4200, KNOWN, "pass", ()),
        ('state = "MN"\nyear_built = 1994\n', 4199, KNOWN, "fail", ()),
        ('state = "MN"\nyear_built = 1993\n', 2000, STANDARD, "pass", ()),
        ('state = "MN"\n', 2000, STANDARD, "unknown", ("year_built",)),
        ('state = "MN"\n', 1999, STANDARD, "fail", ()),
        ('state = "WI"\nyear_built = 1994\n', 2000, STANDARD, "pass", ()),
        # a blower door that points below the state's rate withholds it
        ('state = "MN"\nyear_built = 1994\n' + TIGHTER, 4200, KNOWN, "unknown", ("air_change_rate",)),
        # a measured rate goes before the state's
        ('state = "MN"\nyear_built = 1994\n' + TRACER.format(0.4), 2100, KNOWN, "pass", ()),
    ],
)  # fmt: skip
def test_the_form_of_a_state(more: str, volume: float, rule: str, verdict: str, missing: tuple[str, ...]) -> None:
    check = in_use(house("", volume, more=more))
    assert (check.rule, check.verdict, check.missing) == (rule, verdict, missing)
    if rule == KNOWN and verdict != "unknown":
        by_state = "tracer" not in more
        assert ("mn-ifgc-e1" in check.source) is by_state
        assert ("Table E-1" in said(check.official)) is by_state


def test_every_year_of_a_state_has_one_rate() -> None:
    for year in (1600, 1993, 1994, 2026):
        assert sum(row.built_from <= year <= row.built_to for row in state_air_changes("MN")) == 1
    assert state_air_changes("WI") == ()


def test_plain_numbers() -> None:
    assert check_rate_shown(0.399, finding("codes_air.rate_by_estimate")).verdict == "unknown"
    assert check_rate_shown(0.40, finding("codes_air.rate_by_estimate")).verdict == "not applicable"
    assert air_changes.shown(house("", 2000)) is None
    with pytest.raises(InputError):
        house(STATED.format(0), 2000)
