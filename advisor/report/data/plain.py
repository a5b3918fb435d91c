"""Records as plain data: dictionaries, lists, numbers and text; what is to be said is said."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from advisor.codes.check import Check
from advisor.findings import Finding, Listed, Quantity
from advisor.wording.checks import official_words, rule_words
from advisor.wording.speak import say


def plain(value: Any) -> Any:
    """Return a frozen record with all that it holds as plain data."""
    if isinstance(value, Finding | Quantity | Listed):
        return say(value)
    if isinstance(value, Check):
        said = {"rule": rule_words(value), "official": official_words(value)}
        return {f.name: plain(getattr(value, f.name)) for f in fields(value) if f.name not in ("run", "about")} | said
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value
