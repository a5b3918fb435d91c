"""The vent as found, or as an option leaves it, held against the tables: alone, orphaned or shared, now and later."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.model import Case
from advisor.codes.check import Check
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_situations import check_heater_alone_later, check_orphaned_heater
from advisor.codes.vent_sizing import check_single_vent
from advisor.facts import burners
from advisor.remedies import left_on_vent, shared_vent, vent_facts
from advisor.remedies.shared_vent import CommonJob


def vent_checks(case: Case) -> tuple[Check, ...]:
    """Vent sizing as found: alone, orphaned, or shared."""
    if not burners.on_the_vent(case):
        return check_orphaned_heater(vent_facts.single_vent(case), shared_before=case.vent.was_shared)
    if shared_vent.not_covered(case):
        return (left_on_vent.kinds_check(case),)
    checks = check_common_vent(shared_vent.common_vent(case), shared_vent.common_appliances(case))
    return (*checks, *later_checks(case))


def job_checks(case: Case, job: CommonJob) -> tuple[Check, ...]:
    """Vent sizing of a shared vent after work on it, now and once the other appliance has left."""
    return (*job.checks, *later_checks(case, job))


def later_checks(case: Case, job: CommonJob | None = None) -> tuple[Check, ...]:
    """Return what the heater will find on its vent once every other appliance is replaced; empty where none will be."""
    others = burners.on_the_vent(case)
    if not others or not all(one.replaced_soon for one in others):
        return ()
    return (check_heater_alone_later(shared_vent.heater_alone(case, job)),)


def with_a_fan(case: Case) -> tuple[Check, ...]:
    """Vent sizing as found with a fan-assisted heater in place of the old one; its outlet is not chosen yet."""
    if not burners.on_the_vent(case):
        vent = vent_facts.single_vent(case)
        # the new heater's outlet is not chosen yet: the old hood's size stands for it
        return check_single_vent(replace(vent, appliance="fan-assisted", assumed=vent.assumed | {"hood"}))
    if shared_vent.not_covered(case):
        return (left_on_vent.kinds_check(case),)
    return job_checks(case, shared_vent.with_a_fan(case))
