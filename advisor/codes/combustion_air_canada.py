"""Combustion air by CSA B149.1: another method than the US one, never mixed with it.

The tables were not read: the sizes are fits to published examples (status ``derived``). The US rules in
``combustion_air`` ask for other areas at the same input; an output may show one or the other, never a mixture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.codes.combustion_air import BTU_H_PER_KBTU_H, rule
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError


def _row(input_btu_h: float) -> float:
    """Return the next table row at or above an input (rows every 25,000 Btu/h: a fit)."""
    step = rule("canada_row_step_btu_h").typical
    return math.ceil(input_btu_h / step - 1e-9) * step


def _small_only(total_btu_h: float) -> None:
    limit = rule("canada_small_system_btu_h").typical
    if total_btu_h > limit:
        raise InputError(
            f"total input {total_btu_h:.0f} Btu/h: the small-system clauses of CSA B149.1 end at {limit:.0f} Btu/h; "
            "use canada_large_system_in2"
        )


def canada_opening_in2(
    draft_control_btu_h: float, no_draft_control_btu_h: float = 0.0, *, lone_water_heater: bool = False
) -> float:
    """Return the free area of the outdoor-air opening, up to 400,000 Btu/h (CSA B149.1 8.2/8.3).

    Parameters
    ----------
    draft_control_btu_h : float
        Input of appliances with a draft hood or draft regulator.
    no_draft_control_btu_h : float
        Input of the others.
    lone_water_heater : bool
        One water heater alone of at most 50,000 Btu/h asks for no outdoor air.

    Returns
    -------
    float
        Area in in2 in full precision; the larger of Table 8.1 on the draft-control input and Table 8.2 on everything.

    Raises
    ------
    InputError
        Above 400,000 Btu/h or for negative inputs.
    """
    require_positive("draft_control_btu_h", draft_control_btu_h, zero=True)
    require_positive("no_draft_control_btu_h", no_draft_control_btu_h, zero=True)
    total = draft_control_btu_h + no_draft_control_btu_h
    _small_only(total)
    if lone_water_heater and total <= rule("canada_small_heater_btu_h").typical:
        return 0.0
    with_control = _row(draft_control_btu_h) / rule("canada_draft_control_btu_h_per_in2").typical
    if no_draft_control_btu_h == 0.0:
        return with_control
    return max(with_control, _row(total) / rule("canada_no_draft_control_btu_h_per_in2").typical)


def canada_round_duct_in(area_in2: float) -> int:
    """Return the round duct that the Canadian tables print: the *nearest* whole inch of equal area (a fit)."""
    require_positive("area_in2", area_in2, zero=True)
    return math.floor(math.sqrt(4.0 * area_in2 / math.pi) + 0.5)


def canada_enclosure_opening_in2(input_btu_h: float) -> float:
    """Return each opening of an enclosure: one low; an equal one at the top with draft control (CSA B149.1 8.2/8.3)."""
    require_positive("input_btu_h", input_btu_h)
    return rule("canada_enclosure_in2_per_kbtu_h").typical * input_btu_h / BTU_H_PER_KBTU_H


@dataclass(frozen=True, slots=True)
class LargeSystemOpenings:
    """Combustion-air and ventilation openings in in2."""

    air_in2: float
    ventilation_in2: float


def canada_large_system_in2(natural_btu_h: float, power_burner_btu_h: float = 0.0) -> LargeSystemOpenings:
    """Return the openings above 400,000 Btu/h (CSA B149.1 8.4).

    Parameters
    ----------
    natural_btu_h, power_burner_btu_h : float
        Inputs of natural-draft and of power burners.

    Raises
    ------
    InputError
        For negative inputs.
    """
    require_positive("natural_btu_h", natural_btu_h, zero=True)
    require_positive("power_burner_btu_h", power_burner_btu_h, zero=True)
    first = min(natural_btu_h, rule("canada_large_first_btu_h").typical)
    air = first / rule("canada_large_first_btu_h_per_in2").typical
    air += (natural_btu_h - first) / rule("canada_large_rest_btu_h_per_in2").typical
    air += power_burner_btu_h / rule("canada_power_burner_btu_h_per_in2").typical
    ventilation = max(air * rule("canada_ventilation_share").typical, rule("canada_ventilation_least_in2").typical)
    return LargeSystemOpenings(air, ventilation)
