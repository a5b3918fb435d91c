"""The answer of a published rule applied to plain numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from advisor.findings import Finding, Words, finding

Verdict = Literal["pass", "fail", "not applicable", "unknown", "outside the table: engineered design"]

NAMED = ("connector_of", "connector_of_not_smaller_than_hood")
"""Rules whose message names the appliance itself; any other rule is said with the appliance behind it."""
APPLIANCES_BY_ID = ("water_heater", "furnace", "boiler", "the_rest")
"""Appliances that have a message of their own (``codes.about.<id>``); any other name is said as it was typed."""


def appliance_name(name: str) -> Finding | str:
    """Return what an appliance is called, to be said."""
    return finding(f"codes.about.{name}") if name in APPLIANCES_BY_ID else name


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
    about : str
        Appliance that the rule was held against where it holds for each of several: an id with a message
        ``codes.about.<id>``, or a name that somebody typed.
    read_in : tuple of Finding or str
        Texts that its table cells were read from (``catalog/codes/code_texts.csv``, or the edition in force): the clause
        names the table, they name the editions.
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
    about: str = ""
    read_in: tuple[Finding | str, ...] = ()

    @property
    def name(self) -> Finding:
        """The name of the rule, to be said."""
        if not self.about:
            return finding(f"codes.rule.{self.rule}")
        about = appliance_name(self.about)
        if self.rule in NAMED:
            return finding(f"codes.rule.{self.rule}", about=about)
        return finding("codes.rule_about", rule=finding(f"codes.rule.{self.rule}"), about=about)


def of_appliance(check: Check, about: str, rests_on: tuple[str, ...]) -> Check:
    """Return a rule for a lone appliance as held against one of several: named, and resting on that one's own numbers."""
    client = finding("codes.client_about", about=appliance_name(about), words=check.client)
    return replace(check, about=about, client=client, rests_on=rests_on)
