"""Walks through the vent tables: what must be monotone, with the exceptions that the printed tables really have.

The exceptions are those of the fact base ("codes", section 5): the walk must find exactly them, no more and no fewer.
Cells: see the ``source`` column of each catalog row.
"""

from __future__ import annotations

import itertools
from collections import defaultdict

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor import catalog
from advisor.codes import vent_tables

SINGLE = "vent_capacity_single"
COMMON = "vent_capacity_common"
CONNECTOR = "vent_connector_capacity"
B_VENT_TABLES = [("504.2(1)", "504.2(2)"), ("504.2(3)", "504.2(4)")]


def cells(file, *columns):
    """Return {(table, kind, *columns): capacity} without NA."""
    found = {}
    for row in catalog.table(file):
        if row["capacity_kbtu_h"] != "NA":
            numbers = tuple(float(row[column] or "nan") for column in columns)
            found[(row["table"], row["kind"], *numbers)] = float(row["capacity_kbtu_h"])
    return found


def walk(found, axis, sign):
    """Return the pairs of neighbours along a key position where the value moves against ``sign``."""
    lines = defaultdict(list)
    for key, value in found.items():
        lines[key[:axis] + key[axis + 1 :]].append((key[axis], value))
    wrong = []
    for rest, points in lines.items():
        for (x0, y0), (x1, y1) in itertools.pairwise(sorted(points)):
            if sign * (y1 - y0) < 0:
                wrong.append((*rest, x0, x1, y0, y1))
    return wrong


def only(found, *kinds):
    return {key: value for key, value in found.items() if key[1] in kinds}


SINGLES = cells(SINGLE, "height_ft", "lateral_ft", "diameter_in")
CONNECTORS = cells(CONNECTOR, "height_ft", "rise_ft", "diameter_in")
COMMONS = cells(COMMON, "height_ft", "diameter_in")
AREAS = cells(COMMON, "height_ft", "area_in2")
BY_DIAMETER = {key: value for key, value in COMMONS.items() if key[3] == key[3]}
BY_AREA = {key: value for key, value in AREAS.items() if key[3] == key[3]}


@pytest.mark.parametrize(("axis", "sign"), [(2, 1), (3, -1), (4, 1)], ids=["height", "lateral", "diameter"])
def test_single_maxima_are_monotone(axis, sign):
    assert walk(only(SINGLES, "NAT_MAX", "FAN_MAX"), axis, sign) == []


def test_fan_minimum_falls_from_lateral_0_to_2_only_in_the_known_places():
    wrong = walk(only(SINGLES, "FAN_MIN"), 3, 1)
    # 504.2(2), 6, 7 and 8 in., every height: 21 places; nowhere else.
    assert len(wrong) == 21
    assert {(line[0], line[4], line[5]) for line in wrong} == {("504.2(2)", 0.0, 2.0)}
    assert {line[3] for line in wrong} == {6.0, 7.0, 8.0}
    assert {line[2] for line in wrong} == {6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0}


def test_connector_maxima_grow_with_rise_and_diameter():
    maxima = only(CONNECTORS, "NAT_MAX", "FAN_MAX")
    assert walk(maxima, 3, 1) == []
    assert walk(maxima, 4, 1) == []


def test_connector_maxima_grow_with_height_except_tall_masonry():
    wrong = walk(only(CONNECTORS, "NAT_MAX", "FAN_MAX"), 2, 1)
    # 504.3(3), 3 to 5 in., 30 -> 50 -> 100 ft: 7 places.
    assert len(wrong) == 7
    assert {line[0] for line in wrong} == {"504.3(3)"}
    assert {line[3] for line in wrong} <= {3.0, 4.0, 5.0}
    assert all(line[4] >= 30.0 for line in wrong)


def test_common_maxima_are_monotone_except_one_cell():
    assert walk(BY_DIAMETER, 2, 1) == []
    assert walk(BY_DIAMETER, 3, 1) == []
    assert walk(BY_AREA, 3, 1) == []
    assert walk(BY_AREA, 2, 1) == [("504.3(4)", "FAN+NAT", 50.0, 10.0, 15.0, 405.0, 400.0)]


