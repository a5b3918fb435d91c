"""Exterior masonry chimneys (NFPA 54-2012 Tables 13.2(f)-(i)), promoted cells, condensation flags, 504.3(4).

Numbers are those of the 2013 California codes in two machine readings (cmc-2013-ocr, cpc-2013-ocr), of furnace manuals
(manual-furnace-exterior, manual-furnace-typeb, manual-furnace-singlewall, manual-furnace-1991) and of the worked example
of the code's annex (ifgc-2012-appb: maximum 747, furnace minimum 470).
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from conftest import said

from advisor import catalog
from advisor.codes import vent_exterior, vent_tables
from advisor.codes.compose import OUTSIDE
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_condensation import condensation_flags
from advisor.codes.vent_exterior import (
    band_of,
    bands,
    check_furnace_minimum,
    read_exterior_maximum,
    read_furnace_minimum,
)
from advisor.codes.vent_sizing import check_single_vent
from advisor.codes.vent_tables import NOT_ALLOWED, OK, OUTSIDE_TABLE, UNREAD
from advisor.codes.vent_types import CommonAppliance, CommonVent, SingleVent

NAMES = {NOT_ALLOWED: "NA", UNREAD: "unread", OUTSIDE_TABLE: "outside"}


def shown(reading):
    return reading.value if reading.code == OK else NAMES[reading.code]


def minimum(temperature_f, height_ft, area_in2, kind="FAN+NAT"):
    band = band_of(vent_exterior.MINIMUM[kind], temperature_f)
    return shown(read_furnace_minimum(kind, band, height_ft, area_in2).column)


@pytest.mark.parametrize(
    ("height", "area", "most"),
    [
        (6, 12, 25),
        (6, 113, "NA"),
        (8, 113, 408),
        (100, 12, "NA"),
        (100, 113, "NA"),
        (50, 113, 922),
        (10, 38, 131),
        (15, 38, 152),
        (12.5, 38, 141.5),  # half way between the rows
        (12.5, 49.9, 141.5),  # between two areas the lower column
        (12.5, 12, "NA"),  # 31 at 10 ft, NA at 15 ft: a row that is not allowed cannot be interpolated with
        (20, 50, "NA"),
        (20, 63, 325),
        (5.9, 38, "outside"),
        (101, 113, "outside"),
        (10, 11.9, "outside"),
        (10, 400, 454),  # beyond the last column it is read at 113: safe for a maximum
    ],
)
def test_largest_input_of_two_draft_hoods(height, area, most):  # 13.2(f), cmc-2013-ocr;cpc-2013-ocr
    assert shown(read_exterior_maximum("NAT+NAT", height, area)) == most


@pytest.mark.parametrize(
    ("height", "area", "most"),
    [
        (6, 12, 74),
        (6, 113, 853),
        (100, 12, "NA"),
        (100, 113, 1921),
        (20, 38, 368),
        (20, 42.7, 368),  # an 8x8 tile reads the 38 in2 column
        (30, 63, 747),  # ifgc-2012-appb
        (30, 63.6, 747),  # an 8x12 tile
        (25, 38, 386),  # 368 and 404
        (30, 28, "NA"),
        (25, 28, "NA"),  # 250 at 20 ft, NA at 30 ft
    ],
)
def test_largest_input_of_a_draft_hood_and_a_fan(height, area, most):  # 13.2(h), cpc-2013-ocr, manual-furnace-exterior
    assert shown(read_exterior_maximum("FAN+NAT", height, area)) == most


@pytest.mark.parametrize(
    ("temperature", "height", "area", "least"),
    [
        # 27 to 36 F (cmc-2013-ocr;cpc-2013-ocr)
        (30, 6, 12, 0),
        (30, 6, 113, 266),
        (30, 100, 12, "NA"),
        (30, 100, 113, 1554),
        (30, 20, 38, 230),
        (30, 30, 38, 330),
        (30, 30, 50, 319),  # odd but so read
        # 17 to 26 F
        (19, 6, 12, 0),
        (19, 6, 113, 349),
        (19, 100, 113, 1669),
        (19, 100, 12, "NA"),
        (19, 20, 38, 258),
        (19, 30, 63, 470),  # ifgc-2012-appb
        (19, 25, 38, 310),  # 258 and 362
        (19, 15, 50, "unread"),  # no 50 in2 column below 20 ft could be read
        (19, 17, 50, "unread"),
        (19, 20, 113, "unread"),
        # 5 to 16 F
        (10, 6, 12, "NA"),
        (10, 6, 113, 416),
        (10, 50, 113, 972),
        (10, 20, 38, 293),
        (10, 100, 113, "unread"),
        # -10 to 4 F: 12 to 38 in2 only
        (0, 6, 12, "NA"),
        (0, 6, 38, 196),
        (0, 20, 38, 333),
        (0, 30, 38, "NA"),
        (0, 20, 63, "unread"),
        # 37 F or more (cmc-2013-ocr; up to 15 ft from memory)
        (45, 6, 12, 0),
        (45, 20, 38, 190),
        (45, 20, 50, 249),
        (45, 20, 63, 184),  # printed below 50 in2
        (45, 30, 63, 393),
        (45, 50, 113, 1600),
    ],
)
def test_least_furnace_input(temperature, height, area, least):  # 13.2(i)
    assert minimum(temperature, height, area) == least


def test_least_furnace_input_of_two_draft_hoods_is_hardly_there():  # 13.2(g), cpc-2013-ocr
    assert [minimum(10, height, 113, "NAT+NAT") for height in (10, 15, 20, 30)] == [430, 485, 547, 682]
    assert minimum(10, 20, 38, "NAT+NAT") == "unread"
    assert band_of("13.2(g)", 4).not_recommended is not None
    assert band_of("13.2(g)", 20) is None  # no cell of that band is in the catalog


@pytest.mark.parametrize(
    ("temperature", "start"),
    [
        (80, 37),
        (37, 37),
        (36.9, 27),
        (36, 27),
        (27, 27),
        (26.9, 17),
        (17, 17),
        (16.5, 5),
        (5, 5),
        (4.9, -10),
        (4, -10),
        (-10, -10),
        (-10.1, None),
        (-40, None),
    ],
)
def test_ends_of_the_bands_go_to_the_colder_one(temperature, start):
    assert band_of("13.2(i)", temperature).from_f == start
    assert (band_of("13.2(i)", temperature).not_recommended is not None) == (start is None)


def cells(table):
    return [c for c in catalog.table("vent_exterior_masonry") if c["table"] == table and c["height_ft"]]


def test_every_cell_reads_back_with_its_status():
    count = 0
    for cell in catalog.table("vent_exterior_masonry"):
        if not cell["height_ft"]:
            continue
        kind = "NAT+NAT" if cell["table"] in ("13.2(f)", "13.2(g)") else "FAN+NAT"
        height, area = float(cell["height_ft"]), float(cell["area_in2"])
        if cell["kind"] == "FURNACE_MIN":
            band = next(b for b in bands(cell["table"]) if (b.from_f or 0) == float(cell["design_from_f"] or 0))
            found = read_furnace_minimum(kind, band, height, area)
            assert shown(found.column) == shown(found.next_column)
            reading = found.column
        else:
            reading = read_exterior_maximum(kind, height, area)
        expected = cell["capacity_kbtu_h"]
        assert shown(reading) == (expected if expected == "NA" else float(expected)), cell
        assert reading.status == cell["status"]
        assert set(reading.source.split(";")) == set(cell["source"].split(";"))
        count += 1
    assert count == 398


def test_maxima_are_monotone_and_are_those_of_the_interior_table():
    """Rising with height and area; 77 of 77 printed numbers equal 504.3(3): outdoors only takes cells away."""
    for table in ("13.2(f)", "13.2(h)"):
        grid = {
            (float(c["height_ft"]), float(c["area_in2"])): float(c["capacity_kbtu_h"])
            for c in cells(table)
            if c["capacity_kbtu_h"] != "NA"
        }
        for (ha, aa), (hb, ab) in itertools.combinations(grid, 2):
            if ha <= hb and aa <= ab:
                assert grid[ha, aa] <= grid[hb, ab]
    same = 0
    for cell in (*cells("13.2(f)"), *cells("13.2(h)")):
        kind = cell["kind"].removesuffix("_MAX")
        inside = vent_tables.read_common("504.3(3)", kind, float(cell["height_ft"]), float(cell["area_in2"]))
        if cell["capacity_kbtu_h"] != "NA" and inside.code == OK:
            assert float(cell["capacity_kbtu_h"]) == inside.value, cell
            same += 1
    assert same >= 77


WARMER_ASKS_MORE = {  # printed so (37 F or more against 27 to 36 F)
    (30.0, 38.0, 37.0),  # 334 above 330
    (30.0, 50.0, 37.0),  # 398 above the odd 319
    (50.0, 63.0, 37.0),  # 714 above 672
    (50.0, 78.0, 37.0),  # 707 above 705
    (50.0, 113.0, 37.0),  # 1600 above 763
}


def test_a_colder_place_asks_for_a_larger_furnace_but_for_five_cells():
    found = set()
    for warm, cold in itertools.pairwise(band for band in bands("13.2(i)") if band.not_recommended is None):
        for cell in cells("13.2(h)"):
            height, area = float(cell["height_ft"]), float(cell["area_in2"])
            a = shown(read_furnace_minimum("FAN+NAT", warm, height, area).column)
            b = shown(read_furnace_minimum("FAN+NAT", cold, height, area).column)
            if a == "NA" and b != "unread":
                # what is not allowed stays so in the cold; the one cell that is not so is NA from memory
                assert b == "NA" or (height, area, warm.from_f) == (100.0, 113.0, 37.0)
            elif isinstance(a, float) and isinstance(b, float) and a > b:
                found.add((height, area, warm.from_f))
    assert found == WARMER_ASKS_MORE


FURNACE = {"height_ft": 20.0, "area_in2": 38.0}


@pytest.mark.parametrize(
    ("temperature", "least"), [(45, 190), (30, 230), (20, 258), (10, 293), (0, 333)], ids=lambda x: str(x)
)
def test_the_furnace_is_held_against_the_minimum_of_its_band(temperature, least):
    def verdict(kbtu_h, **more):
        more = {"design_temperature_f": temperature, **FURNACE, **more}
        return check_furnace_minimum("FAN+NAT", [1000.0 * kbtu_h], **more).verdict

    assert verdict(least) == "pass"
    assert verdict(least - 1) == "fail"
    assert verdict(least, altitude_ft=5000) == "fail"  # 4 % for each 1000 ft: the derated input counts (13.2.11)
    assert verdict(least, type_b_connectors=False) == "unknown"  # the table is for Type B connectors
    assert verdict(least - 1, type_b_connectors=False) == "fail"
    assert verdict(1000, design_temperature_f=-11) == "fail"  # not recommended for any vent configuration


def test_between_two_printed_areas_both_columns_must_be_met():
    """63.6 in2 at 19 F, 30 ft: the 63 in2 column asks 470, the 78 in2 column 507 (cmc-2013-ocr)."""
    tile = {"height_ft": 30.0, "area_in2": 63.6, "design_temperature_f": 19.0}
    verdicts = [check_furnace_minimum("FAN+NAT", [1000.0 * k], **tile).verdict for k in (469, 480, 507)]
    assert verdicts == ["fail", "unknown", "pass"]
    # the column above is not there: too little by the column below stays too little, more is not known
    tile = {"height_ft": 15.0, "area_in2": 42.7, "design_temperature_f": 19.0}
    assert [check_furnace_minimum("FAN+NAT", [1000.0 * k], **tile).verdict for k in (211, 212)] == ["fail", "unknown"]
    assert (
        check_furnace_minimum("FAN+NAT", [1e6], height_ft=20, area_in2=160, design_temperature_f=45).verdict
        == "unknown"
    )
    assert (
        check_furnace_minimum("FAN+NAT", [1e6], height_ft=20, area_in2=11, design_temperature_f=45).verdict == OUTSIDE
    )
    assert check_furnace_minimum("FAN+NAT", [1e6], height_ft=5, area_in2=38, design_temperature_f=45).verdict == OUTSIDE


def test_without_the_temperature_only_what_fails_in_every_band_is_known():
    def found(kbtu_h, **more):
        return check_furnace_minimum("FAN+NAT", [1000.0 * kbtu_h], **{**FURNACE, "design_temperature_f": None, **more})

    # 190 is the least of 190, 230, 258, 293, 333 and of the band that is not recommended
    assert found(189).verdict == "fail"
    assert "design_temperature" not in found(189).rests_on
    assert found(190).verdict == "unknown"
    assert "design_temperature" in found(190).rests_on
    # a guess stands beside it, and decides as little
    guessed = found(240, design_temperature_f=30.0, temperature_given=False)
    assert guessed.verdict == "pass"
    assert "design_temperature" in guessed.rests_on
    assert found(100, area_in2=63.6).verdict == "unknown"  # the coldest band has no 63 in2 column here


def test_two_fan_assisted_appliances_have_no_table_here():
    assert read_exterior_maximum("FAN+FAN", 20, 38).code == UNREAD
    assert check_furnace_minimum("FAN+FAN", [1e6], design_temperature_f=45, **FURNACE).verdict == "unknown"
    assert check_furnace_minimum("FAN+NAT", [], design_temperature_f=45, **FURNACE).verdict == "unknown"  # two heaters
    both = [100_000.0, 200_000.0]  # two furnaces, 190 asked: nobody can say which one is meant
    assert check_furnace_minimum("FAN+NAT", both, design_temperature_f=45, **FURNACE).verdict == "unknown"
    assert check_furnace_minimum("FAN+NAT", [1e5, 1.8e5], design_temperature_f=45, **FURNACE).verdict == "fail"


HEATER = CommonAppliance(
    name="water_heater",
    input_btu_h=35_000,
    outlet_diameter_in=4,
    connector_diameter_in=4,
    rise_ft=2,
    connector_length_ft=4,
)
FAN_FURNACE = CommonAppliance(
    name="furnace",
    input_btu_h=100_000,
    appliance="fan-assisted",
    connector_diameter_in=4,
    rise_ft=3,
    connector_length_ft=6,
)
TILE = CommonVent(height_ft=30, vent="masonry", chimney_area_in2=63.6, exposed_outdoors=True, design_temperature_f=19)


def verdicts(vent, *appliances):
    return {f"{c.rule} {c.about}".strip(): c.verdict for c in check_common_vent(vent, appliances)}


def test_worked_example_of_the_exterior_chimney():  # ifgc-2012-appb V5c1: maximum 747 holds, minimum 470 > 100: reline
    checks = {check.rule: check for check in check_common_vent(TILE, [HEATER, FAN_FURNACE])}
    total, least = checks["common_vent_capacity"], checks["exterior_chimney_furnace_minimum"]
    assert (total.verdict, total.clause) == ("pass", "NFPA 54-2012 Table 13.2(h)")
    assert "against 747 kBtu/h" in said(total.official)
    assert (least.verdict, least.clause) == ("fail", "NFPA 54-2012 Table 13.2(i)")
    assert "at least 470 kBtu/h" in said(least.required)
    assert (total.status, least.status) == ("seen", "seen")
    # the connectors were printed for interior chimneys only
    assert checks["connector_of"].verdict == "unknown"


def test_exposure_decides_which_table_is_read():
    inside = verdicts(replace(TILE, exposed_outdoors=False), HEATER, FAN_FURNACE)
    assert inside["common_vent_capacity"] == "pass"
    assert "exterior_chimney_furnace_minimum" not in inside
    assert inside["connector_of water_heater"] == "pass"
    nobody = verdicts(replace(TILE, exposed_outdoors=None), HEATER, FAN_FURNACE)
    assert nobody["common_vent_capacity"] == "unknown"
    assert nobody["connector_of water_heater"] == "unknown"
    # too much indoors is too much outdoors
    large = replace(FAN_FURNACE, input_btu_h=800_000)
    assert verdicts(replace(TILE, exposed_outdoors=None), HEATER, large)["common_vent_capacity"] == "fail"
    single = replace(HEATER, connector="single wall")
    assert verdicts(TILE, single, FAN_FURNACE)["common_vent_capacity"] == "unknown"
    assert verdicts(TILE, single, FAN_FURNACE)["exterior_chimney_furnace_minimum"] == "fail"


def test_two_draft_hoods_on_an_exterior_chimney_never_pass():
    hood = replace(FAN_FURNACE, appliance="draft hood", connector_diameter_in=5)
    # 13.2(f) 30 ft 63 in2: NA
    assert verdicts(TILE, HEATER, hood)["common_vent_capacity"] == "fail"
    low = replace(TILE, height_ft=10)
    assert verdicts(low, HEATER, hood)["common_vent_capacity"] == "pass"  # 135 <= 236
    assert verdicts(low, HEATER, hood)["exterior_chimney_furnace_minimum"] == "unknown"  # 13.2(g) was not recovered
    cold = replace(low, design_temperature_f=4)
    assert verdicts(cold, HEATER, hood)["exterior_chimney_furnace_minimum"] == "fail"  # not recommended at 4 F or lower


# ---- one water heater

ALONE = SingleVent(
    input_btu_h=40_000,
    outlet_diameter_in=4,
    height_ft=20,
    lateral_ft=5,
    vent="masonry",
    connector_diameter_in=4,
    chimney_area_in2=42.7,
    exposed_outdoors=True,
    design_temperature_f=10,
)


def test_one_heater_on_an_exterior_chimney_never_passes_by_the_interior_table():
    def capacity(**changes):
        return next(c for c in check_single_vent(replace(ALONE, **changes)) if c.rule == "vent_capacity")

    assert capacity(exposed_outdoors=False).verdict == "pass"
    assert capacity().verdict == "not applicable"  # 13.1.11 decides
    assert capacity(exposed_outdoors=None).verdict == "unknown"
    assert capacity(input_btu_h=400_000).verdict == "fail"  # above the table is above 13.1.11 as well
    assert capacity(input_btu_h=400_000, exposed_outdoors=None).verdict == "fail"


def test_one_heater_on_an_exterior_chimney_carries_the_status_of_its_cell():
    """504.2(3) NAT 20 ft, 5 ft, 4 in: 68 from memory; what another part breaks needs no cell."""

    def exterior(**changes):
        rule = "exterior_chimney_with_one_water_heater"
        return next(c for c in check_single_vent(replace(ALONE, **changes)) if c.rule == rule)

    assert (exterior().verdict, exterior().status) == ("pass", "memory")
    assert (exterior(input_btu_h=68_000).verdict, exterior(input_btu_h=67_999).verdict) == ("fail", "pass")  # "below"
    assert exterior(input_btu_h=68_000).status == "memory"
    assert (exterior(connector="single wall").verdict, exterior(connector="single wall").status) == ("fail", "seen")
    assert (exterior(design_temperature_f=4).verdict, exterior(design_temperature_f=4).status) == ("fail", "seen")


# ---- condensation


@pytest.mark.parametrize(
    ("height", "lateral", "size", "count"),
    [
        (6, 5, 3, 1),
        (20, 5, 4, 1),
        (20, 7, 4, 2),
        (25, 5, 4, 1),
        (30, 2, 4, 1),
        (20, 20, 6, 1),
        (20, 2, 4, 0),
        (20, 5, 6, 0),
    ],
)
def test_cells_that_the_1991_edition_stars(height, lateral, size, count):  # manual-furnace-1991, second-hand
    assert len(condensation_flags("504.2(3)", height, lateral, size)) == count
    assert not condensation_flags("504.2(4)", height, lateral, size)


def test_the_warning_stands_beside_the_capacity_and_changes_no_verdict():
    starred = check_single_vent(replace(ALONE, exposed_outdoors=False))[0]  # 20 ft, 5 ft, 4 in
    plain = check_single_vent(replace(ALONE, exposed_outdoors=False, lateral_ft=2))[0]
    assert starred.verdict == plain.verdict == "pass"
    assert "continuous condensation possible" in said(starred.official)
    assert "condens" in said(starred.client)
    assert "condens" not in said(plain.official) + said(plain.client)
    fan = check_single_vent(replace(ALONE, exposed_outdoors=False, appliance="fan-assisted"))[0]
    assert "condens" not in said(fan.official)


# ---- promoted and corrected cells


@pytest.mark.parametrize(
    ("table", "kind", "height", "lateral", "size", "value", "source"),
    [
        # 504.2(1), FAN columns (manual-furnace-typeb)
        ("504.2(1)", "FAN_MAX", 6, 0, 4, 152, "manual-furnace-typeb"),
        ("504.2(1)", "FAN_MAX", 10, 5, 4, 113, "manual-furnace-typeb"),
        ("504.2(1)", "FAN_MIN", 10, 10, 6, 67, "manual-furnace-typeb"),
        ("504.2(1)", "FAN_MAX", 20, 20, 6, 322, "manual-furnace-typeb"),
        ("504.2(1)", "FAN_MIN", 30, 10, 5, 48, "manual-furnace-typeb"),
        # 504.2(3), NAT column (manual-furnace-1991)
        ("504.2(3)", "NAT_MAX", 6, 5, 5, 82, "manual-furnace-1991"),
        ("504.2(3)", "NAT_MAX", 6, 5, 6, 117, "manual-furnace-1991"),
        ("504.2(3)", "NAT_MAX", 6, 5, 8, 231, "manual-furnace-1991"),
        ("504.2(3)", "NAT_MAX", 20, 10, 4, 60, "manual-furnace-1991"),
    ],
)
def test_promoted_cells_of_one_appliance(table, kind, height, lateral, size, value, source):
    found = vent_tables.read_single(table, kind, height, lateral, size)
    assert (found.value, found.status) == (value, "second-hand")
    assert source in found.source


@pytest.mark.parametrize(
    ("height", "rise", "size", "value", "status"),
    [(6, 3, 6, 174, "second-hand"), (30, 1, 5, 113, "second-hand"), (30, 2, 3, 51, "seen")],
)
def test_corrected_connector_minima(height, rise, size, value, status):
    """504.3(2) FAN min (manual-furnace-singlewall): 174 for 175, 113 for 112; 51 stays, manuals print 50."""
    found = vent_tables.read_connector("504.3(2)", "FAN_MIN", height, rise, size)
    assert (found.value, found.status) == (value, status)


def test_how_many_cells_left_memory():
    """70 FAN cells of 504.2(1), 4 NAT cells of 504.2(3), 2 connectors; what is left from memory still says so."""
    single = catalog.table("vent_capacity_single")
    promoted = [row for row in single if "manual-furnace-typeb" in row["source"]]
    assert len(promoted) == 70
    assert {row["status"] for row in promoted} == {"second-hand"}
    assert sum(r["source"] == "ifgc-504-memory;manual-furnace-1991" for r in single) == 4
    connectors = [r for r in catalog.table("vent_connector_capacity") if "manual-furnace-singlewall" in r["source"]]
    assert [(r["height_ft"], r["rise_ft"], r["diameter_in"], r["capacity_kbtu_h"]) for r in connectors] == [
        ("6", "3", "6", "174"),
        ("30", "1", "5", "113"),
    ]
    left = [row for row in single if row["table"] == "504.2(1)" and row["status"] == "memory"]
    assert len(left) == 241 - 70


# ---- connectors of 504.3(4), of which a part is there


def test_connectors_of_the_worked_example_on_an_interior_chimney():
    """ifgc-2012-appb: 4 in connector of the heater 57 >= 35, of the furnace 95-127 around 100, with single wall."""
    single = [replace(item, connector="single wall") for item in (HEATER, FAN_FURNACE)]
    checks = {
        f"{c.rule} {c.about}".strip(): c for c in check_common_vent(replace(TILE, exposed_outdoors=False), single)
    }
    heater, furnace = checks["connector_of water_heater"], checks["connector_of furnace"]
    assert (heater.verdict, furnace.verdict) == ("pass", "pass")
    assert "57 kBtu/h maximum" in said(heater.official)
    assert "127 kBtu/h maximum, 95 minimum" in said(furnace.official)
    assert heater.status == "seen"
    assert checks["common_vent_capacity"].verdict == "pass"
    small = replace(single[1], input_btu_h=90_000)  # below 95
    assert verdicts(replace(TILE, exposed_outdoors=False), single[0], small)["connector_of furnace"] == "fail"


@pytest.mark.parametrize(
    ("kind", "height", "rise", "size", "value"),
    [
        ("NAT_MAX", 30, 2, 3, 31),
        ("NAT_MAX", 30, 2, 4, 57),
        ("FAN_MIN", 10, 1, 8, 333),
        ("FAN_MAX", 50, 3, 8, 831),
        ("FAN_MAX", 12.5, 3, 8, 558),  # 530 and 586
        ("NAT_MAX", 20, 2, 4, "unread"),
        ("NAT_MAX", 30, 1, 4, "unread"),
        ("FAN_MAX", 8, 1, 8, "unread"),
        ("FAN_MAX", 30, 3, 5, "unread"),
        ("NAT_MAX", 5, 2, 4, "outside"),
        ("NAT_MAX", 30, 4, 4, "outside"),
    ],
)
def test_connectors_with_single_wall_on_masonry(kind, height, rise, size, value):  # nfpa54-2012, ifgc-2012-appb
    """A cell that is there is read; one that the code has and this tool has not is unread, never 'engineered design'."""
    assert shown(vent_tables.read_connector("504.3(4)", kind, height, rise, size)) == value


def test_every_connector_cell_of_every_table_is_read():
    for cell in catalog.table("vent_connector_capacity"):
        high = float(cell["height_to_ft"]) if cell["height_to_ft"] else float(cell["height_ft"]) + 5.0
        for height in {float(cell["height_ft"]), high}:
            found = vent_tables.read_connector(
                cell["table"], cell["kind"], height, float(cell["rise_ft"]), float(cell["diameter_in"])
            )
            assert found.code in (OK, NOT_ALLOWED), cell
            assert (found.code == NOT_ALLOWED) == (cell["capacity_kbtu_h"] == "NA")
