"""The code edition in force, and the rules with a day beside the options that they touch, to be said."""

from __future__ import annotations

from advisor.advice import Advice
from advisor.codes.adoption import CodeInForce
from advisor.findings import Finding, Listed, Words, finding, listed, usd
from advisor.ranking.dated import Dated
from advisor.ranking.options import Option


def edition_words(code: CodeInForce) -> Listed:
    """Return what is known of the edition in force, to be said once beside all checks."""
    return listed(code.words, "space")


def dated_of_option(advice: Advice, option: Option) -> list[Words]:
    """Return the rules with a day that touch an option."""
    found: list[Words] = []
    for rule in advice.dated:
        if option.id in rule.option_ids:
            found.append(rule.words)
        if option.id in rule.incentive_ids:
            found.append(finding("dated.incentive", amount=usd(option.incentive_usd)))
    return found


def dated_of_options(advice: Advice, options: list[Option]) -> list[Words]:
    """Return the rules with a day that touch some of the options, each with those that it touches."""
    found: list[Words] = []
    for rule in advice.dated:
        if any(o.id in rule.option_ids for o in options):
            found.append(_touching(rule, options))
        paid = [o.title for o in options if o.id in rule.incentive_ids]
        if paid:
            found.append(finding("dated.incentives", options=listed(paid, "semicolon")))
    return found


def _touching(rule: Dated, options: list[Option]) -> Finding:
    if rule.every_hood:
        return finding("dated.touches_every_hood", words=rule.words)
    return finding(
        "dated.touches", words=rule.words, options=listed(o.title for o in options if o.id in rule.option_ids)
    )
