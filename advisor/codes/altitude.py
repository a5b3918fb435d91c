"""Cut of the burner input at altitude (NFPA 54-2012 11.1.2)."""

from __future__ import annotations

from advisor import catalog
from advisor.codes.check import Check
from advisor.codes.compose import compose, verdict_of
from advisor.codes.vent_findings import at_most
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError
from advisor.findings import finding, quantity

_FILE = "rules_combustion_air"


def derated_input_btu_h(input_btu_h: float, altitude_ft: float) -> float:
    """Return the input that the burner is set to at an altitude.

    Parameters
    ----------
    input_btu_h : float
        Sea-level (nameplate) input, above 0.
    altitude_ft : float
        Above sea level; no cut up to 2000 ft, then 4 % for each 1000 ft counted from sea level.

    Raises
    ------
    InputError
        If the input is not positive, or the altitude is so high that nothing would be left.
    """
    require_positive("input_btu_h", input_btu_h)
    if altitude_ft <= catalog.number(_FILE, "altitude_free_up_to_ft"):
        return input_btu_h
    left = 1.0 - catalog.number(_FILE, "altitude_derate_pct_per_1000_ft") / 100.0 * altitude_ft / 1000.0
    if not left > 0.0:
        raise InputError(f"altitude_ft = {altitude_ft}: the altitude rule (11.1.2) leaves no input at this height")
    return input_btu_h * left


def check_altitude_derate(input_btu_h: float, altitude_ft: float, burner_input_btu_h: float | None = None) -> Check:
    """Check that the burner's input has been cut for the altitude.

    Parameters
    ----------
    input_btu_h : float
        Nameplate input at sea level.
    altitude_ft : float
        Above sea level.
    burner_input_btu_h : float or None
        Input to which the burner was set, clocked at the meter; None: not known.
    """
    start = catalog.parameter(_FILE, "altitude_free_up_to_ft")
    step = catalog.parameter(_FILE, "altitude_derate_pct_per_1000_ft")
    allowed = derated_input_btu_h(input_btu_h, altitude_ft)
    altitude = quantity(altitude_ft, "ft", 0)
    if altitude_ft <= start.typical:
        return compose(
            "input_at_altitude",
            step.ref,
            "not applicable",
            finding("codes_vent.altitude.client_none", altitude=altitude),
            finding("codes_vent.altitude.official_none", free=quantity(start.typical, "ft", 0), altitude=altitude),
            (start,),
        )
    cut = 100.0 * (1.0 - allowed / input_btu_h)
    ok = None if burner_input_btu_h is None else burner_input_btu_h <= allowed
    most, burner = quantity(allowed, "btu_h"), quantity(burner_input_btu_h, "btu_h")
    return compose(
        "input_at_altitude",
        step.ref,
        verdict_of(ok),
        finding("codes_vent.altitude.client", altitude=altitude, cut=quantity(cut, "pct", 0)),
        finding(
            "codes_vent.altitude.official",
            input=quantity(input_btu_h, "btu_h"),
            cut=quantity(cut, "pct", 1),
            allowed=most,
            burner=burner,
        ),
        (start, step),
        required=at_most(most),
        provided=burner,
    )
