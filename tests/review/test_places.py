"""Each place where a heater stands, as a case: the code review done by hand, which options it bars, flips and take-aways.

Clauses and their standing: bedroom and bathroom by trade practice (it bars); all others from memory (they ask for a
confirmation and bar nothing, unless a local amendment gives the rule); the refusal in a manufactured home is this program's.
"""

from __future__ import annotations

import pytest
from conftest import ROOT, said

from advisor import catalog
from advisor.advice import advise
from advisor.case.local_rules import read_amendments
from advisor.case.read import parse_case, read_case
from advisor.codes.places import RULES
from advisor.facts.now import now_list
from advisor.facts.place import STRONGEST, ways_barred, work_of
from advisor.facts.record import verdict_of
from advisor.remedies import all_remedies
from advisor.remedies.base import Job
from advisor.report.page.reader import calm, short
from advisor.report.view.choices import in_short
from advisor.review.case import review
from advisor.review.option import broken_rules, option_checks, place_notes

OPEN_AND_KEPT = {r["id"] for r in catalog.table("remedies") if r["air_from"] == "room"}
OUTDOOR_AIR = {"two_outdoor_openings", "one_outdoor_opening"}
ISOLATED = {"isolate_zone"}
SEALED = {"power_direct_vent", "gravity_direct_vent", "condensing_storage", "condensing_tankless"}
ELECTRIC = {"heat_pump_240v", "heat_pump_120v", "electric_resistance"}

HEATER = """
other_appliance = []
supply = []
exhaust = []
{top}
[heater]
input_btu_h = 40000
hood_diameter_in = 4
{heater}
[house]
volume_ft3 = 12000
{house}
[zone]
{zone}
[vent]
shared = false
was_shared = false
connector = "type b"
connector_diameter_in = 4
connector_length_ft = 3
connector_lateral_ft = 2
connector_rise_ft = 1
connector_elbows = 2
vertical = "type b"
diameter_in = 4
height_ft = 20
exterior = false
[[run]]
seen = "spilling"
"""
TWO_LOUVERS = """
[[opening]]
kind = "direct"
position = "high"
area_in2 = 36
cover = "metal louver"
state = "open"
[[opening]]
kind = "direct"
position = "low"
area_in2 = 36
cover = "metal louver"
state = "open"
"""
BEDROOM_CLOSET = 'kind = "closet"\nvolume_ft3 = 100\nopens_to = "bedroom"\n'
TIGHT = 'door = "weatherstripped"\ndoor_self_closing = true\ngrille_free_area_in2 = 0\n'


def case_of(zone, *, top="opening = []", heater="", house="", openings=""):
    text = HEATER.format(zone=zone, top="" if openings else top, heater=heater, house=house)
    return parse_case(text + openings)


def of_the_place(checks):
    return {c.rule: c.verdict for c in checks if c.rule in RULES}


def found(case):
    return of_the_place(review(case))


def options(case):
    """Return for each option why it is refused, which rules of the place bar it, and what its place checks say."""
    job = Job(case)
    answer = {}
    for remedy in all_remedies():
        checks = option_checks(job, remedy, remedy.size(job))
        barring = {c.rule for c in broken_rules(checks) if c.rule in RULES}
        answer[remedy.id] = (remedy.refused(job), barring, of_the_place(checks))
    return answer


def barred(case):
    return {name for name, (_, barring, _) in options(case).items() if barring}


def test_the_column_of_the_catalog_parts_the_options_as_they_burn():
    by_air = {air: {r["id"] for r in catalog.table("remedies") if r["air_from"] == air} for air in STRONGEST}
    assert by_air["outdoors"] == OUTDOOR_AIR
    assert by_air["isolated"] == ISOLATED
    assert by_air["sealed"] == SEALED
    assert by_air["none"] == ELECTRIC
    assert {"leave_as_found", "like_for_like", "fan_assisted", "power_vent", "mechanical_air"} <= by_air["room"]
    assert work_of("clear_vent+isolate_zone").air_from == "isolated"
    assert not work_of("power_vent").keeps_heater


