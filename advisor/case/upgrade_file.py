"""An older case file rewritten line by line under today's names: a person's comments, order and spelling stay."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

import tomlkit

from advisor.case.upgrade import is_old, upgraded
from advisor.case.write import Remarks, document

__all__ = ["upgraded_text"]

_HEAD = re.compile(r"^\s*(\[\[?)\s*([A-Za-z_.\"']+)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"^(\s*)([A-Za-z_]+)(\s*=\s*)(.*)$")


def upgraded_text(text: str) -> str:
    """Return the text of a case file under today's names; the same text where it is not old.

    Parameters
    ----------
    text : str
        A valid case file of any form.

    Returns
    -------
    str
        Reads as the same case. Where the lines cannot be kept (inline tables), the case is written anew.
    """
    data = tomllib.loads(text)
    if not is_old(data):
        return text
    wanted = upgraded(data)
    found = "\n".join(_lines(text, data, wanted)) + "\n"
    try:
        same = _sorted(tomllib.loads(found)) == _sorted(wanted)
    except tomllib.TOMLDecodeError:
        same = False
    return found if same else document(wanted, Remarks())


def _sorted(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return data with the appliances by name: in a file their order says nothing."""
    found = dict(data)
    if isinstance(found.get("appliance"), list):
        found["appliance"] = sorted(found["appliance"], key=lambda one: str(one["name"]))
    return found


def _lines(text: str, data: Mapping[str, Any], wanted: Mapping[str, Any]) -> Iterator[str]:
    left = [one for one in wanted.get("appliance", ()) if one["vent"] == "own"]
    shared = [one for one in wanted.get("appliance", ()) if one["vent"] != "own"]
    table, said = "", "appliances_complete" not in wanted
    firing = iter([run["firing"] for run in wanted.get("run", ()) if "firing" in run])
    for line in text.rstrip("\n").split("\n"):
        head = _HEAD.match(line)
        if head is None:
            yield from _body(line, table, bool(shared or wanted.get("appliance")), firing)
            continue
        if not said:
            yield from (f"appliances_complete = {_toml(wanted['appliances_complete'])}", "")
            said = True
        table = head.group(2)
        if table not in ("shared_appliance", "other_appliance"):
            yield line
            continue
        one = shared.pop() if table == "shared_appliance" else left.pop(0)
        yield "[[appliance]]" + (f"  {head.group(3)}" if head.group(3) else "")
        old = data["shared_appliance"] if table == "shared_appliance" else None
        given = old if old is not None else _next_of(data["other_appliance"], one, wanted)
        yield from (f"{key} = {_toml(one[key])}" for key in ("name", "kind", "vent") if one[key] != given.get(key))


def _next_of(others: list[dict[str, Any]], one: Mapping[str, Any], wanted: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return what the file holds of an appliance with its own vent: they stand in the same order in both."""
    own = [a for a in wanted["appliance"] if a["vent"] == "own"]
    return others[own.index(one)]


def _body(line: str, table: str, listed: bool, firing: Iterator[list[str]]) -> Iterator[str]:
    """Yield a line within a table; a name that somebody gave twice is left to the check of the whole."""
    key = _KEY.match(line)
    if key is None or (table, key.group(2)) not in (("run", "shared_appliance"), ("", "other_appliance")):
        yield line
        return
    comment = re.search(r"\s+#.*$", key.group(4))
    behind = comment.group(0) if comment else ""
    if table == "run":
        yield f"{key.group(1)}firing{key.group(3)}{_toml(next(firing, []))}{behind}"
    elif not listed:
        yield f"{key.group(1)}appliance{key.group(3)}[]{behind}"
    elif behind:
        yield behind.strip()


def _toml(value: Any) -> str:
    return str(tomlkit.item(value).as_string())
