"""The vent that several appliances use as the plain numbers that the common-vent rules take, and which nobody gave.

Unknown numbers take usual values, so that parts can be sized and priced; their ids then stand in ``assumed``.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.case.model import Case
from advisor.case.parts import Appliance
from advisor.codes.check import Check
from advisor.codes.compose import failed
from advisor.codes.vent_common import CommonChoice, check_common_vent, choose_common_vent, choose_connector_in
from advisor.codes.vent_connectors import check_connector
from advisor.codes.vent_types import (
    OWN_NUMBERS,
    CommonAppliance,
    CommonVent,
    ConnectorMaterial,
    SingleVent,
    lone_ids,
)
from advisor.facts import burners
from advisor.remedies import vent_facts

HEATER = "water_heater"
"""What checks call the heater of the case (``check.APPLIANCES_BY_ID``)."""
_BY_KIND = ("furnace", "boiler")
_GAS = ("natural gas", "propane")
_SOLID = ("fireplace", "stove")
_COLD = ("garage", "attic", "crawl space", "outdoors")
_CONNECTOR: dict[str, ConnectorMaterial] = {"single wall": "single wall", "type b": "type B"}


def name_of(case: Case, one: Appliance) -> str:
    """Return what checks call another appliance on the vent: its kind where that is clear, else the name in the case."""
    alike = [other for other in burners.on_the_vent(case) if other.kind == one.kind]
    return one.kind if one.kind in _BY_KIND and len(alike) == 1 else one.name


def not_covered(case: Case) -> tuple[tuple[Appliance, str], ...]:
    """Return the appliances on the vent that the vent tables do not cover, each with an id of why.

    The tables are for gas appliances with a draft hood or fan-assisted (Category I) ones: ``fuel`` oil or solid fuel,
    ``fuel_unasked`` a fireplace or stove of which nobody said that it burns gas, ``pressure`` power-vented.
    """
    found = []
    for one in burners.on_the_vent(case):
        if one.fuel is not None and one.fuel not in _GAS:
            found.append((one, "fuel"))
        elif one.fuel is None and one.kind in _SOLID:
            found.append((one, "fuel_unasked"))
        elif one.draft in ("power-vented", "sealed"):
            found.append((one, "pressure"))
    return tuple(found)


def common_vent(case: Case, material: str | None = None) -> CommonVent:
    """Return the shared vertical vent as plain numbers: as found, or a new one of another material inside the house."""
    single = vent_facts.single_vent(case, material)
    return CommonVent(
        height_ft=single.height_ft,
        vent=single.vent,
        diameter_in=single.vent_diameter_in,
        chimney_area_in2=single.chimney_area_in2,
        altitude_ft=case.house.altitude_ft,
        exposed_outdoors=single.exposed_outdoors,
        design_temperature_f=single.design_temperature_f,
        assumed=single.assumed - OWN_NUMBERS,
    )


def common_appliances(case: Case) -> tuple[CommonAppliance, ...]:
    """Return the heater and every other appliance on its vent as plain numbers, the heater first."""
    single = vent_facts.single_vent(case)
    heater = CommonAppliance(
        name=HEATER,
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=burners.hood_in(case),
        connector_diameter_in=single.connector_in,
        rise_ft=vent_facts.rise_ft(case),
        connector_length_ft=single.lateral_ft,
        connector=single.connector,
        connector_slope_in_per_ft=single.connector_slope_in_per_ft,
        connector_unconditioned=single.connector_unconditioned,
        attic_or_crawl_space=single.attic_or_crawl_space,
        design_temperature_f=single.design_temperature_f,
        assumed=single.assumed & OWN_NUMBERS,
    )
    return heater, *(_other(case, heater, one) for one in burners.on_the_vent(case))


def _other(case: Case, heater: CommonAppliance, one: Appliance) -> CommonAppliance:
    """Return another appliance on the vent; what nobody measured of its connector is taken as at the heater's."""
    cold, attic = _space_of(case, heater, one)
    return CommonAppliance(
        name=name_of(case, one),
        appliance="fan-assisted" if burners.by_fan(one) else "draft hood",
        input_btu_h=burners.input_of(one),
        outlet_diameter_in=burners.outlet_in(one),
        connector_diameter_in=burners.own_connector_in(one),
        rise_ft=heater.rise_ft if one.connector_rise_ft is None else one.connector_rise_ft,
        connector_length_ft=_lateral_ft(one, heater),
        connector=heater.connector if one.connector is None else _CONNECTOR[one.connector],
        connector_slope_in_per_ft=one.connector_slope_in_per_ft,
        connector_unconditioned=cold,
        attic_or_crawl_space=attic,
        design_temperature_f=heater.design_temperature_f,
        water_heater=one.kind == "water heater",
        ids="other_",
        assumed=_assumed_of(one, cold),
    )


