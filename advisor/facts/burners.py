"""The burners that take air from the heater's space: which they are, their input, and the outlets of their vents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.case.parts import SharedAppliance

Draft = Literal["natural", "fan-assisted"]


@dataclass(frozen=True, slots=True)
class Burner:
    """A burner that takes its air from the heater's space.

    Parameters
    ----------
    role : {"heater", "shared", "other"}
        The heater itself, the appliance on its vent, or one with a vent of its own.
    kind : str
        ``water heater``, ``furnace``, ``boiler``, ``fireplace`` ...
    draft : {"natural", "fan-assisted"}
        How it vents; a sealed one takes its air from outdoors and is none of these.
    input_btu_h : float
        Nameplate input at sea level, Btu/h.
    input_given, draft_given : bool
        False where the record holds the usual value because nobody wrote it down.
    """

    role: Literal["heater", "shared", "other"]
    kind: str
    draft: Draft
    input_btu_h: float
    input_given: bool = True
    draft_given: bool = True


@dataclass(frozen=True, slots=True)
class SpaceInput:
    """Input of all burners that take air from the heater's space, Btu/h: without a fan, and fan-assisted."""

    other_btu_h: float
    fan_btu_h: float

    @property
    def total_btu_h(self) -> float:
        """Input of both, Btu/h."""
        return self.other_btu_h + self.fan_btu_h


def burners_in_space(case: Case) -> tuple[Burner, ...]:
    """Return every burner that takes air from the heater's space, the heater first.

    All appliances in the space count, whatever their kind; direct-vent (sealed) ones, which take their air from
    outdoors, are exempt (NFPA 54-2012 9.3.1.1 and 9.3.2.1, ``catalog/codes/rules_combustion_air.csv``). A fireplace
    that the record lists here with an input burns gas on the room's air and counts like any other.
    """
    found = [Burner("heater", "water heater", "natural", case.heater.input_btu_h)]
    shared = case.shared_appliance
    if shared is not None:
        given = shared.model_fields_set
        found.append(
            Burner("shared", shared.kind, shared.draft, shared.input_btu_h, "input_btu_h" in given, "draft" in given)
        )
    for one in listed(case.other_appliance):
        if one.draft == "sealed":
            continue
        given = one.model_fields_set
        found.append(Burner("other", one.kind, one.draft, one.input_btu_h, "input_btu_h" in given, "draft" in given))
    return tuple(found)


def space_input(case: Case) -> SpaceInput:
    """Return the input of the burners that take air from the heater's space: the one sum for every room."""
    by_draft = {"natural": 0.0, "fan-assisted": 0.0}
    for burner in burners_in_space(case):
        by_draft[burner.draft] += burner.input_btu_h
    return SpaceInput(by_draft["natural"], by_draft["fan-assisted"])


def sharing_unknown(case: Case) -> bool:
    """Return whether it is not known that the heater is alone on its vent, and nothing is known of another appliance."""
    return case.shared_appliance is None and case.vent.shared is not False


def unknown_of_burners(case: Case) -> Iterator[str]:
    """Yield the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the burners of the space."""
    if sharing_unknown(case):
        yield "shared"
    if case.other_appliance is None:
        yield "burners"
    burners = burners_in_space(case)
    if not all(burner.input_given for burner in burners):
        yield "other_input"
    if not all(burner.draft_given for burner in burners):
        yield "other_draft"
    if case.shared_appliance is not None and case.shared_appliance.outlet_diameter_in is None:
        yield "other_outlet"
    if case.vent.connector_diameter_in is None:
        yield "connector_diameter"


def natural_draft_remains(case: Case) -> bool | None:
    """Return whether another natural-draft appliance stays once the heater is gone; None when nobody wrote that down.

    An appliance on the heater's vent counts whatever its draft: the vent it is left on was made for two.
    """
    others = [burner for burner in burners_in_space(case) if burner.role != "heater"]
    if any(burner.draft == "natural" or burner.role == "shared" for burner in others):
        return True
    return None if case.other_appliance is None or sharing_unknown(case) else False


@dataclass(frozen=True, slots=True)
class _HoodSize:
    """The usual draft-hood outlet up to an input (``hood_sizes``)."""

    up_to_btu_h: float
    diameter_in: float


def usual_outlet_in(input_btu_h: float) -> float:
    """Return the usual draft-hood outlet for an input, in (``catalog/codes/hood_sizes.csv``)."""
    rows = catalog.rows_of(_HoodSize, "hood_sizes")
    return next((row for row in rows if input_btu_h <= row.up_to_btu_h), rows[-1]).diameter_in


def hood_in(case: Case) -> float:
    """Return the heater's draft-hood outlet, in: measured, else usual for its input."""
    return case.heater.hood_diameter_in or usual_outlet_in(case.heater.input_btu_h)


def connector_in(case: Case) -> float:
    """Return the diameter of the heater's vent connector, in: measured, else as wide as its hood."""
    return case.vent.connector_diameter_in or hood_in(case)


def outlet_in(shared: SharedAppliance) -> float:
    """Return the outlet of the appliance on the heater's vent, in: measured, else usual for its input."""
    return shared.outlet_diameter_in or usual_outlet_in(shared.input_btu_h)


def connectors_in(case: Case) -> tuple[float, ...]:
    """Return the diameters of the vent connectors in the space, in: the heater's, and that of what shares its vent.

    `unknown_of_burners` names those that nobody measured: they take their usual size.
    """
    shared = case.shared_appliance
    return (connector_in(case),) if shared is None else (connector_in(case), outlet_in(shared))
