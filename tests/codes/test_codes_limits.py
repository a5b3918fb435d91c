"""Test limits, carbon monoxide and make-up air against LIM-16 to LIM-28, CC-14 and CC-40 (ids of the fact base)."""

from __future__ import annotations

import math

import pytest
from conftest import said
from hypothesis import given
from hypothesis import strategies as st

from advisor import catalog
from advisor.codes import co_limits as co
from advisor.codes import limits, makeup_air
from advisor.codes.co_older import older_action, with_older_action
from advisor.errors import InputError
from advisor.wording.checks import official_words


def limit_pa(*args, **kwargs):
    return limits.depressurization_limit(*args, **kwargs).limit_pa


@pytest.mark.parametrize(
    ("orphan", "masonry", "shared", "pascals"),
    [
        (True, False, "none", 2),
        (False, True, "none", 2),
        (False, False, "none", 5),
        (False, False, "furnace", 3),
        (False, False, "damped furnace", 5),
        (False, False, "induced draft", 5),
    ],
)
def test_depressurization_limits(orphan, masonry, shared, pascals):  # bpi-older, second-hand
    found = limits.depressurization_limit(orphan, masonry, shared)
    assert found.limit_pa == pascals
    assert found.status == "second-hand"
    assert "spillage outcome governs" in said(found.note)


def test_the_2_versus_5_conflict_is_shown():
    low, high = limits.depressurization_limit(True, False), limits.depressurization_limit(False, False)
    assert (low.limit_pa, low.other_pa) == (2, 5)
    assert (high.limit_pa, high.other_pa) == (5, 2)
    assert "correctly sized individual Type B" in said(high.note)
    assert limits.check_depressurization(3.0, low).verdict == "fail"
    assert limits.check_depressurization(3.0, high).verdict == "pass"
    assert limits.check_depressurization(None, high).verdict == "unknown"


def test_other_schemes_and_appliances():
    assert limit_pa(False, False, scheme="minnesota_audit") == 2  # audit-practice-mn, seen
    assert limit_pa(False, False, appliance="power vent") == 15
    assert limit_pa(False, False, appliance="induced draft") == 15
    assert limit_pa(False, False, "induced draft", appliance="induced draft") == 5
    sealed = limits.depressurization_limit(False, False, appliance="sealed")
    # printed in a second reprint of the list (wx-form-reprint): no longer from memory
    assert (sealed.limit_pa, sealed.status) == (50, "second-hand")
    assert limit_pa(False, False, scheme="minnesota_audit", appliance="sealed") == 25
    none = limits.depressurization_limit(True, True, scheme="ansi_bpi_1200")
    assert none.limit_pa is None
    assert limits.check_depressurization(30, none).verdict == "not applicable"
    assert limit_pa(False, False, scheme="canada_tight_house") == 5
    with pytest.raises(InputError, match="scheme"):
        limits.depressurization_limit(True, True, scheme="BPI")
    with pytest.raises(InputError, match="no depressurization limit"):
        limits.depressurization_limit(True, True, scheme="canada_tight_house", appliance="sealed")


@pytest.mark.parametrize(("temp_f", "pascals"), [(10, 2.50), (40, 1.75), (90, 0.50)])
def test_lim_24_minimum_draft(temp_f, pascals):  # bpi-older, memory rule, exact
    assert limits.minimum_draft_pa(temp_f) == pascals


@given(st.floats(-60, 130))
def test_minimum_draft_is_the_published_formula(temp_f):
    # bpi-older as wx-form-reprint quotes it: < 10 F 2.5; 10-90 F 2.75 - T/40; > 90 F 0.5. The code interpolates the rows.
    formula = 2.5 if temp_f < 10 else 0.5 if temp_f > 90 else 2.75 - temp_f / 40
    assert limits.minimum_draft_pa(temp_f) == pytest.approx(formula, abs=1e-9)


def test_draft_check_is_a_quote_and_says_so():
    check = limits.check_draft(1.0, 40)
    assert check.verdict == "fail"
    assert check.status == "second-hand"
    assert "as quoted in another document" in official_words(check)
    assert limits.check_draft(None, 40).verdict == "unknown"


