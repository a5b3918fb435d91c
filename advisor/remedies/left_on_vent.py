"""What stays on a shared vent once an appliance leaves it: held against the tables, and the vent sized anew for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from advisor.case.model import Case
from advisor.codes.check import Check, appliance_name
from advisor.codes.unknown import measure_first
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_situations import check_kinds, check_left_alone, of_size, size_answer
from advisor.codes.vent_sizing import VentChoice, check_single_vent, choose_single_vent
from advisor.codes.vent_types import own_id
from advisor.facts import burners
from advisor.findings import Finding, Listed, finding, listed
from advisor.remedies import shared_vent, vent_facts

Answer = Literal["fail", "unknown", "pass"]
"""What the tables ask of a vent: another size, nobody can say, or nothing."""
THE_REST = "the_rest"
"""What checks call several appliances that stay (``check.APPLIANCES_BY_ID``)."""


def left_checks(case: Case) -> tuple[Check, ...]:
    """Return the rules held against what stays on the vent once the heater leaves it; empty where nothing does.

    Each check names the appliance it is about, so that none of them bars an option for the heater.
    """
    rest = burners.on_the_vent(case)
    if not rest:
        return ()
    if shared_vent.not_covered(case):
        return (kinds_check(case),)
    if len(rest) == 1:
        return check_left_alone(shared_vent.left_alone(case, rest[0]), shared_vent.name_of(case, rest[0]))
    items = shared_vent.common_appliances(case)[1:]
    checks = check_common_vent(shared_vent.common_vent(case), items)
    return tuple(replace(check, about=check.about or THE_REST) for check in checks)


def kinds_check(case: Case) -> Check:
    """Return the check of a vent shared with an appliance that the vent tables do not cover."""
    found = shared_vent.not_covered(case)
    return check_kinds([(shared_vent.name_of(case, one), why) for one, why in found])


def left_answer(case: Case) -> Answer | None:
    """Return whether the tables ask for another vent for what stays once the heater leaves; None where nothing stays."""
    checks = left_checks(case)
    if not checks:
        return None
    return "unknown" if shared_vent.not_covered(case) else size_answer(checks)


def heater_answer(case: Case) -> Answer:
    """Return whether the tables ask for another vent for the heater alone on the vent as found."""
    return size_answer(check_single_vent(vent_facts.single_vent(case)))


def names_left(case: Case) -> Listed:
    """Return the appliances that stay on the vent once the heater leaves, to be said."""
    return listed((appliance_name(shared_vent.name_of(case, one)) for one in burners.on_the_vent(case)), "and")


def new_size(case: Case) -> VentChoice | None:
    """Return the liner (in a chimney) or Type B vent for one appliance that stays alone; None where several stay."""
    rest = burners.on_the_vent(case)
    if len(rest) != 1:
        return None
    alone = shared_vent.left_alone(case, rest[0])
    material: Literal["type B", "corrugated liner"] = (
        "corrugated liner" if alone.vent in ("masonry", "rigid liner") else "type B"
    )
    # its diameter is chosen below; with a new vent comes a new connector
    new = replace(
        alone,
        vent=material,
        connector="type B",
        vent_diameter_in=alone.connector_in,
        chimney_area_in2=None,
        exposed_outdoors=False,
        elbows_90=2,
        assumed=alone.assumed - vent_facts.BY_DESIGN,
    )
    return choose_single_vent(new)


_SIZED_FROM = ("hood", "height", "lateral", "other_input", "other_draft")
"""What the new size for an appliance that stays rests on."""


def _measure_first(case: Case) -> tuple[Finding, ...]:
    rest = burners.on_the_vent(case)
    assumed = shared_vent.left_alone(case, rest[0]).assumed
    return measure_first([own_id(name, "other_") for name in _SIZED_FROM if name in assumed])


def scope_words(case: Case) -> tuple[Finding, ...]:
    """Return what the scope of work says about what stays on the vent; empty where nothing does."""
    answer = left_answer(case)
    if answer is None:
        return ()
    choice = new_size(case) if answer == "fail" else None
    if choice is not None:
        resized = finding("remedies.left.resized", appliances=names_left(case), size=choice.words)
        return (resized, *_measure_first(case))
    return (finding(f"remedies.left.{_told(case, answer)}", appliances=names_left(case)),)


def _told(case: Case, answer: Answer) -> str:
    """Return what is said of an answer: a vent that only meets the tables by numbers from memory has to be confirmed."""
    remembered = any(check.status == "memory" for check in of_size(left_checks(case)))
    return "pass_from_memory" if answer == "pass" and remembered else answer
