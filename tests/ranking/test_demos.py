"""Each demo case has its own right answer for a physical reason (stated in its comment): the advice must find it.

The demos are invented; what they must show is the logic of the published test procedure (bpi-field-sheet; common
practice for the cause split) and the design's gates.
"""

from __future__ import annotations

import pytest
from conftest import DEMOS, said

from advisor import catalog

pytestmark = pytest.mark.xdist_group("demos")  # share the demos' advice on one worker


def option(advice, name):
    return next(o for o in advice.options if o.id == name)


def keepers(advice):
    return [o.id for o in advice.options if o.rank is not None and o.family not in ("replacement", "none")]


def test_stored_insulation_clearing_the_intake_comes_first(advice_of):
    advice = advice_of("stored_insulation")
    assert keepers(advice)[0] == "clear_intake"
    assert advice.found.spillage.worst_case > 0.8
    assert option(advice, "clear_intake").spillage.worst_case < 0.05
    assert advice.found.causes[0].id == "intake"


def test_nest_no_air_or_exhaust_option_passes(advice_of):
    advice = advice_of("nest_in_the_vent")
    assert advice.found.causes[0].id == "vent_blocked"
    assert all(not o.safe_enough for o in advice.options if o.family in ("combustion air", "exhaust"))
    assert keepers(advice)[0] == "clear_vent"


def test_big_hood_a_code_sized_opening_is_shown_and_is_not_enough(advice_of):
    advice = advice_of("new_range_hood")
    assert advice.found.causes[0].id == "exhaust"
    passive = option(advice, "two_outdoor_openings")
    assert passive.eligible
    assert not passive.safe_enough
    assert passive.reasons[0].id in ("ranking.spills_in_the_worst_case", "ranking.spills_as_in_a_run")
    assert passive.reasons[0]["share"].value > passive.reasons[0]["limit"].value
    assert passive.spillage.worst_case <= advice.found.spillage.worst_case + 1e-9
    assert option(advice, "recirculating_hood").safe_enough


def test_lone_heater_needs_the_liner_and_runs_wet_without(advice_of):
    advice = advice_of("lone_heater_brick_chimney")
    cold = next(c for c in advice.found.causes if c.id == "vent_cold_or_large")
    assert cold.stops_alone > 0.5
    assert option(advice, "line_chimney").safe_enough
    assert option(advice, "leave_as_found").vent_runs_wet > 0.9
    assert option(advice, "line_chimney").vent_runs_wet < 0.2


def test_return_leak_is_the_cause_and_sealing_it_passes(advice_of):
    advice = advice_of("return_leak_in_the_closet")
    assert advice.found.causes[0].id == "return_leak"
    assert option(advice, "seal_return_leaks").safe_enough
    assert keepers(advice)[0] == "seal_return_leaks"
    assert not option(advice, "ventless_dryer").safe_enough


def test_sound_house_nothing_wrong_comes_first(advice_of):
    advice = advice_of("sound_house")
    assert advice.found.nothing_wrong
    assert advice.options[0].id == "leave_as_found"
    assert "Not tested" in said(advice.found.sentence)


def test_a_run_with_the_furnace_firing_or_a_recirculating_hood_is_no_pass(advice_of):
    advice = advice_of("shared_furnace_firing")
    audit = advice.audits[0]
    assert not audit.worst_case
    assert any(s.id == "record.not_met.shared_off" for s in audit.shortfalls)
    # the hood that ran counts for nothing, as it takes no air out; what exhausts outdoors was off
    assert any("'bath fan', 'dryer' exhausts outdoors but was off" in s for s in said(audit.shortfalls))
    assert not advice.found.nothing_wrong
    assert any(w.id == "now.unsure" for w in advice.now)


@pytest.mark.parametrize("name", DEMOS)
def test_sealed_and_electric_pass_wherever_they_are_possible(advice_of, name):
    for o in advice_of(name).options:
        if o.appliance in ("sealed", "none") and o.eligible:
            assert o.safe_enough, o.id
            assert o.spillage.worst_case <= catalog.number("safety", "worst_case_limit")