def test_spillage_lines():
    # The same 100 s fail the 60 s line (bpi-older) and pass 120 s, 300 s and 300 s. The trip time of a spill switch
    # (600 s) is no time for which gas may come out, so it is no line any more.
    assert limits.SPILLAGE_KEYS == ("bpi_older_any", "bpi1200_wh", "bpi1200_cold", "fuel_gas_code")
    assert [limits.spillage_line(key).limit_s for key in limits.SPILLAGE_KEYS] == [60, 120, 300, 300]
    verdicts = [limits.check_spillage_time(100, key).verdict for key in limits.SPILLAGE_KEYS]
    assert verdicts == ["fail", "pass", "pass", "pass"]
    with pytest.raises(InputError):
        limits.spillage_line("spill_switch")
    default = limits.spillage_line()
    assert (default.key, default.limit_s) == ("bpi1200_wh", 120)
    assert limits.check_spillage_time(120).verdict == "pass"
    assert limits.check_spillage_time(120.1).verdict == "fail"
    assert {limits.check_spillage_time(math.inf, key).verdict for key in limits.SPILLAGE_KEYS} == {"fail"}


@pytest.mark.parametrize("key", limits.SPILLAGE_KEYS)
def test_one_line_judges_and_the_others_only_inform(key):
    judged, others = limits.spillage_checks(100, key)
    assert judged == limits.check_spillage_time(100, key)
    assert others.verdict == "not applicable"
    assert said(others.official).count("(not met)") == (key != "bpi_older_any")  # 100 s against 60 s
    assert f"{said(judged.required)} ({judged.clause})" in said(others.official)


def test_the_minutes_of_the_fuel_gas_code_were_read():
    # manual-vent-check-5min: two manuals print the sentence
    assert limits.spillage_line("fuel_gas_code").status == "seen"


def test_a_short_watch_decides_nothing():
    assert limits.check_spillage_time(None).verdict == "unknown"
    assert limits.check_spillage_time(None, watched_s=90).verdict == "unknown"
    assert limits.check_spillage_time(None, watched_s=121).verdict == "fail"
    with pytest.raises(InputError, match="did you mean"):
        limits.check_spillage_time(10, "bpi1200wh")
    with pytest.raises(InputError):
        limits.check_spillage_time(-1)


def test_cc_14_air_free():  # air-free-example: 50 ppm at 7 % O2 is 75 ppm air-free, 0.5 %
    assert co.co_air_free_ppm(50, 7) == pytest.approx(75, rel=0.005)


@pytest.mark.parametrize(
    ("ppm", "oxygen", "air_free"), [(100, 9, 175.6), (50, 14, 151.4), (30, 18, 216.2), (200, 5, 262.9)]
)
def test_cc_40_air_free(ppm, oxygen, air_free):  # own, 0.1 %
    assert co.co_air_free_ppm(ppm, oxygen) == pytest.approx(air_free, rel=0.001)


@given(st.floats(0.1, 5000), st.floats(0, 18))
def test_air_free_is_never_below_the_reading(ppm, oxygen):
    assert co.co_air_free_ppm(ppm, oxygen) >= ppm * (1 - 1e-12)


@pytest.mark.parametrize("oxygen", [-0.1, 18.1, 20.9, 25, math.nan])
def test_air_free_refuses_nearly_plain_air(oxygen):
    with pytest.raises(InputError, match="oxygen_pct"):
        co.co_air_free_ppm(50, oxygen)


def test_flue_limits_keep_their_basis():  # ansi-bpi-1200 Table 1, second-hand
    assert co.check_flue_co(150, oxygen_pct=7).verdict == "fail"  # 225 air-free > 200
    assert co.check_flue_co(130, oxygen_pct=7).verdict == "pass"  # 195
    assert co.check_flue_co(150).verdict == "unknown"  # as measured without oxygen: not comparable
    assert co.check_flue_co(199, basis="air-free").verdict == "pass"
    assert co.check_flue_co(225, key="flue_oven").verdict == "pass"
    assert co.check_flue_co(225, basis="air-free", key="flue_oven").verdict == "unknown"
    assert co.check_flue_co(400, basis="air-free", key="flue_furnace").verdict == "pass"
    assert co.check_flue_co(None).verdict == "unknown"
    with pytest.raises(InputError):
        co.check_flue_co(1, key="mn_wh")