class TestBedroomCloset:
    """An open burner in a closet of a bedroom."""

    def test_louvered_door_takes_the_bedrooms_air(self):
        # The measured fault: this kept open burners eligible. The louver joins closet and bedroom: air not from outdoors,
        # door not solid. Everything with a flame in that air is barred; sealing the closet mends it (new door, openings of
        # 36 in2 x 75 % = 27 in2 and more against 40,000/2000 = 20 in2 by horizontal duct); sealed and electric may stand.
        case = case_of(BEDROOM_CLOSET + 'door = "louvered"')
        assert found(case) == {"bedroom_or_bathroom": "fail"}
        assert barred(case) == OPEN_AND_KEPT | OUTDOOR_AIR
        after = {name: places["bedroom_or_bathroom"] for name, (_, _, places) in options(case).items()}
        assert after["isolate_zone"] == "pass"
        assert {after[name] for name in SEALED} == {"pass"}
        assert {after[name] for name in ELECTRIC} == {"not applicable"}

    def test_the_exception_holds(self):
        # 9.3.3.1(1): two direct openings of 36 in2 gross, metal louver 75 %: 27 in2 free each; 40,000/4000 = 10 in2 asked.
        case = case_of(BEDROOM_CLOSET + TIGHT, openings=TWO_LOUVERS)
        assert found(case) == {"bedroom_or_bathroom": "pass"}
        assert barred(case) == set()

    @pytest.mark.parametrize(
        ("old", "new", "verdict"),
        [
            ("door_self_closing = true", "door_self_closing = false", "fail"),
            ("door_self_closing = true\n", "", "unknown"),
            ('door = "weatherstripped"', 'door = "solid"', "fail"),
            ('door = "weatherstripped"\n', "", "unknown"),
            ("grille_free_area_in2 = 0", "grille_free_area_in2 = 60", "fail"),
            ("grille_free_area_in2 = 0\n", "", "unknown"),
            ('opens_to = "bedroom"', 'opens_to = "bathroom"', "pass"),
            ('opens_to = "bedroom"', "bedroom_or_bath = true", "pass"),
        ],
    )
    def test_each_part_of_the_exception_flips_it_and_its_absence_is_unknown(self, old, new, verdict):
        zone = BEDROOM_CLOSET + TIGHT
        assert old in zone
        assert found(case_of(zone.replace(old, new), openings=TWO_LOUVERS)) == {"bedroom_or_bathroom": verdict}

    def test_openings_that_are_too_small_are_not_outdoor_air(self):
        # 9 in2 x 75 % = 6.75 in2 < 10 in2 each; as one opening 6.75 in2 < 40,000/3000 = 13.3 in2
        small = TWO_LOUVERS.replace("area_in2 = 36", "area_in2 = 9")
        assert found(case_of(BEDROOM_CLOSET + TIGHT, openings=small)) == {"bedroom_or_bathroom": "fail"}
        hidden = TWO_LOUVERS.replace("area_in2 = 36\n", "")
        assert found(case_of(BEDROOM_CLOSET + TIGHT, openings=hidden)) == {"bedroom_or_bathroom": "unknown"}

    def test_new_openings_help_only_behind_such_a_door(self):
        tight = options(case_of(BEDROOM_CLOSET + TIGHT))
        assert tight["two_outdoor_openings"][2] == {"bedroom_or_bathroom": "pass"}
        assert tight["leave_as_found"][2] == {"bedroom_or_bathroom": "fail"}
        plain = options(case_of(BEDROOM_CLOSET + 'door = "solid"\ngrille_free_area_in2 = 0'))
        assert plain["two_outdoor_openings"][2] == {"bedroom_or_bathroom": "fail"}

    def test_nobody_said_what_the_door_opens_to(self):
        # taken away: unknown, and every open burner carries what is to be looked at; nothing is barred by it
        case = case_of('kind = "closet"\nvolume_ft3 = 100')
        assert found(case) == {"bedroom_or_bathroom": "unknown"}
        assert barred(case) == set()
        check = next(c for c in review(case) if c.rule == "bedroom_or_bathroom")
        assert check.missing == ("door_opens_to",)
        assert [n.id for n in place_notes((check,))] == ["ranking.place_unknown"]

    @pytest.mark.parametrize("given", ['opens_to = "house"', "bedroom_or_bath = false", 'door = "none"'])
    def test_said_to_open_elsewhere(self, given):
        assert found(case_of(f'kind = "closet"\nvolume_ft3 = 100\n{given}')) == {}

    def test_no_way_with_indoor_air_is_called_allowed(self):
        assert {"standard_volume", "indoor_same_story"} <= set(ways_barred(case_of(BEDROOM_CLOSET)))
        assert ways_barred(case_of('kind = "basement"')) == ()


