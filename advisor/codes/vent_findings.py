"""What several vent rules have to say in the same way: bounds, materials, sizes."""

from __future__ import annotations

from advisor.findings import Finding, Quantity, finding, quantity


def inches(size_in: float) -> Quantity:
    """Return a diameter, to be said."""
    return quantity(size_in, "in")


def feet(length_ft: float | None) -> Quantity:
    """Return a length or a height, to be said."""
    return quantity(length_ft, "ft")


def square_inches(area_in2: float | None) -> Quantity:
    """Return an area, to be said."""
    return quantity(area_in2, "in2")


def kbtu_h(input_kbtu_h: float) -> Quantity:
    """Return an input or a capacity in thousand Btu/h, to be said to an official."""
    return quantity(input_kbtu_h, "kbtu_h")


def thousand_btu_h(input_kbtu_h: float, digits: int = 1) -> Quantity:
    """Return an input or a capacity in thousand Btu/h, to be said to a client."""
    return quantity(input_kbtu_h, "thousand_btu_h", digits)


def factor(value: float) -> Quantity:
    """Return what a table value is multiplied with, to be said."""
    return quantity(value, "number", 2)


def at_least(least: Quantity) -> Finding:
    """Return a lower bound, to be said."""
    return finding("codes_vent.at_least", least=least)


def at_most(most: Quantity) -> Finding:
    """Return an upper bound, to be said."""
    return finding("codes_vent.at_most", most=most)


def between(low: Quantity, high: Quantity) -> Finding:
    """Return two bounds in one unit, to be said."""
    return finding("codes_vent.between", low=low, high=high)


def material(word: str) -> Finding:
    """Return what a vent or a connector is made of (``vent_types.VENT_MATERIALS``), to be said."""
    return finding(f"codes_vent.material.{word.replace(' ', '_').lower()}")