@pytest.mark.parametrize("found", [SINGLES, CONNECTORS], ids=["single", "connector"])
def test_minimum_natural_and_fan_are_ordered(found):
    wrong = []
    for key, high in found.items():
        if key[1] != "FAN_MAX":
            continue
        for other in ("FAN_MIN", "NAT_MAX"):
            low = found.get((key[0], other, *key[2:]))
            if low is not None and low > high:
                wrong.append((key, other))
    assert wrong == []


@pytest.mark.parametrize("found", [BY_DIAMETER, BY_AREA], ids=["diameter", "area"])
def test_common_columns_are_ordered(found):
    for key, value in found.items():
        for better, worse in (("FAN+FAN", "FAN+NAT"), ("FAN+NAT", "NAT+NAT")):
            if key[1] == better:
                assert value >= found.get((key[0], worse, *key[2:]), 0.0)


def single_wall_above(found, type_b, single_wall, kinds):
    return {
        (key[1], *key[2:], value, found[(type_b, *key[1:])])
        for key, value in found.items()
        if key[0] == single_wall and key[1] in kinds and value > found.get((type_b, *key[1:]), np.inf)
    }


@pytest.mark.parametrize(("type_b", "single_wall"), B_VENT_TABLES)
def test_single_wall_connector_never_beats_type_b(type_b, single_wall):
    assert single_wall_above(SINGLES, type_b, single_wall, ("NAT_MAX", "FAN_MAX")) == set()


def test_single_wall_connector_beats_type_b_only_in_the_known_cells():
    found = single_wall_above(CONNECTORS, "504.3(1)", "504.3(2)", ("NAT_MAX", "FAN_MAX"))
    assert found == {
        ("NAT_MAX", 10.0, 2.0, 7.0, 183.0, 182.0),
        ("FAN_MAX", 20.0, 1.0, 3.0, 56.0, 54.0),
        ("FAN_MAX", 20.0, 2.0, 3.0, 59.0, 57.0),
        ("FAN_MAX", 20.0, 3.0, 3.0, 62.0, 60.0),
    }
    kinds = ("FAN+FAN", "FAN+NAT", "NAT+NAT")
    assert single_wall_above(BY_DIAMETER, "504.3(1)", "504.3(2)", kinds) == set()
    assert single_wall_above(BY_AREA, "504.3(3)", "504.3(4)", kinds) == {
        ("FAN+NAT", 15.0, 38.0, 335.0, 334.0),
        ("FAN+FAN", 20.0, 63.0, 765.0, 742.0),
    }


def test_connector_length_is_one_and_a_half_feet_per_inch():  # nfpa54-2012 13.2.2
    for row in catalog.table("connector_max_length"):
        assert float(row["max_horizontal_length_ft"]) == 1.5 * float(row["connector_diameter_in"])


@pytest.mark.parametrize("row_number", range(0, 1924, 53))
def test_reading_on_a_node_returns_the_printed_cell(row_number):
    row = catalog.table(SINGLE)[row_number]
    at = (float(row["height_ft"]), float(row["lateral_ft"]), float(row["diameter_in"]))
    reading = vent_tables.read_single(row["table"], row["kind"], *at)
    if row["capacity_kbtu_h"] == "NA":
        assert reading.code == vent_tables.NOT_ALLOWED
        assert np.isnan(reading.value)
    else:
        assert reading.value == float(row["capacity_kbtu_h"])
        assert reading.status == row["status"]
        assert set(reading.source.split(";")) == set(row["source"].split(";"))