@pytest.mark.parametrize(
    ("ppm", "level", "abort"),
    [
        (0, "none", False),
        (8.9, "none", False),
        (9, "tell", False),
        (35, "tell", False),
        (35.5, "act", True),
        (69.9, "act", True),
        (70, "evacuate", True),
        (500, "evacuate", True),
    ],
)
def test_room_levels(ppm, level, abort):  # ansi-bpi-1200 second-hand; abort above 35: bpi-older, seen
    action = co.ambient_action(ppm)
    assert (action.level, action.abort_test) == (level, abort)
    assert co.check_ambient_co(ppm).verdict == ("pass" if level == "none" else "fail")


def test_room_reading_missing():
    assert co.check_ambient_co(None).verdict == "unknown"
    with pytest.raises(InputError):
        co.ambient_action(-1)


@pytest.mark.parametrize(
    ("ppm", "minutes", "outcome"),
    [
        (70, 59, "silent"),
        (70, 60, "may sound"),
        (70, 240, "sounds"),
        (150, 9, "silent"),
        (150, 50, "sounds"),
        (400, 3.9, "silent"),
        (400, 15, "sounds"),
        (30, 60 * 24 * 29, "silent"),
        (9, 60 * 24, "silent"),
        (200, 50, "sounds"),
        (50, 100, "not defined"),
    ],
)
def test_alarm_points(ppm, minutes, outcome):  # ul-2034
    assert co.alarm_outcome(ppm, minutes) == outcome


def test_alarm_is_silent_at_levels_that_ask_for_action():
    # ul-2034 with ansi-bpi-1200: at 30 ppm, far above 9 ppm, an alarm is silent for 30 days.
    assert co.ambient_action(30).level == "tell"
    assert co.alarm_outcome(30, 60 * 24) == "silent"


@pytest.mark.parametrize(("area", "cfm"), [(9668, 1450), (4068, 610)])
def test_lim_16_17(area, cfm):  # mn-rules-1346 forms, 1 cfm
    assert makeup_air.allowed_infiltration_cfm("A", area) == pytest.approx(cfm, abs=1)


def test_lim_18():  # mn-rules-1346 form: 80 % of a 300 cfm hood is 240 cfm
    assert makeup_air.counted_exhaust_cfm("A", [300], dryer=False) == 240


def test_lim_19():  # pnnl-code-brief: 300 cfm in a 900 CFM50 house, about 10 Pa read off a chart; formula 9.2
    pascals = makeup_air.depressurization_by_exhaust_pa(300, 900, 0.65)
    assert pascals == pytest.approx(10, rel=0.1)
    assert pascals == pytest.approx(9.2, abs=0.05)


@pytest.mark.parametrize(("column", "pascals"), [("A", 23.8), ("B", 10.8), ("C", 5.8), ("D", 2.0)])
def test_lim_28(column, pascals):  # own-calc, 1 %
    assert makeup_air.implied_limit_pa(column, 2.0, 0.65) == pytest.approx(pascals, rel=0.01)


def test_makeup_air():
    # Column C, 1500 ft2: 0.06 x 1500 = 90 cfm allowed; 135 + 0.8 x 400 + 0.8 x 100 = 535 cfm; owed 445.
    owed = makeup_air.makeup_air("C", 1500, [100, 400, 50])
    assert (owed.exhaust_cfm, owed.makeup_cfm) == (535, 535 - 90)
    assert owed.check.verdict == "fail"
    # Column A leaves the next largest out: 135 + 320 = 455; 0.15 x 4068 = 610: none owed.
    none = makeup_air.makeup_air("A", 4068, [100, 400, 50])
    assert none.exhaust_cfm == 455
    assert none.makeup_cfm == 0
    assert none.check.verdict == "pass"
    with pytest.raises(InputError):
        makeup_air.makeup_air("E", 1500, [])


def test_makeup_columns():
    column = makeup_air.makeup_air_column
    assert (column(), column(fan_assisted=2), column(atmospheric=1), column(atmospheric=1, solid_fuel=1)) == (
        "A",
        "B",
        "C",
        "D",
    )


@pytest.mark.parametrize(
    ("flow", "verdict"),
    [(None, "unknown"), (0, "pass"), (300, "pass"), (301, "not applicable"), (600, "not applicable")],
)
def test_state_trigger(flow, verdict):  # mn-rules-1346: an exhaust above 300 cfm; then the factor method decides
    assert makeup_air.check_state_trigger(flow).verdict == verdict


