"""Plain numbers that describe a vent for the sizing rules, and what a reading of the tables yields."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from advisor.errors import InputError

Appliance = Literal["draft hood", "fan-assisted"]
VentMaterial = Literal["type B", "rigid liner", "corrugated liner", "masonry", "single wall"]
ConnectorMaterial = Literal["type B", "single wall"]

VENT_MATERIALS: tuple[str, ...] = ("type B", "rigid liner", "corrugated liner", "masonry", "single wall")
CONNECTOR_MATERIALS: tuple[str, ...] = ("type B", "single wall")
APPLIANCES: tuple[str, ...] = ("draft hood", "fan-assisted")


def require_positive(name: str, value: float | None, *, zero: bool = False) -> None:
    """Raise ``InputError`` unless ``value`` is None or a finite number above 0 (or at least 0)."""
    if value is None:
        return
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        raise InputError(f"{name} = {value}: must be a finite number {'of at least 0' if zero else 'above 0'}")


def require_word(name: str, value: str, allowed: tuple[str, ...]) -> None:
    """Raise ``InputError`` unless ``value`` is one of the allowed words."""
    if value not in allowed:
        raise InputError(f"{name} = '{value}': must be one of {', '.join(allowed)}")


_OF_OTHERS = {
    "hood": "outlet", "connector_diameter": "connector_diameter", "connector_material": "connector_material",
    "lateral": "lateral", "elbows": "elbows", "elbows_45": "elbows", "slope": "slope", "rise": "rise",
    "cold_space": "cold_space",
}  # fmt: skip
"""What the numbers of a lone appliance are called (``catalog/codes/check_inputs.csv``) where they are another's."""


def own_id(name: str, ids: str) -> str:
    """Return the id of a number for the appliance whose ids start with ``ids``; the vent's own numbers keep theirs."""
    return f"{ids}{_OF_OTHERS[name]}" if ids and name in _OF_OTHERS else name


def lone_ids(assumed: frozenset[str], ids: str) -> frozenset[str]:
    """Return the ids of another appliance's numbers as those of a lone one; what a lone one has not stays."""
    names = {f"{ids}{theirs}": [k for k, v in _OF_OTHERS.items() if v == theirs] for theirs in _OF_OTHERS.values()}
    return frozenset(name for one in assumed for name in names.get(one, [one]))


