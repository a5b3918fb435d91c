"""Make-up air of a house: its hoods and fans by their labels, what is brought in for them, and the burners beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.case.parts import Appliance
from advisor.codes.makeup_air import Beside, MakeUpAir, makeup_air, makeup_air_column
from advisor.codes.trade_sizes import round_area_in2
from advisor.facts import burners, exhaust, space

HOODS = ("range hood", "large hood", "downdraft")
FANS = (*HOODS, "bath fan", "central vacuum", "other fan")
"""Devices with a fan of their own that run behind closed windows; a dryer has an allowance instead."""
FACTOR_STATE = "MN"
"""State whose own make-up rule is in the catalog (``catalog/codes/makeup_air_factors.csv``)."""
WITH_BASEMENT = ("slab", "vented crawl", "conditioned basement")
"""Foundations under which no unfinished basement adds to the conditioned floor area."""


@dataclass(frozen=True, slots=True)
class Burning:
    """The burners that the pressure of the house acts on, counted as the make-up rules do.

    Parameters
    ----------
    atmospheric, solid_fuel, fan_assisted : int
        How many of each are on record; a fireplace or stove counts as solid fuel.
    """

    atmospheric: int
    solid_fuel: int
    fan_assisted: int

    @property
    def column(self) -> str:
        """Column of the factor method, A to D."""
        return makeup_air_column(
            atmospheric=self.atmospheric, solid_fuel=self.solid_fuel, fan_assisted=self.fan_assisted
        )


SOLID_KINDS = ("fireplace", "stove")
CUT_OFF = ("garage", "attic", "crawl space")
"""Places outside the rooms of the house."""
NO_PULL = ("sealed", "power-vented")
"""Drafts that neither need the pressure of the house nor are spoiled by it."""


def _drawing(case: Case) -> tuple[Appliance, ...]:
    """Return the other appliances of the house whose draft its pressure acts on, wherever they stand indoors."""
    others = (*burners.on_the_vent(case), *burners.off_the_vent(case))
    return tuple(
        one
        for one in others
        if one.place != "outdoors" and one.kind not in burners.WITHOUT_DRAFT and one.draft not in NO_PULL
    )


def burning(case: Case, heater: Beside = "natural") -> Burning:
    """Return the burners on record, with the heater as it vents (after a replacement, as the new one does).

    A fireplace that the record lists both as an appliance and as a device that takes air out is one fireplace.
    """
    others = _drawing(case)
    solid = [one for one in others if one.kind in SOLID_KINDS]
    fires = sum(one.kind == "fireplace" for one in solid)
    fans = sum(burners.by_fan(one) for one in others if one.kind not in SOLID_KINDS)
    return Burning(
        len(others) - len(solid) - fans + (heater in ("natural", "outside")),
        len(solid) - fires + max(fires, len(exhaust.outdoors(case, ("fireplace",)))),
        fans + (heater == "fan-assisted"),
    )


def beside(case: Case, heater: Beside = "natural") -> Beside | None:
    """Return the burner on record that depends most on the pressure of the house; None where others are not known.

    One that vents by natural draft in the house settles it, whatever else there is. A garage, an attic or sealing cuts the
    heater's space, and what stands in it, off from the house.
    """
    found, others = burning(case, heater), _drawing(case)
    apart = heater == "outside" or space.apart(case)
    natural = [one for one in others if one.kind in SOLID_KINDS or not burners.by_fan(one)]
    inside = [one for one in natural if not (one.place in CUT_OFF or (apart and one.place == "with the heater"))]
    if inside or exhaust.outdoors(case, ("fireplace",)) or (heater == "natural" and not apart):
        return "natural"
    if burners.list_is_whole(case) is None or burners.sharing_unknown(case) or any(one.draft is None for one in others):
        # what nobody listed may stand in the house
        return "outside" if found.atmospheric else None
    if found.atmospheric or natural:
        return "outside"
    return "fan-assisted" if found.fan_assisted else "none"


def known_flows_cfm(case: Case, kinds: Sequence[str]) -> list[float]:
    """Return what each device can move, cfm: its label, which the rules go by, else at least what was measured."""
    flows = (exhaust.listed_cfm(device) for device in exhaust.outdoors(case, kinds))
    return [flow for flow in flows if flow is not None]


def largest_known_cfm(case: Case, kinds: Sequence[str]) -> float | None:
    """Return the largest known flow of some kinds of device, cfm; 0 where none exhausts, None where none is known."""
    if case.exhaust is not None and not exhaust.outdoors(case, kinds):
        return 0.0
    return max(known_flows_cfm(case, kinds), default=None)


def supplied_cfm(case: Case) -> float | None:
    """Return the outdoor air that fans bring in, cfm; a balanced ventilator takes as much out. None: not known."""
    if case.supply is None:
        return None
    return sum(max(0.0, item.supply_cfm - item.exhaust_cfm) for item in case.supply)


def damper_speed_m_s() -> float:
    """Return the speed in a passive make-up damper at the pressure drop that it is sized for, m/s (``remedy_effects``)."""
    drop_pa = catalog.number("remedy_effects", "passive_damper_velocity_pa")
    heads = catalog.number("remedy_effects", "passive_damper_duct_heads")
    density_kg_m3 = catalog.number("remedy_effects", "passive_damper_air_kg_m3")
    return math.sqrt(2.0 * drop_pa / (density_kg_m3 * heads))


def passive_flow_cfm(size_in: float) -> float:
    """Return what a passive make-up damper of a round size lets in at that pressure drop, cfm: the tool's own sizing."""
    return round_area_in2(size_in) * units.M2_PER_IN2 * damper_speed_m_s() / units.M3_S_PER_CFM