def _lateral_ft(one: Appliance, heater: CommonAppliance) -> float | None:
    if one.connector_lateral_ft is not None:
        return one.connector_lateral_ft
    if one.connector_length_ft is not None and one.connector_rise_ft is not None:
        return max(0.0, one.connector_length_ft - one.connector_rise_ft)
    return heater.connector_length_ft


def _space_of(case: Case, heater: CommonAppliance, one: Appliance) -> tuple[bool | None, bool | None]:
    """Return whether another appliance stands in an unconditioned space, and whether that is an attic or a crawl space."""
    if "place" not in one.model_fields_set:
        return None, None
    if one.place == "with the heater":
        return heater.connector_unconditioned, heater.attic_or_crawl_space
    if one.place in _COLD:
        return True, one.place in ("attic", "crawl space")
    return None, None


def _assumed_of(one: Appliance, cold: bool | None) -> frozenset[str]:
    """Return the ids (``catalog/codes/check_inputs.csv``) of what nobody gave of another appliance on the vent."""
    lateral = one.connector_lateral_ft is not None or None not in (one.connector_length_ft, one.connector_rise_ft)
    given = {
        "other_input": one.input_btu_h is not None,
        "other_draft": one.draft is not None,
        "other_outlet": one.outlet_diameter_in is not None,
        "other_connector_diameter": one.connector_diameter_in is not None,
        "other_connector_material": one.connector is not None,
        "other_lateral": lateral,
        "other_rise": one.connector_rise_ft is not None,
        "other_elbows": one.connector_elbows is not None,
        "other_slope": one.connector_slope_in_per_ft is not None,
        "other_cold_space": cold is not None,
    }
    return frozenset(name for name, known in given.items() if not known)


def renewed(item: CommonAppliance, size_in: float | None = None) -> CommonAppliance:
    """Return an appliance with a new connector: Type B, sloping as the code asks, of a size where one is given."""
    slope = catalog.number("rules_venting", "connector_slope_in_per_ft")
    brought = {"connector_material", "slope"} | ({"connector_diameter"} if size_in is not None else set())
    return replace(
        item,
        connector="type B",
        connector_slope_in_per_ft=slope,
        connector_diameter_in=item.connector_diameter_in if size_in is None else size_in,
        assumed=item.assumed - frozenset(name for one in brought for name in item.own(one)),
    )


@dataclass(frozen=True, slots=True)
class CommonJob:
    """A vent that several appliances use, after work on it.

    Parameters
    ----------
    vent : CommonVent
        The common part after the work.
    appliances : tuple of CommonAppliance
        The heater first, each with the connector that it then has.
    renewed : tuple of str
        Names of those whose connector is new.
    choice : CommonChoice or None
        How the size was chosen; None where the vent stays.
    """

    vent: CommonVent
    appliances: tuple[CommonAppliance, ...]
    renewed: tuple[str, ...]
    choice: CommonChoice | None = None

    @property
    def checks(self) -> tuple[Check, ...]:
        """The common-vent rules held against it."""
        return check_common_vent(self.vent, self.appliances)

    @property
    def heater(self) -> CommonAppliance:
        """The water heater."""
        return self.appliances[0]

    @property
    def complies(self) -> bool:
        """Whether a size was found, or the vent stays."""
        return self.choice is None or self.choice.vent is not None


def new_vent(case: Case, material: str) -> CommonJob:
    """Return a new vent or liner for all appliances, inside the house, with the connectors that it takes.

    Parameters
    ----------
    case : Case
        With another appliance on the heater's vent that the tables cover.
    material : str
        ``type B`` or ``corrugated liner``.
    """
    found = common_appliances(case)
    items = [renewed(item) for item in found]
    vent = common_vent(case, material)
    choice = choose_common_vent(vent, items)
    sizes = choice.connectors_in or tuple(item.connector_diameter_in for item in items)
    fitted = tuple(renewed(item, size) for item, size in zip(items, sizes, strict=True))
    new = tuple(after.name for before, after in zip(found, fitted, strict=True) if not _stays(before, after))
    return CommonJob(choice.vent or vent, fitted, new, choice)