def test_every_cell_reads_back():
    """All rows of the three files, vectorised by table and kind."""
    for file, read in (("single", vent_tables.read_single), ("connector", vent_tables.read_connector)):
        column = "lateral_ft" if file == "single" else "rise_ft"
        groups = defaultdict(list)
        for row in catalog.table(SINGLE if file == "single" else CONNECTOR):
            groups[row["table"], row["kind"]].append(row)
        for (table, kind), rows in groups.items():
            at = [[float(row[name]) for row in rows] for name in ("height_ft", column, "diameter_in")]
            printed = [np.nan if row["capacity_kbtu_h"] == "NA" else float(row["capacity_kbtu_h"]) for row in rows]
            np.testing.assert_array_equal(read(table, kind, *at).capacity_kbtu_h, printed)
    groups = defaultdict(list)
    for row in catalog.table(COMMON):
        groups[row["table"], row["kind"]].append(row)
    for (table, kind), rows in groups.items():
        sizes = [float(row["diameter_in"] or row["area_in2"]) for row in rows]
        printed = [np.nan if row["capacity_kbtu_h"] == "NA" else float(row["capacity_kbtu_h"]) for row in rows]
        reading = vent_tables.read_common(table, kind, [float(row["height_ft"]) for row in rows], sizes)
        np.testing.assert_array_equal(reading.capacity_kbtu_h, printed)


def test_against_an_independent_interpolator():
    """scipy's grid interpolator on the part of 504.2(1) where every height has the laterals 0, 2 and 5 or more."""
    from scipy.interpolate import RegularGridInterpolator

    heights, laterals = [8.0, 10.0, 15.0, 20.0, 30.0, 50.0], [2.0, 5.0]
    values = [[SINGLES["504.2(1)", "NAT_MAX", h, x, 4.0] for x in laterals] for h in heights]
    other = RegularGridInterpolator((heights, laterals), values)
    random = np.random.default_rng(7)
    h, x = random.uniform(8, 50, 500), random.uniform(2, 5, 500)
    ours = vent_tables.single_capacity_kbtu_h("504.2(1)", "NAT_MAX", h, x, 4)
    np.testing.assert_allclose(ours, other(np.column_stack([h, x])), rtol=1e-12)


@settings(max_examples=200)
@given(
    st.sampled_from(["504.2(1)", "504.2(2)", "504.2(3)", "504.2(5)"]),
    st.floats(0, 70),
    st.floats(0, 40),
    st.sampled_from([3, 4, 5, 6, 7, 8, 9]),
)
def test_never_extrapolates(table, height, lateral, size):
    reading = vent_tables.read_single(table, "NAT_MAX", height, lateral, size)
    values = [v for k, v in SINGLES.items() if k[0] == table and k[1] == "NAT_MAX" and k[4] == size]
    if reading.code == vent_tables.OK:
        assert min(values) <= reading.value <= max(values)
        low, high = vent_tables.height_range_ft("single", table, "NAT_MAX")
        assert low <= height <= high
    else:
        assert np.isnan(reading.value)


@pytest.mark.parametrize(("rise", "outside"), [(0.9, True), (1.0, False), (3.0, False), (3.1, True)])
def test_connector_rise_outside(rise, outside):
    reading = vent_tables.read_connector("504.3(1)", "NAT_MAX", 20, rise, 4)
    assert (reading.code == vent_tables.OUTSIDE_TABLE) is outside


def test_open_ended_height_row():
    # 504.3(5) connectors are printed for 6-8 ft, 15 ft, and 30 ft and above.
    read = vent_tables.read_connector
    assert read("504.3(5)", "NAT_MAX", 7, 2, 4).value == read("504.3(5)", "NAT_MAX", 6, 2, 4).value
    assert read("504.3(5)", "NAT_MAX", 55, 2, 4).value == read("504.3(5)", "NAT_MAX", 30, 2, 4).value


def test_area_between_rows_reads_the_lower_one():
    read = vent_tables.read_common
    assert read("504.3(3)", "NAT+NAT", 20, 49.9).value == read("504.3(3)", "NAT+NAT", 20, 38).value
    assert read("504.3(3)", "NAT+NAT", 20, 11.9).code == vent_tables.OUTSIDE_TABLE
    assert read("504.3(3)", "NAT+NAT", 35, 50).code == vent_tables.OUTSIDE_TABLE