@pytest.mark.parametrize(
    ("flow", "beside", "makeup", "verdict", "status"),
    [
        # makeup-article: above 400 cfm, where natural-draft appliances exist
        (399, "natural", (0.0, None), "pass", "second-hand"),
        (400, "natural", (0.0, None), "pass", "second-hand"),
        (401, "natural", (0.0, None), "fail", "second-hand"),
        (400, None, (None, None), "pass", "second-hand"),
        (401, None, (0.0, None), "unknown", "second-hand"),
        (None, "natural", (0.0, None), "unknown", "second-hand"),
        (None, "none", (0.0, None), "unknown", "second-hand"),
        # sealed or electric only: not asked; that older editions ask it all the same is from memory
        (401, "none", (0.0, None), "not applicable", "memory"),
        (400, "none", (0.0, None), "pass", "second-hand"),
        (401, "fan-assisted", (0.0, None), "unknown", "memory"),
        (401, "outside", (0.0, None), "unknown", "memory"),
        (400, "outside", (0.0, None), "pass", "second-hand"),
        # make-up air: as much as the hood takes out, and by itself
        (600, "natural", (None, None), "unknown", "second-hand"),
        (600, "natural", (599.0, True), "unknown", "second-hand"),
        (600, "natural", (600.0, True), "pass", "memory"),
        (600, "natural", (600.0, None), "unknown", "memory"),
        (600, "natural", (600.0, False), "fail", "memory"),
        (600, None, (600.0, True), "pass", "memory"),
        (600, None, (600.0, False), "unknown", "memory"),
    ],
)
def test_hood(flow, beside, makeup, verdict, status):
    check = makeup_air.check_hood(flow, beside, makeup_cfm=makeup[0], starts_by_itself=makeup[1])
    assert (check.verdict, check.status) == (verdict, status)


@pytest.mark.parametrize(
    ("ppm", "result", "key"),
    [  # wx-form-reprint, as measured: 0-25, 26-100, 100-400, over 400
        (25, "passes", "proceed"),
        (25, "fails_worst_case", "gap"),  # no row is printed: treated as service
        (26, "passes", "advise"),
        (100, "passes", "advise"),
        (26, "fails_worst_case", "service"),
        (100, "fails_worst_case", "service"),
        (101, "passes", "stop_a"),
        (101, "fails_worst_case", "stop_a"),
        (5, "fails_natural", "stop_a"),  # OR: failing with no fan on is enough by itself
        (400, "fails_natural", "stop_a"),
        (401, "passes", "stop_b"),
        (401, "fails_worst_case", "emergency"),
        (401, "fails_natural", "emergency"),
    ],
)
def test_older_actions_by_flue_co_and_draft(ppm, result, key):
    row = older_action(ppm, result)
    assert (row.key, row.source) == (key, "wx-form-reprint")
    assert row.status == ("derived" if key == "gap" else "second-hand")


def test_the_older_action_stands_beside_the_limit_and_never_decides():
    now = co.check_flue_co(90, oxygen_pct=6.0)  # 90 x 20.9 / 14.9 = 126 air-free: within 200
    beside = with_older_action(now, 90, ("fails_worst_case", "fails_natural"))
    assert now.verdict == beside.verdict == "pass"
    assert (beside.status, beside.client) == (now.status, now.client)
    words = said(beside.official)
    assert "which decide nothing here" in words
    assert "advise a service call" in words
    assert "stop work" in words
    assert with_older_action(now, 90, ()) is now


def test_least_draft_of_the_reprint():  # wx-form-reprint: gas 2.75 - T/40 with a misprint at 20 F; oil in steps
    gas = {row["outdoor_temp_f"]: row for row in catalog.table("min_draft") if row["fuel"] == "gas"}
    assert {row["status"] for row in gas.values()} == {"second-hand"}
    assert "misprint" in gas["20"]["note"]
    assert limits.minimum_draft_pa(20.0) == pytest.approx(2.75 - 20 / 40) == pytest.approx(0.009 * 249.089, rel=0.01)
    oil = {
        row["outdoor_temp_f"]: float(row["min_draft_pa"]) for row in catalog.table("min_draft") if row["fuel"] == "oil"
    }
    assert [oil[t] for t in ("10", "20", "40", "70", "90")] == [15, 13, 11, 9, 7]
    # 0.06 and 0.03 in wc are printed beside them; an oil burner asks for several times the draft of a gas one
    assert oil["10"] == pytest.approx(0.06 * 249.089, rel=0.01)
    assert oil["90"] == pytest.approx(0.03 * 249.089, rel=0.07)
    assert limits.minimum_draft_pa(70.0) == 1.0 < oil["70"]
