"""Formulae that only tests use, beside `advisor.facts.hot_water`."""

from __future__ import annotations

from advisor.catalog import number
from advisor.facts.amounts import require

_FILE = "money_energy"


def mixed_with_waste_gal_day(bedrooms: float) -> float:
    """Return mixed water at fixtures plus what is wasted in the pipes, gal/day (`resnet-301-2014`)."""
    bedrooms = float(require("bedrooms", bedrooms, 0.0, 20.0))
    fixtures = (
        number(_FILE, "fixture_base_resnet_gal_day") + number(_FILE, "fixture_per_bedroom_resnet_gal_day") * bedrooms
    )
    return float(fixtures + number(_FILE, "waste_coefficient_gal_day") * bedrooms ** number(_FILE, "waste_exponent"))
