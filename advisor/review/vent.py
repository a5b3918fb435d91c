"""The vent as found, or another one, held against the tables: alone, orphaned or shared."""

from __future__ import annotations

from advisor.case.model import Case
from advisor.case.parts import Appliance
from advisor.codes.check import Check
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_situations import check_orphaned_heater
from advisor.codes.vent_sizing import check_single_vent
from advisor.codes.vent_types import CommonAppliance, CommonVent, SingleVent
from advisor.facts import burners
from advisor.remedies import vent_facts


def vent_checks(case: Case, vent: SingleVent | None = None) -> tuple[Check, ...]:
    """Vent sizing as found, or of a vent given instead: alone, orphaned, or shared."""
    if burners.on_the_vent(case) and vent is None:
        return check_common_vent(common_vent(case), common_appliances(case))
    single = vent or vent_facts.single_vent(case)
    if vent is None:
        return check_orphaned_heater(single, shared_before=case.vent.was_shared)
    return check_single_vent(single)


def common_vent(case: Case) -> CommonVent:
    """Return the shared vertical vent as plain numbers."""
    single = vent_facts.single_vent(case)
    return CommonVent(
        height_ft=single.height_ft,
        vent=single.vent,
        diameter_in=single.vent_diameter_in,
        chimney_area_in2=single.chimney_area_in2,
        altitude_ft=case.house.altitude_ft,
        assumed=single.assumed,
    )


def common_appliances(case: Case) -> tuple[CommonAppliance, CommonAppliance]:
    """Return heater and the appliance that shares its vent as plain numbers."""
    shared = burners.shared_with(case)
    assert shared is not None
    single = vent_facts.single_vent(case)
    heater = CommonAppliance(
        name="water_heater",
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=burners.hood_in(case),
        connector_diameter_in=single.connector_diameter_in or burners.hood_in(case),
        rise_ft=vent_facts.rise_ft(case),
        connector_length_ft=_length_ft(case),
        connector=single.connector,
    )
    other = CommonAppliance(
        name=shared.kind,
        appliance="fan-assisted" if burners.by_fan(shared) else "draft hood",
        input_btu_h=burners.input_of(shared),
        outlet_diameter_in=burners.outlet_in(shared),
        connector_diameter_in=burners.outlet_in(shared),
        rise_ft=heater.rise_ft if shared.connector_rise_ft is None else shared.connector_rise_ft,
        connector_length_ft=heater.connector_length_ft,
        connector=single.connector,
        ids="other_",
        assumed=_assumed_of_other(shared),
    )
    return heater, other


def _length_ft(case: Case) -> float:
    length = case.vent.connector_length_ft
    return vent_facts.rise_ft(case) + vent_facts.lateral_ft(case) if length is None else length


def _assumed_of_other(shared: Appliance) -> frozenset[str]:
    """Return what nobody gave of the other appliance on the vent; the case file has no key for its connector."""
    given = {
        "other_input": shared.input_btu_h is not None,
        "other_draft": shared.draft is not None,
        "other_outlet": shared.outlet_diameter_in is not None,
        "other_rise": shared.connector_rise_ft is not None,
    }
    unasked = ("other_connector_diameter", "other_connector_material", "other_connector_length")
    return frozenset((*unasked, *(name for name, known in given.items() if not known)))