OWN_NUMBERS = frozenset(_OF_OTHERS)
"""Numbers of a lone appliance and its connector; the others are the vent's and the house's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleVent:
    """One appliance on one vent.

    Parameters
    ----------
    input_btu_h : float
        Sea-level (nameplate) input.
    outlet_diameter_in : float
        Draft-hood outlet or flue collar.
    height_ft : float
        From the outlet to the vent top.
    lateral_ft : float
        Horizontal length of the connector and any lateral.
    vent_diameter_in : float or None
        Vertical vent; None for masonry.
    connector_diameter_in : float or None
        None means: as the vent (not allowed to be None for masonry).
    chimney_area_in2 : float or None
        Inside area of a masonry flue.
    appliance, vent, connector : str
        Kind of appliance and material of vent and connector.
    elbows_90, elbows_45 : int
        All elbows of the system, counted from the outlet to the top.
    vent_damper : bool
        Whether an automatic damper sits on a draft-hood appliance.
    altitude_ft : float
        Above sea level.
    exposed_outdoors : bool or None
        Whether the vent or chimney has a side outdoors below the roof; None: not known.
    design_temperature_f : float or None
        99 % winter design temperature.
    connector_unconditioned, attic_or_crawl_space : bool or None
        Whether the connector runs through unconditioned space, and whether that is an attic or a crawl space.
    connector_slope_in_per_ft : float or None
        Rise of the horizontal run.
    dwelling : bool
        Whether the building is a dwelling.
    water_heater : bool
        Whether the appliance is a water heater; a furnace or a boiler has another rule on a cold chimney.
    assumed : frozenset of str
        Numbers above that nobody gave, so that a usual value stands (ids of ``catalog/codes/check_inputs.csv``).
    """

    input_btu_h: float
    outlet_diameter_in: float
    height_ft: float
    lateral_ft: float
    vent_diameter_in: float | None = None
    connector_diameter_in: float | None = None
    chimney_area_in2: float | None = None
    appliance: Appliance = "draft hood"
    vent: VentMaterial = "type B"
    connector: ConnectorMaterial = "type B"
    elbows_90: int = 2
    elbows_45: int = 0
    vent_damper: bool = False
    altitude_ft: float = 0.0
    exposed_outdoors: bool | None = None
    design_temperature_f: float | None = None
    connector_unconditioned: bool | None = None
    attic_or_crawl_space: bool | None = None
    connector_slope_in_per_ft: float | None = None
    dwelling: bool = True
    water_heater: bool = True
    assumed: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Reject words and numbers that no rule can use."""
        require_word("vent", self.vent, VENT_MATERIALS)
        require_word("connector", self.connector, CONNECTOR_MATERIALS)
        require_word("appliance", self.appliance, APPLIANCES)
        require_positive("input_btu_h", self.input_btu_h)
        require_positive("outlet_diameter_in", self.outlet_diameter_in)
        require_positive("height_ft", self.height_ft)
        require_positive("lateral_ft", self.lateral_ft, zero=True)
        require_positive("vent_diameter_in", self.vent_diameter_in)
        require_positive("connector_diameter_in", self.connector_diameter_in)
        require_positive("chimney_area_in2", self.chimney_area_in2)
        require_positive("elbows_90", self.elbows_90, zero=True)
        require_positive("elbows_45", self.elbows_45, zero=True)
        if self.vent == "masonry" and self.connector_diameter_in is None:
            raise InputError("connector_diameter_in: needed for a masonry chimney (the tables are entered with it)")
        if self.vent != "masonry" and self.vent_diameter_in is None:
            raise InputError(f"vent_diameter_in: needed for a {self.vent} vent")

    @property
    def connector_in(self) -> float:
        """Connector diameter in inches."""
        found = self.connector_diameter_in or self.vent_diameter_in
        assert found is not None
        return found

    @property
    def table_size_in(self) -> float:
        """Diameter with which the maximum is read: the smaller of connector and vent (13.1.9)."""
        return min(self.connector_in, self.vent_diameter_in or self.connector_in)


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonAppliance:
    """One of several appliances on a common vent.

    Parameters
    ----------
    name : str
        What the checks are about: an id of ``check.APPLIANCES_BY_ID``, or a name that somebody typed.
    input_btu_h, outlet_diameter_in : float
        Sea-level input; hood outlet or collar (None when not known).
    connector_diameter_in, rise_ft : float
        Connector; rise from the outlet to the centre of the merge.
    connector_length_ft : float or None
        Horizontal length.
    connector_slope_in_per_ft : float or None
        Rise of the horizontal run.
    connector_unconditioned, attic_or_crawl_space : bool or None
        Whether the connector runs through unconditioned space, and whether that is an attic or a crawl space.
    design_temperature_f : float or None
        99 % winter design temperature.
    water_heater : bool
        Whether it is another water heater.
    ids : str
        What the ids of its numbers in ``catalog/codes/check_inputs.csv`` start with: nothing for the water heater.
    assumed : frozenset of str
        Numbers that nobody gave, so that a usual value stands.
    """

    name: str
    input_btu_h: float
    connector_diameter_in: float
    rise_ft: float
    outlet_diameter_in: float | None = None
    appliance: Appliance = "draft hood"
    connector: ConnectorMaterial = "type B"
    connector_length_ft: float | None = None
    connector_slope_in_per_ft: float | None = None
    connector_unconditioned: bool | None = None
    attic_or_crawl_space: bool | None = None
    design_temperature_f: float | None = None
    water_heater: bool = False
    ids: Literal["", "other_"] = ""
    assumed: frozenset[str] = frozenset()

    def own(self, *names: str) -> tuple[str, ...]:
        """Return the ids of its numbers for those of a lone appliance."""
        return tuple(own_id(name, self.ids) for name in names)

    @property
    def heats_space(self) -> bool:
        """Whether it heats the house: a chimney with an outside wall is kept warm by it."""
        return self.name != "water_heater" and not self.water_heater

    def __post_init__(self) -> None:
        """Reject words and numbers that no rule can use."""
        require_word("appliance", self.appliance, APPLIANCES)
        require_word("connector", self.connector, CONNECTOR_MATERIALS)
        require_positive("input_btu_h", self.input_btu_h)
        require_positive("connector_diameter_in", self.connector_diameter_in)
        require_positive("outlet_diameter_in", self.outlet_diameter_in)
        require_positive("rise_ft", self.rise_ft, zero=True)
        require_positive("connector_length_ft", self.connector_length_ft, zero=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonVent:
    """The common part of a vent that serves several appliances.

    Parameters
    ----------
    height_ft : float
        From the highest outlet to the vent top.
    diameter_in : float or None
        None for masonry, which takes ``chimney_area_in2``.
    elbows_90, elbows_45 : int
        Elbows of the common part; none is included in the table.
    offset_length_ft : float
        Horizontal length of an offset or manifold of the common part.
    manifold, multistory_offset : bool
        Whether that length is a manifold; whether it is the one offset of a multistory vent.
    exposed_outdoors : bool or None
        Whether a chimney has a side outdoors below the roof; None: not known.
    design_temperature_f : float or None
        99 % winter design temperature.
    dwelling : bool
        Whether the building is a dwelling.
    assumed : frozenset of str
        Numbers that nobody gave, so that a usual value stands.
    """

    height_ft: float
    diameter_in: float | None = None
    chimney_area_in2: float | None = None
    vent: VentMaterial = "type B"
    elbows_90: int = 0
    elbows_45: int = 0
    offset_length_ft: float = 0.0
    manifold: bool = False
    multistory_offset: bool = False
    altitude_ft: float = 0.0
    exposed_outdoors: bool | None = None
    design_temperature_f: float | None = None
    dwelling: bool = True
    assumed: frozenset[str] = frozenset()

    @property
    def exterior_masonry(self) -> bool | None:
        """Whether it is a masonry chimney with a side outdoors, for which tables of their own hold; None: not known."""
        return self.exposed_outdoors if self.vent == "masonry" else False

    def __post_init__(self) -> None:
        """Reject words and numbers that no rule can use."""
        require_word("vent", self.vent, VENT_MATERIALS)
        require_positive("height_ft", self.height_ft)
        require_positive("diameter_in", self.diameter_in)
        require_positive("chimney_area_in2", self.chimney_area_in2)
        require_positive("elbows_90", self.elbows_90, zero=True)
        require_positive("elbows_45", self.elbows_45, zero=True)
        require_positive("offset_length_ft", self.offset_length_ft, zero=True)
        if (self.chimney_area_in2 if self.vent == "masonry" else self.diameter_in) is None:
            wanted = "chimney_area_in2" if self.vent == "masonry" else "diameter_in"
            raise InputError(f"{wanted}: needed for a {self.vent} common vent")