def _stays(before: CommonAppliance, after: CommonAppliance) -> bool:
    """Return whether a connector that is there serves as it is: measured, Type B, and of the size chosen."""
    given = not before.assumed.intersection(before.own("connector_diameter", "connector_material"))
    as_wide = before.connector_diameter_in == after.connector_diameter_in
    slope = before.connector_slope_in_per_ft is not None
    return given and as_wide and before.connector == "type B" and (slope or not before.connector_length_ft)


def failing_connectors(case: Case) -> tuple[str, ...]:
    """Return the appliances on the vent whose connector breaks a rule as found: on given numbers, and not from memory."""
    checks = check_common_vent(common_vent(case), common_appliances(case))
    bad = (check for check in checks if check.verdict == "fail" and check.status != "memory")
    return tuple(dict.fromkeys(check.about for check in bad if check.about))


def new_connectors(case: Case, names: Collection[str]) -> CommonJob:
    """Return the vent as found with new connectors for some appliances: the smallest that comply, else of their size."""
    vent = common_vent(case)
    items = []
    for item in common_appliances(case):
        if item.name in names:
            least = choose_connector_in(vent, renewed(item))
            item = renewed(item, least or item.connector_diameter_in)
        items.append(item)
    return CommonJob(vent, tuple(items), tuple(item.name for item in items if item.name in names))


def with_a_fan(case: Case) -> CommonJob:
    """Return the shared vent as found with a fan-assisted heater in place of the old one, and a new connector if it must.

    The outlet of the new heater is not chosen yet: the old hood's size stands for it.
    """
    vent = common_vent(case)
    heater, *others = common_appliances(case)
    fan = replace(heater, appliance="fan-assisted", assumed=heater.assumed | {"hood"})
    if not failed(check_connector(vent, fan)):
        return CommonJob(vent, (fan, *others), ())
    size = choose_connector_in(vent, renewed(fan))
    if size is None:
        return CommonJob(vent, (fan, *others), ())
    return CommonJob(vent, (renewed(fan, size), *others), (HEATER,))


def left_alone(case: Case, one: Appliance) -> SingleVent:
    """Return an appliance that shares the vent as found, alone on it: what stays once the heater has left."""
    single = vent_facts.single_vent(case)
    item = _other(case, common_appliances(case)[0], one)
    return replace(
        single,
        input_btu_h=item.input_btu_h,
        outlet_diameter_in=burners.outlet_in(one),
        height_ft=one.height_ft or single.height_ft,
        lateral_ft=item.connector_length_ft or 0.0,
        connector_diameter_in=item.connector_diameter_in,
        appliance=item.appliance,
        connector=item.connector,
        elbows_90=2 if one.connector_elbows is None else one.connector_elbows,
        elbows_45=0,
        vent_damper=False,
        connector_unconditioned=item.connector_unconditioned,
        attic_or_crawl_space=item.attic_or_crawl_space,
        connector_slope_in_per_ft=item.connector_slope_in_per_ft,
        water_heater=one.kind == "water heater",
        assumed=(single.assumed - OWN_NUMBERS) | lone_ids(item.assumed, item.ids),
    )


def heater_alone(case: Case, job: CommonJob | None = None) -> SingleVent:
    """Return the heater alone on the shared vent, as found or after work on it, as it will be once the others have left."""
    single = vent_facts.single_vent(case)
    if job is None:
        return single
    vent, heater = job.vent, job.heater
    elbows = single.assumed & {"elbows", "elbows_45"}
    if HEATER in job.renewed or job.choice is not None:
        # a new connector has no more elbows than every table includes
        single, elbows = replace(single, elbows_90=2, elbows_45=0), frozenset()
    return replace(
        single,
        appliance=heater.appliance,
        vent=vent.vent,
        vent_diameter_in=vent.diameter_in,
        chimney_area_in2=vent.chimney_area_in2,
        exposed_outdoors=vent.exposed_outdoors,
        connector=heater.connector,
        connector_diameter_in=heater.connector_diameter_in,
        connector_slope_in_per_ft=heater.connector_slope_in_per_ft,
        assumed=vent.assumed | (heater.assumed - {"elbows", "elbows_45"}) | elbows,
    )
