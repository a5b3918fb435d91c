"""Checks in words: the name of the rule, and the official sentence with what a weak number owes the reader."""

from __future__ import annotations

from advisor.codes.check import Check
from advisor.findings import Words, finding, listed
from advisor.wording.messages import has
from advisor.wording.speak import say

OWING = ("memory", "second-hand", "common practice")
"""Statuses that the reader of a check must be told of."""
NO_RULE_APPLIED = ("codes.not_given_to_do", "codes.not_given_to_do_usual_fails")
"""Official findings that rest on no published number yet: nothing is owed."""


def official(check: Check) -> Words:
    """Return the finding that a code official accepts; it says how far the weakest number behind it can be trusted."""
    if getattr(check.official, "id", "") in NO_RULE_APPLIED or check.status not in OWING:
        return check.official
    return finding("codes.with_owed", official=check.official, owed=finding(f"codes.owed.{check.status}"))


def official_words(check: Check) -> str:
    """Return the sentence that a code official accepts."""
    return say(official(check))


def rule_words(check: Check) -> str:
    """Return the name of the rule, with the appliance it is about and the run that was held against it."""
    name = say(check.name) if has(check.name.id) else check.rule
    return say(finding("codes.rule_of_run", rule=name, run=check.run)) if check.run else name


def clause(check: Check) -> Words:
    """Return the clause with its edition; of a vent table, the editions that its cells were read from."""
    if not check.read_in:
        return check.clause
    return finding("codes.clause_read_in", clause=check.clause, texts=listed(check.read_in))
