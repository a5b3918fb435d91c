"""The one place where a check that rests on a number nobody gave becomes unknown and names what to measure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from functools import cache

from advisor import catalog
from advisor.codes.check import Check
from advisor.findings import Finding, Listed, finding, listed


def named(names: Iterable[str]) -> Listed:
    """Return what is missing, to be said; ids of ``catalog/codes/check_inputs.csv``."""
    return listed(finding(f"codes.input.{name}") for name in names)


def what_to_do(names: Iterable[str]) -> Listed:
    """Return what to measure, look at or ask, to be said, each thing once."""
    return listed((finding(f"codes.how.{how}") for how in dict.fromkeys(_how(name) for name in names)), "semicolon")


@cache
def _hows() -> dict[str, str]:
    return {row["id"]: row["how"] for row in catalog.table("check_inputs")}


def _how(name: str) -> str:
    return _hows()[name]


def measure_first(names: Sequence[str]) -> tuple[Finding, ...]:
    """Return the part of a quote that says what was assumed; empty when everything was given."""
    if not names:
        return ()
    return (finding("codes.measure_first", missing=named(names), how=what_to_do(names)),)


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
    remark = "_usual_fails" if usual == "fail" else ""
    return replace(
        check,
        verdict="unknown",
        required=finding("codes.not_yet"),
        provided=finding("codes.not_given", missing=named(missing)),
        client=finding(f"codes.nobody_can_say{remark}", how=what_to_do(missing)),
        official=finding(f"codes.not_given_to_do{remark}", missing=named(missing), how=what_to_do(missing)),
        missing=missing,
        usual=usual,
    )


def all_where_given(checks: Iterable[Check], assumed: Collection[str]) -> tuple[Check, ...]:
    """Return every check as ``where_given`` leaves it."""
    return tuple(where_given(check, assumed) for check in checks)