def damper_in(case: Case) -> float:
    """Return the round size of a passive damper on record that opens by itself, in; 0 where none is on record.

    One that somebody has to open, or of which nobody knows whether it opens, is none when the hood runs.
    """
    house = case.house
    return (house.makeup_damper_in or 0.0) if house.makeup_damper_interlocked else 0.0


def passive_cfm(case: Case) -> float:
    """Return what the passive damper on record lets in when a hood runs, cfm; 0 where there is none."""
    size = damper_in(case)
    return passive_flow_cfm(size) if size > 0.0 else 0.0


def starts_by_itself(case: Case, flow_cfm: float) -> bool | None:
    """Return whether a flow of outdoor air comes without anybody's doing when the hood runs; None where nobody looked."""
    nets = [(max(0.0, s.supply_cfm - s.exhaust_cfm), s.interlocked) for s in listed(case.supply)]
    if sum(net for net, starts in nets if starts) >= flow_cfm:
        return True
    return None if sum(net for net, starts in nets if starts is not False) >= flow_cfm else False


def floor_ft2(case: Case) -> float | None:
    """Return the floor area with an unfinished basement, ft2; None where such a basement may add to what was given."""
    return case.house.floor_area_ft2 if case.house.foundation in WITH_BASEMENT else None


def by_class(case: Case, heater: Beside = "natural") -> MakeUpAir | None:
    """Return the factor method with the fans and burners on record; None outside its state and up to its trigger."""
    largest = max(known_flows_cfm(case, FANS), default=0.0)
    if case.house.state != FACTOR_STATE or largest <= catalog.number("rules_limits", "makeup_existing_trigger_cfm"):
        return None
    return makeup_air(
        burning(case, heater).column,
        floor_ft2(case),
        known_flows_cfm(case, FANS),
        dryer=bool(exhaust.outdoors(case, ("dryer",))),
        # without a supply fan is the usual case; where nobody said so, `review` makes no verdict of it
        supplied_cfm=supplied_cfm(case) or 0.0,
        passive_cfm=passive_cfm(case),
    )


def owed_cfm(case: Case) -> float:
    """Return the make-up air that the rules ask for beside a natural-draft heater, cfm: the general one, or the state's."""
    hood, owed = largest_known_cfm(case, HOODS) or 0.0, by_class(case)
    general = hood if hood > catalog.number("rules_limits", "makeup_general_trigger_cfm") else 0.0
    return max(general, 0.0 if owed is None else owed.makeup_cfm or 0.0)


def needed_cfm(case: Case) -> float:
    """Return the flow that make-up air is made for, cfm: the largest device, or more where the state rule asks for it."""
    owed = by_class(case)
    more = 0.0 if owed is None else owed.makeup_cfm or 0.0
    return max(exhaust.largest_cfm(case), more)


def unknown_of_fans(case: Case, kinds: Sequence[str]) -> Iterator[str]:
    """Yield the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about some kinds of fan and the floor."""
    if case.exhaust is None:
        yield "exhaust"
    if not all(exhaust.label_given(device) for device in exhaust.outdoors(case, kinds)):
        yield "exhaust_flow"
    if floor_ft2(case) is None:
        yield "floor_area"
    unsure = case.house.makeup_damper_interlocked is None and bool(case.house.makeup_damper_in)
    if unsure or any(s.interlocked is None and s.supply_cfm > s.exhaust_cfm for s in listed(case.supply)):
        yield "interlock"