@pytest.mark.parametrize("room", ["bedroom", "bathroom"])
def test_in_the_room_itself(room):
    # no closet, so no exception: tight door and outdoor openings do not help
    case = case_of(f'kind = "{room}"\nvolume_ft3 = 1000\n{TIGHT}', openings=TWO_LOUVERS)
    assert found(case) == {"bedroom_or_bathroom": "fail"}
    assert barred(case) >= OPEN_AND_KEPT | OUTDOOR_AIR
    assert not (SEALED | ELECTRIC) & barred(case)


@pytest.mark.parametrize("kind", ["kitchen", "open plan"])
def test_a_room_that_is_also_a_bedroom(kind):
    assert found(case_of(f'kind = "{kind}"\nbedroom_or_bath = true')) == {"bedroom_or_bathroom": "fail"}
    assert found(case_of(f'kind = "{kind}"')) == {}


GARAGE = """
kind = "garage"
volume_ft3 = 3600
door = "solid"
opens_to = "house"
grille_free_area_in2 = 0
ignition_height_in = 6
vehicle_barrier = false
"""
NOT_LISTED = "flammable_vapor_listed = false"


class TestGarage:
    """A heater on a garage's floor, in the way of a car."""

    def test_by_hand(self):
        # 6 in < 18 in, not listed: fail. No barrier: fail. Plain door to the hall, no grille: pass. All from memory: no bar.
        case = case_of(GARAGE, heater=NOT_LISTED)
        assert found(case) == {
            "garage_ignition_height": "fail",
            "garage_vehicle_barrier": "fail",
            "garage_opening_to_dwelling": "pass",
        }
        assert barred(case) == set()
        notes = place_notes(tuple(review(case)))
        assert [n.id for n in notes] == ["ranking.place_to_confirm", "ranking.place_to_confirm"]
        assert "from memory" in said(notes[0])
        bare = place_notes(tuple(review(case_of(GARAGE.replace("vehicle_barrier = false\n", "")))))
        assert {n.id for n in bare} == {"ranking.place_unknown_memory"}
        assert [n.id for n in now_list(case, verdict_of(case)) if "place" in n.id] == ["now.place_confirm"]

    @pytest.mark.parametrize(
        ("old", "new", "rule", "verdict"),
        [
            ("ignition_height_in = 6", "ignition_height_in = 18", "garage_ignition_height", "pass"),
            ("ignition_height_in = 6\n", "", "garage_ignition_height", "unknown"),
            ("vehicle_barrier = false", "vehicle_barrier = true", "garage_vehicle_barrier", "pass"),
            ("vehicle_barrier = false\n", "", "garage_vehicle_barrier", "unknown"),
            ("grille_free_area_in2 = 0", "grille_free_area_in2 = 100", "garage_opening_to_dwelling", "fail"),
            ("grille_free_area_in2 = 0\n", "", "garage_opening_to_dwelling", "unknown"),
            ('door = "solid"', 'door = "louvered"', "garage_opening_to_dwelling", "fail"),
            ('opens_to = "house"', 'opens_to = "bedroom"', "garage_opening_to_dwelling", "fail"),
            ('opens_to = "house"\n', "", "garage_opening_to_dwelling", "unknown"),
        ],
    )
    def test_flips_and_take_aways(self, old, new, rule, verdict):
        assert old in GARAGE
        assert found(case_of(GARAGE.replace(old, new), heater=NOT_LISTED))[rule] == verdict

    def test_the_listing_exempts_and_its_absence_does_not(self):
        listed = case_of(GARAGE, heater="flammable_vapor_listed = true")
        assert found(listed)["garage_ignition_height"] == "pass"
        assert found(case_of(GARAGE))["garage_ignition_height"] == "unknown"

    def test_a_new_heater_there_is_still_to_be_chosen(self):
        # the listing and the stand of the old heater say nothing of the new one, sealed or electric
        after = options(case_of(GARAGE, heater="flammable_vapor_listed = true"))
        for name in ("like_for_like", "power_vent", *SEALED, *ELECTRIC):
            assert after[name][2]["garage_ignition_height"] == "unknown", name
            assert after[name][2]["garage_vehicle_barrier"] == "fail", name
        for name in SEALED | ELECTRIC:
            assert "garage_opening_to_dwelling" not in after[name][2]

    def test_a_garage_gets_no_grille_to_the_house(self):
        refused = options(case_of(GARAGE))["indoor_openings"][0]
        assert [r.id for r in refused] == ["remedies.not_here.garage_opening"]
        assert set(ways_barred(case_of(GARAGE))) == {"indoor_same_story", "indoor_other_story"}

    def test_a_local_amendment_gives_the_rule_and_then_it_bars(self, tmp_path):
        path = tmp_path / "local.toml"
        path.write_text(
            '[[amendment]]\ntable = "rules_places"\nkey = "garage_ignition_height_in"\nvalue = 18\nsource = "town code 9"\n'
        )
        case = case_of(GARAGE, heater=NOT_LISTED)
        with catalog.amended(read_amendments(path)):
            check = next(c for c in review(case) if c.rule == "garage_ignition_height")
            assert (check.verdict, check.status) == ("fail", "seen")
            kept = {r["id"] for r in catalog.table("remedies") if r["keeps_heater"] == "yes"}
            assert barred(case) == kept  # the heater that stays stays where it is; a new one is still to be chosen
            assert "now.place_barred" in [n.id for n in now_list(case, verdict_of(case))]
        assert barred(case) == set()


