"""What comes after the ranking: the next test that pays, what a retest should read, and what a retest has shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from advisor import catalog
from advisor.ensemble.state import State
from advisor.evidence.decision import Choice
from advisor.evidence.next_test import NextTest, next_tests
from advisor.evidence.retest import Expected, Retest, expected_at_retest, retests
from advisor.ranking.options import Figures
from advisor.ranking.setting import Setting
from advisor.remedies import all_remedies

Alter = Callable[[State], State]


def alter_of(setting: Setting, option_id: str) -> Alter | None:
    """Return what an option does to the situations; None for an id that is no remedy and no bundle of remedies."""
    remedies = {r.id: r for r in all_remedies()}
    members = option_id.split("+")
    if any(m not in remedies for m in members):
        return None

    def alter(state: State) -> State:
        for member in members:
            state = remedies[member].alter(state, setting.job)
        return state

    return alter


def choices(setting: Setting, options: Sequence[Figures]) -> list[Choice]:
    """Return the options as the next test's decision sees them: those possible here, by typical installed cost."""
    return [
        Choice(o.id, o.title, o.installed_cost_usd.typical, None if o.appliance == "none" else alter_of(setting, o.id))
        for o in options
        if o.eligible and o.id != "like_for_like"
    ]


def tests_that_pay(setting: Setting, options: Sequence[Figures]) -> tuple[NextTest, ...]:
    """Return the next tests, best first."""
    return next_tests(
        setting.job.case,
        setting.posterior,
        setting.question,
        choices(setting, options),
        setting.explained,
        record=setting.verdict,
    )


def retests_of(setting: Setting) -> tuple[Retest, ...]:
    """Judge the runs that were made after work."""
    done = {run.after_work for run in setting.job.case.run if run.after_work is not None}
    alters = {i: alter for i in done if (alter := alter_of(setting, i)) is not None}
    if not done:
        return ()
    found = retests(setting.job.case, setting.posterior, alters, setting.question)
    if not setting.verdict.vent_failed_by:
        return found
    # the vent is one: a retest of the heater confirms nothing while another appliance on it stands failed
    return tuple(replace(one, verdict="heater alone") if one.verdict == "confirmed" else one for one in found)


def expected_of(setting: Setting, ranked: Sequence[Figures]) -> list[Expected | None]:
    """Return what a retest should read after each of the first options that keep a draft hood; None for all others."""
    hooded = [option.id for option in ranked if option.appliance == "natural draft"]
    asked = hooded[: int(catalog.number("further_stress", "retest_bands_for"))]
    alters = [alter_of(setting, option.id) if option.id in asked else None for option in ranked]
    return [
        None if alter is None else expected_at_retest(setting.job.case, setting.posterior, alter, setting.question)
        for alter in alters
    ]
