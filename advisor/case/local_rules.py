"""Local amendments: a TOML file in which a user replaces a published number with a local one and its source.

[[amendment]]
table = "rules_combustion_air"
key = "standard_volume_ft3_per_kbtu_h"
value = 60
source = "town mechanical code, section 12"
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

from advisor import catalog
from advisor.catalog import Amendment
from advisor.errors import InputError, suggest

TABLES = (
    "rules_combustion_air",
    "rules_places",
    "rules_venting",
    "rules_terminals",
    "rules_limits",
    "rules_altitude",
    "safety",
    "test_procedure",
)
KEYS = ("table", "key", "value", "source")
ONLY_LOWER = ("safety", "test_procedure")
"""Tables of the safety gate and of the test itself: a local rule may ask for more than they do, never for less."""
SHARE_UNIT, SHARE_KEYS = "share", ("_share", "_cut")
"""Unit, and ends of keys, of the numbers that lie between 0 and 1."""


def read_amendments(path: Path) -> tuple[Amendment, ...]:
    """Read local amendments.

    Raises
    ------
    InputError
        If the file or an entry cannot be used: every amendment needs its own source, the limits of the safety gate
        and of the test can only be lowered, and no share lies outside 0 to 1.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror or error}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(f"{path}: not valid TOML: {error}") from None
    if set(data) - {"amendment"} or not isinstance(data.get("amendment"), list) or not data["amendment"]:
        raise InputError(f"{path}: must hold [[amendment]] entries with {', '.join(KEYS)} and nothing else")
    return tuple(_one(f"{path}: amendment[{i}]", entry) for i, entry in enumerate(data["amendment"], 1))


def _one(place: str, entry: object) -> Amendment:
    if not isinstance(entry, dict):
        raise InputError(f"{place}: must be a table with {', '.join(KEYS)}")
    for key in entry:
        if key not in KEYS:
            raise InputError(f"{place}.{key}: unknown key{suggest(key, KEYS)}; allowed: {', '.join(KEYS)}")
    for key in KEYS:
        if key not in entry:
            raise InputError(f"{place}.{key}: required but missing")
    table, key, value, source = (entry[k] for k in KEYS)
    if table not in TABLES:
        raise InputError(f"{place}.table = {table!r}: not amendable{suggest(str(table), TABLES)}; {', '.join(TABLES)}")
    rows = [row["key"] for row in catalog.table(table)]
    if key not in rows:
        raise InputError(f"{place}.key = {key!r}: no such rule{suggest(str(key), rows)}; see: advisor catalog {table}")
    row = catalog.parameter(table, key)  # of the edition in force
    _check_value(place, table, row, value)
    if not isinstance(source, str) or not source.strip():
        raise InputError(f"{place}.source = {source!r}: say where the local rule stands")
    return Amendment(table, key, float(value), source.strip(), row.typical, row.unit, row.ref)


def _check_value(place: str, table: str, row: catalog.Parameter, value: object) -> None:
    """Refuse what is no number, a laxer limit of the gate or of the test, and a share above one."""
    key, unit, published = row.key, row.unit, row.typical
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        raise InputError(f"{place}.value = {value!r}: must be a number from 0 on, in {unit}")
    if table in ONLY_LOWER and value > published:
        raise InputError(
            f"{place}.value = {value!r}: {table}.{key} may only be made stricter; allowed: 0 to {published:g} {unit}"
        )
    if (unit == SHARE_UNIT or key.endswith(SHARE_KEYS)) and value > 1:
        raise InputError(f"{place}.value = {value!r}: {table}.{key} is a share; allowed: 0 to 1")
