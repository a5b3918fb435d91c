"""Which appliance a run judged: the heater's own record, and that of every other appliance."""

from __future__ import annotations

from advisor.case.model import Case, Run

__all__ = ["of_heater", "runs_of"]


def runs_of(case: Case, name: str | None) -> list[Run]:
    """Return the runs that judged an appliance, in the order of the record; the heater's where ``name`` is None."""
    return [run for run in case.run if run.appliance == name]


def of_heater(case: Case) -> Case:
    """Return the case with the heater's own runs alone: what its verdict, its causes and its options rest on."""
    own = runs_of(case, None)
    return case if len(own) == len(case.run) else case.model_copy(update={"run": own})
