"""What an option says of the vent beside the heater: what stays on it without the heater, or what will leave it."""

from __future__ import annotations

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.check import Check
from advisor.ensemble.left_alone import modelled, other_alone
from advisor.ensemble.respond import respond, vent_runs_wet
from advisor.ensemble.state import State
from advisor.ensemble.weighted import representative
from advisor.evidence.retest import retest_of_left
from advisor.facts import burners
from advisor.findings import Finding, finding, share
from advisor.ranking.gates import limits
from advisor.ranking.setting import STRESS_LOOK, Setting
from advisor.remedies.base import Remedy
from advisor.remedies.left_on_vent import left_answer, names_left
from advisor.remedies.replacement import STAYS
from advisor.remedies.venting import resized_for_left


def leaves_the_vent(remedy: Remedy) -> bool:
    """Return whether the heater no longer uses its old vent after the work."""
    return not remedy.keeps_heater and remedy.id not in STAYS


def leaves_others(case: Case, remedy: Remedy) -> bool:
    """Return whether the heater leaves a vent on which another appliance stays."""
    return leaves_the_vent(remedy) and bool(burners.on_the_vent(case))


def later_notes(case: Case, checks: tuple[Check, ...]) -> tuple[Finding, ...]:
    """Return what to know where the other appliances on the kept vent will be replaced soon."""
    soon = [check for check in checks if check.rule == "heater_alone_once_the_other_leaves"]
    return tuple(finding(f"ranking.later.{_told(check)}", appliances=names_left(case)) for check in soon)


def _told(check: Check) -> str:
    """Return what is said of a verdict: what only memory fails is not known."""
    if check.verdict == "fail" and check.status == "memory":
        return "unknown"
    return check.verdict if check.verdict in ("pass", "fail") else "unknown"


def left_notes(setting: Setting, remedy: Remedy, state: State) -> tuple[Finding, ...]:
    """Return what to know of what stays on the vent: how it is modelled to start and to run, and how it is retested.

    Parameters
    ----------
    setting : Setting
        Case, situations and worst case.
    remedy : Remedy
        One after which the heater is off the vent.
    state : State
        The situations after its work.
    """
    case = setting.job.case
    if not leaves_others(case, remedy):
        return ()
    names, one = names_left(case), modelled(case)
    retest = retest_of_left(case, names)
    if one is None:
        return (finding("ranking.left.not_modelled", appliances=names), retest)
    answer = left_answer(case)
    resized = answer == "fail"
    after = resized_for_left(state, setting.job) if resized else state
    # a thinned look is good to two points, and nothing is decided by it
    count = min(STRESS_LOOK, state.samples)
    part = other_alone(case, after.take(representative(setting.posterior.weight, count)), one)
    spills = float(np.mean(respond(part, setting.worst).spills_beyond(setting.allowed_s)))
    wet = float(np.mean(vent_runs_wet(part, setting.worst)))
    how = "resized" if resized else "as_found"
    found = finding(f"ranking.left.modelled_{how}", appliances=names, spills=share(spills), wet=share(wet))
    poor = spills > limits()[0] or wet > catalog.number("safety", "wet_named_from")
    # the tables alone charge a vent; what is modelled only asks
    ask = (finding(f"ranking.left.ask_{answer}"),) if poor and not resized else ()
    return (found, *ask, retest)
