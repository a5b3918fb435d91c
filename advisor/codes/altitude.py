"""Cut of the burner input at altitude (NFPA 54-2012 11.1.2)."""

from __future__ import annotations

from advisor import catalog
from advisor.codes.check import Check
from advisor.codes.compose import compose, number_text, verdict_of
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError

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
    if altitude_ft <= start.typical:
        return compose(
            "input at altitude",
            step.ref,
            "not applicable",
            f"At {number_text(altitude_ft, 0)} ft the burner keeps its full input.",
            f"No input reduction applies up to {number_text(start.typical, 0, 'ft')}; "
            f"site at {number_text(altitude_ft, 0, 'ft')}.",
            (start,),
        )
    cut = 100.0 * (1.0 - allowed / input_btu_h)
    ok = None if burner_input_btu_h is None else burner_input_btu_h <= allowed
    return compose(
        "input at altitude",
        step.ref,
        verdict_of(ok),
        f"At {number_text(altitude_ft, 0, 'ft')} the thin air asks for {number_text(cut, 0)} % less gas; a technician "
        "sets this with other orifices or by the maker's high-altitude kit.",
        f"Input of {number_text(input_btu_h, 0, 'Btu/h')} is to be reduced by {number_text(cut, 1)} % to "
        f"{number_text(allowed, 0, 'Btu/h')} unless the listing says otherwise; burner set to "
        f"{number_text(burner_input_btu_h, 0, 'Btu/h')}.",
        (start, step),
        required=f"at most {number_text(allowed, 0, 'Btu/h')}",
        provided=number_text(burner_input_btu_h, 0, "Btu/h"),
    )