@pytest.mark.parametrize("name", DEMOS)
def test_grades_are_tiers_and_values_are_sums(advice_of, name):
    advice = advice_of(name)
    tiers = {"robust": 0, "as tested": 1}
    ranked = [o for o in advice.options if o.rank is not None]
    assert [o.rank for o in ranked] == list(range(1, len(ranked) + 1))
    assert [tiers[o.safety] for o in ranked] == sorted(tiers[o.safety] for o in ranked)
    for o in advice.options:
        assert o.value == pytest.approx(sum(o.value_parts.values()), abs=1e-12)
        assert o.installed_cost_usd.low <= o.installed_cost_usd.typical <= o.installed_cost_usd.high
        assert o.reasons or o.rank is not None, f"{o.id} has neither a rank nor a reason"


def test_striking_an_option_never_reorders_the_others(advice_of):
    from advisor.ranking.value import in_order

    options = list(advice_of("stored_insulation").options)
    order = [o.id for o in in_order(options)]
    for struck in order:
        rest = [o for o in options if o.id != struck]
        assert [o.id for o in in_order(rest)] == [i for i in order if i != struck]


@pytest.mark.parametrize("viewpoint", ["contractor", "inspector", "homeowner"])
def test_every_viewpoint_keeps_unsafe_options_below_safe_ones(advice_of, viewpoint):
    advice = advice_of("return_leak_in_the_closet", viewpoint)
    seen_unranked = False
    for o in advice.options:
        seen_unranked |= o.rank is None
        assert not (seen_unranked and o.rank is not None)
    assert sum(catalog_weights(viewpoint)) == pytest.approx(1.0)


def catalog_weights(viewpoint):
    return [float(r["weight"]) for r in catalog.table("viewpoints") if r["viewpoint"] == viewpoint]


def test_an_outside_chimney_for_two_fails_by_its_furnace_and_a_liner_is_sized_for_both(advice_of):
    """NFPA 54-2012 Table 13.2(i), 38 in2, 20 ft, 17 to 26 F: a furnace of at least 258,000 Btu/h (three furnace manuals)."""
    advice = advice_of("exterior_chimney_for_two")
    minimum = next(c for c in advice.review if c.rule == "exterior_chimney_furnace_minimum")
    assert (minimum.verdict, minimum.about) == ("fail", "")
    assert "258 kBtu/h" in said(minimum.official)
    capacity = next(c for c in advice.review if c.rule == "common_vent_capacity")
    assert capacity.verdict == "unknown"  # never PASS by the table of indoor chimneys
    keeping = [o for o in advice.options if o.rank is not None and o.id in ("correct_connector", "change_termination")]
    assert not keeping, "what leaves the chimney as it is breaks the rule"
    liner = option(advice, "line_chimney")
    assert liner.eligible
    assert not liner.safe_enough
    # 504.3(2) by a liner for both: the exterior table's minimum does not hold a lined flue
    assert not any(c.rule == "exterior_chimney_furnace_minimum" for c in liner.checks)
    assert {"heater", "furnace"} == set(advice.verdict.stop)
    assert any(f.id == "appliances.replaced_soon" for f in advice.beside_options)


def test_a_flat_connector_in_a_garage_is_found_without_any_test(advice_of):
    """NFPA 54-2012 12.11.8 (1/4 in per ft upward) and 12.11.9 (75 % of the height for single wall: 11.25 ft of 15 ft)."""
    advice = advice_of("garage_flat_connector")
    verdicts = {(c.rule, c.about): c.verdict for c in advice.review}
    heater = {rule: verdict for (rule, about), verdict in verdicts.items() if about in ("", "water_heater")}
    assert heater["connector_slope"] == "fail"
    assert heater["horizontal_length"] == "fail"
    assert heater["connector_in_cold_space"] == "pass"  # 12.11.2: 20 F is at least 5 F, and a garage is no attic
    assert heater["connector_of"] == "outside the table: engineered design"  # no column for a rise of 0.5 ft
    assert advice.found.causes[0].id == "connector_poor"
    grille = option(advice, "indoor_openings")
    assert not grille.eligible
    assert not any(line.measure_id == "GRILLE_PAIR" for o in advice.options if o.eligible for line in o.bill)


def test_a_manufactured_home_gets_nothing_that_burns_its_air(advice_of):
    advice = advice_of("manufactured_home")
    ranked = {o.id for o in advice.options if o.rank is not None}
    open_burners = {row["id"] for row in catalog.table("remedies") if row["air_from"] == "room"}
    assert ranked
    assert not ranked & open_burners
    assert "power_direct_vent" in ranked
    assert any("manufactured" in said(n) for n in advice.now)