@pytest.mark.parametrize("kind", ["attic", "crawl space"])
def test_attic_and_crawl_space(kind):
    # access, way and working place, from memory: asked of the heater as found and of whatever is put in its place
    for given, verdict in (("service_access = true", "pass"), ("service_access = false", "fail"), ("", "unknown")):
        case = case_of(f'kind = "{kind}"\nvolume_ft3 = 4000\n{given}')
        assert found(case) == {"service_access": verdict}
        assert {tuple(places.items()) for _, _, places in options(case).values()} == {(("service_access", verdict),)}
        assert barred(case) == set()


HALL_CLOSET = 'kind = "closet"\nvolume_ft3 = 100\nopens_to = "house"\ndoor = "louvered"'
YARD_CLOSET = 'kind = "closet"\nvolume_ft3 = 100\nopens_to = "outdoors"\ndoor = "solid"\ngrille_free_area_in2 = 0'
MANUFACTURED = "manufactured = true"


class TestManufacturedHome:
    """Only listed units, with the flame apart from the living space; no work on an open burner is offered."""

    def test_by_hand(self):
        # an ordinary heater in a hall closet: not listed, and its flame takes the home's air
        case = case_of(HALL_CLOSET, house=MANUFACTURED, heater="listed_for_manufactured = false")
        assert found(case) == {"manufactured_home_listing": "fail", "manufactured_home_separate_air": "fail"}
        after = options(case)
        offered = {name for name, (refused, _, _) in after.items() if _place_reason(refused) == []}
        assert offered == SEALED | ELECTRIC  # left as found neither: it is not known to be listed
        for name in SEALED:
            assert after[name][2] == {"manufactured_home_listing": "unknown", "manufactured_home_separate_air": "pass"}
        for name in ELECTRIC:
            assert after[name][2] == {
                "manufactured_home_listing": "unknown",
                "manufactured_home_separate_air": "not applicable",
            }
        assert (
            barred(case) == set()
        )  # from memory: what is not offered is a setting of this program, no verdict of a code
        assert "now.place_confirm" in [n.id for n in now_list(case, verdict_of(case))]

    def test_a_listed_heater_in_a_closet_of_the_yard(self):
        case = case_of(YARD_CLOSET, house=MANUFACTURED, heater="listed_for_manufactured = true", openings=TWO_LOUVERS)
        assert found(case) == {"manufactured_home_listing": "pass", "manufactured_home_separate_air": "pass"}
        after = options(case)
        assert _place_reason(after["clear_vent"][0]) == []  # the listed heater that stays may be mended
        assert _place_reason(after["like_for_like"][0]) == ["remedies.not_here.manufactured_open_burner"]

    @pytest.mark.parametrize(
        ("heater", "zone", "listing", "apart"),
        [
            ("", YARD_CLOSET, "unknown", "pass"),
            ("", YARD_CLOSET.replace('opens_to = "outdoors"\n', ""), "unknown", "unknown"),
            ("", HALL_CLOSET, "unknown", "fail"),
            (
                "listed_for_manufactured = true",
                YARD_CLOSET.replace("\ngrille_free_area_in2 = 0", ""),
                "pass",
                "unknown",
            ),
        ],
    )
    def test_take_aways(self, heater, zone, listing, apart):
        case = case_of(zone, house=MANUFACTURED, heater=heater, openings=TWO_LOUVERS)
        places = found(case)
        assert (places["manufactured_home_listing"], places["manufactured_home_separate_air"]) == (listing, apart)
        assert _place_reason(options(case)["clear_vent"][0]) == (
            [] if "true" in heater else ["remedies.not_here.manufactured_open_burner"]
        )

    def test_no_way_with_indoor_air_is_called_allowed(self):
        assert {"standard_volume", "indoor_same_story"} <= set(ways_barred(case_of(HALL_CLOSET, house=MANUFACTURED)))
        assert ways_barred(case_of(HALL_CLOSET)) == ()

    @pytest.mark.parametrize("house", ["", "manufactured = false"])
    def test_another_house_is_not_asked(self, house):
        assert not [r for r in found(case_of(HALL_CLOSET, house=house)) if r.startswith("manufactured")]


