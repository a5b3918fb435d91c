"""The answer of a published rule applied to plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.findings import Words

Verdict = Literal["pass", "fail", "not applicable", "unknown", "outside the table: engineered design"]


@dataclass(frozen=True, slots=True)
class Check:
    """One rule, applied.

    Parameters
    ----------
    rule : str
        Id of the rule in whole words; its name is a message (``codes.rule.<id>``).
    clause : str
        Clause with its edition, for example ``NFPA 54-2012 9.3.2.1``.
    required, provided : finding
        What the rule asks and what is there, with units; empty when it does not apply.
    verdict : Verdict
        Outcome. ``unknown`` means that a number is missing.
    client : finding
        One sentence a client understands.
    official : finding
        One sentence a code official accepts; what a weak number owes the reader is added when it is said (``wording.checks``).
    status : str
        Status word of the weakest number used (see ``advisor.catalog.STATUSES``).
    source : str
        Source ids, ``;`` separated.
    rests_on : tuple of str
        Rows of ``catalog/codes/check_inputs.csv``: the numbers of the house that this verdict rests on.
    missing : tuple of str
        Those of them that nobody gave: the verdict is then ``unknown``.
    usual : Verdict or None
        What the verdict would be with usual values in their place; a remark, never a verdict.
    run : str
        Label of the run that was held against the rule, where one was.
    """

    rule: str
    clause: str
    required: Words
    provided: Words
    verdict: Verdict
    client: Words
    official: Words
    status: str
    source: str
    rests_on: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    usual: Verdict | None = None
    run: str = ""
