"""The one place where a check that rests on a number nobody gave becomes unknown and names what to measure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from functools import cache

from advisor import catalog
from advisor.codes.check import Check

NOT_YET = "known only with what is missing"
USUAL_FAILS = "with usual values in their place the rule would not be met"


@cache
def _rows() -> dict[str, catalog.Row]:
    return {row["id"]: row for row in catalog.table("check_inputs")}


def words_of(names: Iterable[str]) -> str:
    """Return what is missing, in words; ids of ``catalog/codes/check_inputs.csv``."""
    return ", ".join(_rows()[name]["words"] for name in names)


def what_to_do(names: Iterable[str]) -> str:
    """Return what to measure, look at or ask, in words, each thing once."""
    return "; ".join(dict.fromkeys(_rows()[name]["how"] for name in names))


def measure_first(names: Sequence[str]) -> tuple[str, ...]:
    """Return the part of a quote that says what was assumed; empty when everything was given."""
    if not names:
        return ()
    return (f"assumed {words_of(names)}: measure first ({what_to_do(names)})",)


def where_given(check: Check, assumed: Collection[str]) -> Check:
    """Return a check as it stands when it rests on given numbers alone, else as unknown.

    Parameters
    ----------
    check : Check
        Worked out with usual values where nothing was given.
    assumed : collection of str
        Ids of ``catalog/codes/check_inputs.csv`` for which a usual value stands.

    Returns
    -------
    Check
        Unknown, with ``missing``, what the usual values would give, and sentences that name what to measure; a verdict
        that rests on none of the assumed numbers stays.
    """
    missing = tuple(name for name in dict.fromkeys(check.rests_on) if name in assumed)
    if not missing or check.verdict == "not applicable":
        return check
    usual = check.verdict if check.usual is None else check.usual
    remark = f"; {USUAL_FAILS}" if usual == "fail" else ""
    return replace(
        check,
        verdict="unknown",
        required=NOT_YET,
        provided=f"not given: {words_of(missing)}",
        client=f"Nobody can say yet whether this rule is met: {what_to_do(missing)}{remark}.",
        official=f"Not given: {words_of(missing)}; to do: {what_to_do(missing)}{remark}.",
        missing=missing,
        usual=usual,
    )


def all_where_given(checks: Iterable[Check], assumed: Collection[str]) -> tuple[Check, ...]:
    """Return every check as ``where_given`` leaves it."""
    return tuple(where_given(check, assumed) for check in checks)