def _place_reason(refused):
    return [
        r.id for r in refused if r.id in ("remedies.not_here.manufactured_open_burner", "remedies.not_here.outdoors")
    ]


class TestOutdoors:
    """In the yard: weather and wind, and no air of the house."""

    ENCLOSURE = 'kind = "outdoors"\nvolume_ft3 = 120\n'

    def test_by_hand(self):
        for given, verdict in (("true", "pass"), ("false", "fail"), (None, "unknown")):
            zone = self.ENCLOSURE + ("" if given is None else f"weather_protected = {given}\n")
            case = case_of(zone, openings=TWO_LOUVERS)
            assert found(case) == {"outdoor_protection": verdict}
            after = options(case)
            assert after["clear_vent"][2] == {"outdoor_protection": verdict}
            # the label of the old heater says nothing of the next one
            assert after["heat_pump_240v"][2] == {"outdoor_protection": "unknown"}
            assert barred(case) == set()

    def test_what_moves_the_air_of_the_house_is_not_offered(self):
        after = options(case_of(self.ENCLOSURE))
        refused = {name for name, (why, _, _) in after.items() if _place_reason(why)}
        assert {"balanced_ventilation", "passive_makeup_air", "indoor_openings", "isolate_zone"} <= refused
        assert not refused & {"clear_vent", "two_outdoor_openings", "gravity_direct_vent", "leave_as_found"}

    def test_there_is_no_room_whose_volume_counts(self):
        # in the open no volume is held against 9.3.2.1; an enclosure is by its openings: 27 in2 each against 10 in2
        in_the_open = {c.rule for c in review(case_of(self.ENCLOSURE))}
        assert not {"standard_indoor_volume", "known_infiltration_volume"} & in_the_open
        enclosed = {c.rule: c.verdict for c in review(case_of(self.ENCLOSURE, openings=TWO_LOUVERS))}
        assert enclosed["two_outdoor_openings_direct"] == "pass"
        assert "standard_volume" in ways_barred(case_of(self.ENCLOSURE))

    def test_wind_is_the_question(self):
        case = case_of(self.ENCLOSURE)
        assert "now.outdoors" in [n.id for n in now_list(case, verdict_of(case))]
        assert "now.outdoors" not in [n.id for n in now_list(case_of(GARAGE), verdict_of(case_of(GARAGE)))]


