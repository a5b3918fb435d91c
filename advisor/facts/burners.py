"""The burners that take air from the heater's space: which they are, their input, and the outlets of their vents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, Run, listed
from advisor.case.parts import Appliance

Draft = Literal["natural", "fan-assisted"]
WITHOUT_DRAFT = ("range", "dryer")
"""Kinds that burn the room's air and have no vent whose draft could fail."""


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


@dataclass(frozen=True, slots=True)
class _Usual:
    """What is usual for a kind of burner where nobody read its plate (``usual_burners``)."""

    kind: str
    input_btu_h: float
    draft: Draft


def _usual(kind: str) -> _Usual:
    return catalog.rows_by(_Usual, "usual_burners", "kind")[kind]


def on_the_vent(case: Case) -> tuple[Appliance, ...]:
    """Return the appliances that use the heater's vent with it, in the order of the case."""
    return tuple(one for one in listed(case.appliance) if one.vent == "with the heater")


def off_the_vent(case: Case) -> tuple[Appliance, ...]:
    """Return the appliances that do not use the heater's vent, or of which nobody said so, in the order of the case."""
    return tuple(one for one in listed(case.appliance) if one.vent != "with the heater")


def shared_with(case: Case) -> Appliance | None:
    """Return the largest appliance on the heater's vent; None where none is known."""
    return max(on_the_vent(case), key=input_of, default=None)


def input_of(one: Appliance) -> float:
    """Return the input of an appliance, Btu/h: from its plate, else usual for its kind."""
    return _usual(one.kind).input_btu_h if one.input_btu_h is None else one.input_btu_h


def by_fan(one: Appliance) -> bool:
    """Return whether a fan moves the gas of an appliance: as written down, else as usual for its kind."""
    return (one.draft or _usual(one.kind).draft) in ("fan-assisted", "power-vented")


def burner_of(one: Appliance) -> Burner:
    """Return an appliance as a burner of the space."""
    return Burner(
        "shared" if one.vent == "with the heater" else "other",
        one.kind,
        "fan-assisted" if by_fan(one) else "natural",
        input_of(one),
        one.input_btu_h is not None,
        one.draft is not None,
    )


def draws_on_the_space(one: Appliance) -> bool:
    """Return whether an appliance takes its air from the heater's space: it stands there and is not sealed."""
    return one.place == "with the heater" and one.draft != "sealed"


def burners_in_space(case: Case) -> tuple[Burner, ...]:
    """Return every burner that takes air from the heater's space, the heater first.

    All appliances in the space count, whatever their kind; direct-vent (sealed) ones, which take their air from
    outdoors, are exempt (NFPA 54-2012 9.3.1.1 and 9.3.2.1, ``catalog/codes/rules_combustion_air.csv``), and so is one that
    stands elsewhere. A fireplace that the record lists here with an input burns gas on the room's air and counts like any
    other.
    """
    heater = Burner("heater", "water heater", "natural", case.heater.input_btu_h)
    others = (*on_the_vent(case), *off_the_vent(case))
    found = [burner_of(one) for one in others if draws_on_the_space(one)]
    if not any(one.kind == "dryer" for one in others):
        # a gas dryer that stands among the exhaust alone: it burns the room's air besides what it blows out
        dryers = (one for one in listed(case.exhaust) if one.kind == "dryer" and one.fuel == "gas" and one.in_zone)
        found += [Burner("other", "dryer", "natural", _usual("dryer").input_btu_h, input_given=False) for _ in dryers]
    return (heater, *found)


def space_input(case: Case) -> SpaceInput:
    """Return the input of the burners that take air from the heater's space: the one sum for every room."""
    by_draft = {"natural": 0.0, "fan-assisted": 0.0}
    for burner in burners_in_space(case):
        by_draft[burner.draft] += burner.input_btu_h
    return SpaceInput(by_draft["natural"], by_draft["fan-assisted"])


def list_is_whole(case: Case) -> bool | None:
    """Return True where every other burner of the house is listed; None where that is not known."""
    return None if case.appliance is None or case.appliances_complete is False else True


def others_fire(case: Case, run: Run) -> bool | None:
    """Return whether another appliance on the heater's vent fired in a run of the heater; None where nobody wrote it down."""
    return None if run.firing is None else any(one.name in run.firing for one in on_the_vent(case))


def sharing_unknown(case: Case) -> bool:
    """Return whether it is not known that the heater is alone on its vent, and nothing is known of another appliance."""
    return not on_the_vent(case) and case.vent.shared is not False


def unknown_of_burners(case: Case) -> Iterator[str]:
    """Yield the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the burners of the space."""
    if sharing_unknown(case):
        yield "shared"
    if list_is_whole(case) is None:
        yield "burners"
    burners = burners_in_space(case)
    if not all(burner.input_given for burner in burners):
        yield "other_input"
    if not all(burner.draft_given for burner in burners):
        yield "other_draft"
    if any(one.outlet_diameter_in is None for one in on_the_vent(case)):
        yield "other_outlet"
    if case.vent.connector_diameter_in is None:
        yield "connector_diameter"


def natural_draft_remains(case: Case) -> bool | None:
    """Return whether another natural-draft appliance stays once the heater is gone; None when nobody wrote that down.

    An appliance on the heater's vent counts whatever its draft: the vent it is left on was made for two.
    """
    others = [b for b in burners_in_space(case) if b.role != "heater" and b.kind not in WITHOUT_DRAFT]
    if any(burner.draft == "natural" or burner.role == "shared" for burner in others):
        return True
    return None if list_is_whole(case) is None or sharing_unknown(case) else False


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


def outlet_in(one: Appliance) -> float:
    """Return the outlet of another appliance, in: measured, else usual for its input."""
    return one.outlet_diameter_in or usual_outlet_in(input_of(one))


def own_connector_in(one: Appliance) -> float:
    """Return the diameter of another appliance's connector, in: measured, else as wide as its outlet."""
    return one.connector_diameter_in or outlet_in(one)


def connectors_in(case: Case) -> tuple[float, ...]:
    """Return the diameters of the vent connectors in the space, in: the heater's, and that of what shares its vent.

    `unknown_of_burners` names those that nobody measured: they take their usual size.
    """
    return (connector_in(case), *(own_connector_in(one) for one in on_the_vent(case)))
