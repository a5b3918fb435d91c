"""Quantities as people say them, held against scipy.constants (NIST SP 811 and CODATA factors), an outside library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import constants as c

from advisor.case import fields
from advisor.case.quantities import DIMENSIONS, allowed_units, parse_quantity, unit_of, unit_words
from advisor.errors import InputError

CFM = c.foot**3 / c.minute
BTU_H = c.Btu_IT / c.hour
IN_WC = c.inch * c.g * 1000.0  # conventional water column: 1000 kg/m3 at standard gravity (NIST SP 811, from memory)
REL = 1e-6  # the parser keeps ten digits; the water column's conventional value has eight


@pytest.mark.parametrize(
    ("said", "unit", "expected"),
    [
        ("4 in", "in", 4.0),
        ("4", "in", 4.0),
        ('4"', "in", 4.0),
        ("10.16 cm", "in", 4.0),
        ("1 1/2 in", "in", 1.5),
        ("1-1/2", "in", 1.5),
        ("1½ in", "in", 1.5),
        ("½", "in", 0.5),
        ("3/4 in.", "in", 0.75),
        ("40k", "btu_h", 40_000.0),
        ("40K", "btu_h", 40_000.0),
        ("40 k btu", "btu_h", 40_000.0),
        ("40,000 btu", "btu_h", 40_000.0),
        ("40,000 Btu/hr", "btu_h", 40_000.0),
        ("40 MBH", "btu_h", 40_000.0),
        ("12 kW", "btu_h", 12_000.0 / BTU_H),
        ("400 cfm", "cfm", 400.0),
        ("5 l/s", "cfm", 0.005 / CFM),
        ("100 m3/h", "cfm", 100.0 / c.hour / CFM),
        ("1,450 cfm50", "cfm50", 1450.0),
        ("1,650 sq ft", "ft2", 1650.0),
        ("1650 sq. ft.", "ft2", 1650.0),
        ("150 m²", "ft2", 150.0 / c.foot**2),
        ("50 sq in", "in2", 50.0),
        ("8 x 12 in", "in2", 96.0),
        ("8x12", "in2", 96.0),
        ("1 ft x 8 in", "in2", 96.0),
        ("20 cm by 30 cm", "in2", 0.06 / c.inch**2),
        ("10 x 8 x 8 ft", "ft3", 640.0),
        ("10' x 8' 6\" x 8'", "ft3", 680.0),
        ("3 m3", "ft3", 3.0 / c.foot**3),
        ("40 gal", "gal", 40.0),
        ("151 liters", "gal", 0.151 / c.gallon),
        ("7.6 m", "ft", 7.6 / c.foot),
        ("16 ft 4 in", "ft", 16.0 + 4.0 / 12.0),
        ("16'4\"", "ft", 16.0 + 4.0 / 12.0),
        ("5 m 20 cm", "ft", 5.2 / c.foot),
        ("50 F", "temp_f", 50.0),
        ("50°F", "temp_f", 50.0),
        ("50 degrees", "temp_f", 50.0),
        ("10 C", "temp_f", c.convert_temperature(10.0, "Celsius", "Fahrenheit")),
        ("-40 °C", "temp_f", -40.0),
        ("283.15 K", "temp_f", c.convert_temperature(283.15, "Kelvin", "Fahrenheit")),
        ("3 Pa", "pa", 3.0),
        ("−3", "pa", -3.0),
        ("0.02 in wc", "pa", 0.02 * IN_WC),
        ("0.02 in. w.c.", "pa", 0.02 * IN_WC),
        ("0.02 inches water column", "pa", 0.02 * IN_WC),
        ("0.05 mbar", "pa", 5.0),
        ("10 km/h", "mph", 10.0 * c.kmh / c.mph),
        ("3 m/s", "mph", 3.0 / c.mph),
        ("5 min", "seconds", 300.0),
        ("1 min 30 s", "seconds", 90.0),
        ("6 years", "years", 6.0),
        ("18 months", "years", 1.5),
        ("500 kg", "lb", 500.0 / c.lb),
        ("80 %", "pct", 80.0),
        ("80", "pct", 80.0),
        ("35 ppm", "ppm", 35.0),
        ("1/4 in per ft", "in_per_ft", 0.25),
        ("2 %", "in_per_ft", 0.24),
        ("6/12", "per_12", 6.0),
        ("6 in 12", "per_12", 6.0),
        ("$0.16", "usd_kwh", 0.16),
        ("16 cents per kWh", "usd_kwh", 0.16),
        ("$1.40/therm", "usd_therm", 1.4),
        ("3 people", "number", 3.0),
        ("1e4", "btu_h", 10_000.0),
    ],
)
def test_what_people_say(said: str, unit: str, expected: float) -> None:
    assert parse_quantity(said, unit) == pytest.approx(expected, rel=REL)


@pytest.mark.parametrize(
    ("said", "unit", "words"),
    [
        ("5 kg", "in", "is a weight; what is wanted is a length (in, ft, mm, cm, m)"),
        ("4 ft2", "ft", "is an area"),
        ("12 gal", "ft", "is a volume"),
        ("3 Pa", "ft", "is a pressure"),
        ("5 m", "seconds", "is a length"),
        ("9 %", "ppm", "is a percentage"),
        ("6 ach50", "cfm50", "is an air change rate"),
        ("20 psi", "pa", "is a gas or water pressure"),
        ("$0.16/therm", "usd_kwh", "is a price for a therm"),
        ("4 inhces", "in", "did you mean 'inches'?"),
        ("40e", "ft", "the unit 'e' is not known"),
        ("1,5", "ft", "write thousands as 1,650 and decimals as 1.5"),
        ("1.650,5", "ft", "write thousands"),
        ("1,6500", "ft", "write thousands"),
        ("40-50", "cfm", "is a range"),
        ("40 to 50", "cfm", "is a range"),
        ("4 5", "in", "more than one number"),
        ("5' 6", "ft", "more than one number"),
        ("4 in 1 ft", "in", "odd order"),
        ("5 x 7 x 8 in", "in2", "has 3 sides"),
        ("8 in x 12", "in2", "unit of every side"),
        ("2 x 4 x 4", "gal", "give the unit of the sides"),
        ("0.75", "pct", "a share or a percentage? Write 75 % or 0.75 %"),
        ("1:30", "seconds", "not known"),
        ("nan", "in", "does not start with a number"),
        ("-inf", "in", "does not start with a number"),
        ("1e400", "in", "not a number that can be used"),
        ("1/0", "in", "divides by zero"),
        ("about 12", "ft", "does not start with a number"),
        ("<5", "ppm", "does not start with a number"),
        ("", "ft", "nothing was typed"),
        ("9" * 400, "ft", "too long"),
        ("30 deg", "per_12", "is no roof pitch"),
    ],
)
def test_what_is_refused(said: str, unit: str, words: str) -> None:
    with pytest.raises(InputError) as error:
        parse_quantity(said, unit)
    assert words in str(error.value)
    assert "\n" not in str(error.value)


def test_every_field_has_a_unit_whose_words_are_understood() -> None:
    for table in (None, *fields.TABLES):
        for name in fields.table_fields(table):
            what = fields.field(f"{table}.{name}" if table else name)
            if what.kind != "number":
                continue
            unit = unit_of(name)
            shown = unit_words(unit)
            if shown and "$" not in shown:
                assert parse_quantity(f"7 {shown}", unit) == pytest.approx(7.0)
            assert allowed_units(unit)


@pytest.mark.parametrize("name", [n for n in DIMENSIONS if n not in ("temperature", "pitch")])
def test_every_spelling_of_a_dimension_reads_back_as_its_factor(name: str) -> None:
    unit = next((u for u in _UNITS if _dimension(u) == name), None)
    if unit is None:
        assert name in ("air changes", "pipe pressure")  # known only to be refused
        return
    for spelling, factor in DIMENSIONS[name].factors.items():
        own = DIMENSIONS[name].factors[_own(unit)]
        assert parse_quantity(f"2 {spelling}", unit) == pytest.approx(2.0 * factor / own, rel=1e-9)


_UNITS = sorted({unit_of(n) for t in (None, *fields.TABLES) for n in fields.table_fields(t)})


def _dimension(unit: str) -> str:
    from advisor.case.quantities import _TARGETS

    return _TARGETS[unit][0]


def _own(unit: str) -> str:
    from advisor.case.quantities import _TARGETS

    return _TARGETS[unit][1]


def _number_or_one_line(said: str, unit: str) -> None:
    value, error = 0.0, "one line"
    try:
        value = parse_quantity(said, unit)
    except InputError as caught:
        error = str(caught)
    assert math.isfinite(value)
    assert len(error.splitlines()) == 1


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=40), st.sampled_from(_UNITS))
def test_any_text_gives_a_finite_number_or_one_clear_error(said: str, unit: str) -> None:
    _number_or_one_line(said, unit)


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="0123456789 .,/-+xk'\"inftmcpaw½%", max_size=14), st.sampled_from(_UNITS))
def test_texts_that_look_like_quantities(said: str, unit: str) -> None:
    _number_or_one_line(said, unit)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 9_999_999))
def test_thousands_with_commas_read_as_the_plain_number(value: int) -> None:
    assert parse_quantity(f"{value:,}", "ft2") == value