NO_HOOD = {"seen": "no hood", "seconds_to_draft": None, "draft_pa": None, "seconds_after_lit": None, "method": None}
DOOR_OF_THE_TEST = 'label = "worst case"\nzone_door = "worst position"\n'


def passed(**changes):
    """Return the sound house, whose record is a valid worst-case pass, with its heater moved."""
    text = (ROOT / "demo" / "sound_house.toml").read_text()
    zone = text[text.index("[zone]") : text.index("[heater]")]
    moved = text.replace(zone, f"[zone]\n{changes['zone']}\n\n").replace('label = "worst case"\n', DOOR_OF_THE_TEST)
    return parse_case(moved)


def test_a_pass_in_a_barred_place_is_no_all_clear():
    # a test shows that the heater drafts, never that it may stand there
    calm = read_case(ROOT / "demo" / "sound_house.toml")
    assert verdict_of(calm).all_clear
    case = passed(zone=BEDROOM_CLOSET + 'door = "louvered"')
    verdict = verdict_of(case)
    assert verdict.states == ("not allowed here", "passed")
    assert not verdict.all_clear
    assert not verdict.may_leave
    ids = [n.id for n in now_list(case, verdict)]
    assert ids[0] == "now.place_barred"
    assert "now.fine" not in ids


@pytest.mark.parametrize(
    ("work", "states"),
    [
        ("clear_vent", ("not allowed here", "confirmed")),  # the vent is mended, the closet is what it was
        ("isolate_zone", ("confirmed",)),  # door and outdoor air came with the work
        ("power_direct_vent", ("confirmed",)),  # sealed
        ("power_vent", ("not allowed here", "confirmed")),  # its flame still takes the bedroom's air
        ("electric_resistance", ("confirmed",)),
    ],
)
def test_work_that_is_confirmed_mends_the_place_only_where_it_changes_the_air(work, states):
    hood = work in ("clear_vent", "isolate_zone")
    case = passed(zone=BEDROOM_CLOSET + 'door = "louvered"')
    run = case.run[0].model_copy(update={"after_work": work, **({} if hood else NO_HOOD)})
    assert verdict_of(case.model_copy(update={"run": [run]})).states == states


def test_a_pass_where_the_place_is_to_be_confirmed_says_so_instead_of_the_all_clear():
    case = passed(zone='kind = "garage"\ndoor = "solid"\nopens_to = "house"\nvehicle_barrier = false')
    assert verdict_of(case).leads == "passed"
    ids = [n.id for n in now_list(case, verdict_of(case))]
    assert "now.place_confirm" in ids
    assert "now.fine" not in ids


@pytest.fixture(scope="module")
def advice():
    return advise(passed(zone=BEDROOM_CLOSET + 'door = "louvered"'), samples=128)


class TestThroughTheWhole:
    """The bedroom closet whose record is a valid pass, ranked."""

    def test_nothing_with_a_flame_in_the_bedrooms_air_is_left_in_the_ranking(self, advice):
        possible = {o.id for o in advice.options if o.eligible}
        assert not possible & (OPEN_AND_KEPT | OUTDOOR_AIR)
        assert possible >= SEALED | {"isolate_zone"}
        leave = next(o for o in advice.options if o.id == "leave_as_found")
        assert (leave.rank, leave.broken_rules) == (None, ("bedroom_or_bathroom",))
        assert {"ranking.barred_by_place", "ranking.barred.not_allowed_here"} <= {r.id for r in leave.reasons}
        # a bundle burns on what its parts bring: without the sealed closet it is barred like them
        for option in advice.options:
            if len(option.members) > 1 and option.eligible:
                assert "isolate_zone" in option.members

    def test_no_output_gives_an_all_clear(self, advice):
        assert not advice.found.nothing_wrong
        assert advice.found.sentence.values[0][1].items[0].id == "evidence.found.drafts_but_barred"
        assert not calm(advice)
        for words in (*in_short(advice), *short(advice), said(advice.found.sentence)):
            assert "No repair" not in words
            assert "Nothing wrong" not in words

    def test_the_drawing_still_shows_what_the_test_showed(self, advice):
        assert advice.air_before.shows == "drafts"
        assert not advice.air_before.calm
