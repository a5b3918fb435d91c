"""Reference pages made from the code itself: keys of the case file, commands, catalog tables, coverage, list of pages."""

from __future__ import annotations

import ast
import inspect
import tomllib
import types
import typing
from collections import Counter
from collections.abc import Iterator
from enum import Enum
from pathlib import Path
from typing import Any

import reach

from advisor import catalog, cli
from advisor.case import fields
from advisor.case.quantities import unit_words
from advisor.wording.speak import text

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"

INTRO = {
    "": "Top of the file, before the first `[table]`.",
    "house": "The building.",
    "zone": "The combustion zone: where the heater stands.",
    "heater": "The natural-draft water heater. `input_btu_h` is the one number that must be given.",
    "vent": "Connector and vertical vent.",
    "terminal": "The vent's top and what is near it.",
    "opening": "An opening or duct from the zone to outdoors, one table each.",
    "appliance": "Everything that burns fuel in the house but the heater, one table each: furnace, boiler, fireplace, stove, "
    'range, gas dryer, a second water heater. What uses the heater\'s vent says `vent = "with the heater"`; where nothing does, '
    "write `shared = false` in `[vent]`: without both it is not known.",
    "exhaust": "A device that takes air out of the house, one table each.",
    "supply": "Supply or balanced ventilation, one table each.",
    "air_handler": "Blower of a furnace or air conditioner, and its leaks.",
    "occupants": "People and alarms.",
    "services": "What a new appliance could use.",
    "money": "Prices typed from a bill, incentives, and a contractor's settings.",
    "settings": "Which published scheme judges where schemes differ.",
    "run": "One test run, one table each. At least one is needed, and it must say what was `seen`. What is left out was not "
    "written down: see [what a pass needs](#what-a-pass-needs).",
}


def row(*cells: object) -> str:
    """Return a table row with bars inside a cell made safe."""
    return "| " + " | ".join(str(c).replace("|", "\\|").replace("\n", " ") for c in cells) + " |"


# ---- case file


def case_keys() -> Iterator[tuple[str, str]]:
    """Return every table with each of its keys."""
    for table in ("", *fields.TABLES):
        for name in fields.table_fields(table or None):
            yield table, name


def case_file() -> str:
    """Return the tables of all keys of a case file."""
    lines: list[str] = []
    for table in ("", *fields.TABLES):
        head = "Top level" if not table else f"`[[{table}]]`" if table in fields.LISTS else f"`[{table}]`"
        lines += ["", f"## {head}", "", INTRO[table]]
        if table in fields.LISTS:
            lines[-1] += f" At most {fields.most_items(table)}."
        if table in fields.LISTS and table != "run":
            lines[-1] += f" Left out: not known. `{table} = []` on top of the file: there is none."
        lines += ["", row("key", "value", "when left out", "meaning"), "|---|---|---|---|"]
        for name in fields.table_fields(table or None):
            what = fields.field(f"{table}.{name}" if table else name)
            lines.append(row(f"`{name}`", _value(what, table, name), _absent(what.default, table), what.words))
    return "\n".join(lines).strip()


def _value(what: fields.Field, table: str, name: str) -> str:
    annotation = fields.table_fields(table or None)[name].annotation
    if typing.get_origin(annotation) is dict:
        return f"table of numbers: `{name} = {{ option_id = 100 }}`"
    if what.kind in ("choice", "number choice"):
        return ", ".join(f"`{_toml(c)}`" for c in what.choices)
    if what.kind == "several":
        return "list of " + ", ".join(f"`{_toml(c)}`" for c in what.choices)
    if what.kind == "names":
        return "list of texts"
    if what.kind == "yes no":
        return "`true`, `false`"
    if what.kind == "text":
        return "text" if what.high is None else f"text, at most {what.high:g} characters"
    unit = unit_words(what.unit) if what.kind == "number" else ""
    comma = "" if name == "year_built" else ","
    kind = "whole number" if what.kind == "whole" else "number"
    return f"{kind}, {what.low:{comma}g} to {what.high:{comma}g}{' ' + unit if unit else ''}"


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else str(value)


def _absent(default: object, table: str) -> str:
    if default is fields.NOTHING:
        return "**must be given**"
    if default is None:
        return "not written down" if table == "run" else "unknown"
    return "empty" if default in ([], {}, "") else f"`{_toml(default)}`"


def valid_pass() -> str:
    """Return the conditions of a valid worst-case pass, and what becomes of a pass where one is not met or left out."""
    lines = [row("condition", "not met", "left out"), "|---|---|---|"]
    words = {"yes": "proves no pass", "no": "may still prove one"}
    for r in catalog.table("test_conditions"):
        lines.append(row(text(f"record.asks.{r['id']}"), words[r["not_met_spoils"]], words[r["unwritten_spoils"]]))
    return "\n".join(lines)


# ---- commands


def commands() -> dict[str, Any]:
    """Return each command's function by its name."""
    return {
        command.name or command.callback.__name__.replace("_", "-"): command.callback
        for command in cli.app.registered_commands
        if command.callback
    }


def parameters(function: Any) -> Iterator[tuple[str, bool, Any, Any, Any]]:
    """Return name as typed, whether it is an option, type, typer's record and default of each parameter."""
    hints = typing.get_type_hints(function, include_extras=True)
    for name, parameter in inspect.signature(function).parameters.items():
        base, info = typing.get_args(hints[name])[:2]
        option = type(info).__name__ == "OptionInfo"
        given = [d for d in (info.default, *(info.param_decls or ())) if isinstance(d, str) and d.startswith("--")]
        shown = given[0] if given else f"--{name.replace('_', '-')}" if option else name.upper()
        yield shown, option, base, info, parameter.default


def commands_text() -> str:
    """Return the reference of all commands."""
    lines: list[str] = []
    for name, function in commands().items():
        found = list(parameters(function))
        words = [n if d is inspect.Parameter.empty else f"[{n}]" for n, option, *_, d in found if not option]
        usage = " ".join(["advisor", name, *words])
        lines += ["", f"## `advisor {name}`", "", inspect.getdoc(function) or "", "", f"    {usage} [options]"]
        lines += ["", row("argument or option", "value", "default", "meaning"), "|---|---|---|---|"]
        for shown, _, base, info, default in found:
            lines.append(row(f"`{shown}`", _type(base, info), _default(default), info.help or ""))
    return "\n".join(lines).strip()


def _type(base: Any, info: Any) -> str:
    if isinstance(base, types.UnionType):
        base = next(a for a in typing.get_args(base) if a is not types.NoneType)
    if isinstance(base, type) and issubclass(base, Enum):
        return ", ".join(f"`{m.value}`" for m in base)
    word = {bool: "switch", int: "whole number", float: "number", Path: "path", str: "text"}[base]
    if info.min is None and info.max is None:
        return word
    return f"{word}, {info.min} to {info.max}"


def _default(default: Any) -> str:
    if default is inspect.Parameter.empty:
        return "**must be given**"
    if default is None or default is False:
        return "-"
    return f"`{default.value if isinstance(default, Enum) else default}`"


# ---- output


def _kind(schema: dict[str, Any], models: list[str]) -> str:
    """Return what a field holds; further records are linked."""
    if "$ref" in schema:
        name = schema["$ref"].rsplit("/", 1)[-1]
        if name not in models:
            models.append(name)
        return f"[{name}](#{name.lower()})"
    if "anyOf" in schema:
        return " or ".join(dict.fromkeys(_kind(item, models) for item in schema["anyOf"]))
    if "const" in schema:
        return f"`{schema['const']}`"
    if "enum" in schema:
        return ", ".join(f"`{value}`" for value in schema["enum"])
    if schema.get("type") == "array":
        items = schema.get("items") or {}
        inner = dict.fromkeys(_kind(item, models) for item in schema.get("prefixItems", [items]) if item)
        return f"list of {' or '.join(inner)}"
    if schema.get("type") == "object":
        more = schema.get("additionalProperties")
        return f"table of {_kind(more, models)}" if isinstance(more, dict) and more else "table"
    low, high = schema.get("minimum"), schema.get("maximum")
    bounds = f", {low:g} to {high:g}" if low is not None and high is not None else ""
    return f"{schema.get('type', 'any')}{bounds}"


def output_text() -> str:
    """Return the records of the JSON output and the columns of csv and workbook, from the models that make them."""
    from advisor.report.data.advice_model import schema
    from advisor.report.data.table import columns

    whole = schema()
    records = {"Advice": whole, **whole["$defs"]}
    lines: list[str] = []
    waiting = ["Advice"]
    for name in waiting:  # grows while it is walked: a record is described after the one that first names it
        record = records[name]
        lines += [
            "",
            f"## {name}",
            "",
            record.get("description", ""),
            "",
            row("key", "holds", "meaning"),
            "|---|---|---|",
        ]
        for key, field in record["properties"].items():
            lines.append(row(f"`{key}`", _kind(field, waiting), field.get("description", "")))
    lines += ["", "## Columns of the csv and of the workbook's matrix", ""]
    lines += ["Shares, prices and scores are those of the JSON.", "", row("csv", "workbook", "form"), "|---|---|---|"]
    lines += [row(f"`{c.name}`", c.heading if c.sheet else "", c.form) for c in columns()]
    return "\n".join(lines).strip()


# ---- catalog


def described() -> dict[str, str]:
    """Return one line for each table of the catalog, as written in ``docs/catalog.toml``."""
    with (DOCS / "catalog.toml").open("rb") as handle:
        return {str(k): str(v) for k, v in tomllib.load(handle).items()}


def source_ids(table: str) -> list[str]:
    """Return the sources that the rows of a table name, sorted."""
    cells = (text for r in catalog.table(table) for column, text in r.items() if column.endswith("source"))
    return sorted({part.strip() for text in cells for part in text.split(";") if part.strip()})


def catalog_text() -> str:
    """Return the overview of all catalog tables, and the list of sources."""
    words = described()
    lines = [row("table", "holds", "rows", "status of the rows", "sources"), "|---|---|---|---|---|"]
    for name in catalog.names():
        table = catalog.table(name)
        count = Counter(r["status"] for r in table)
        status = ", ".join(f"{count[s]} {s}" for s in catalog.STATUSES if count[s])
        named = ", ".join(f"`{s}`" for s in source_ids(name)) or "-"
        lines.append(row(f"`{name}`", words.get(name, ""), len(table), status, named))
    total = Counter(r["status"] for name in catalog.names() for r in catalog.table(name))
    rows = sum(total.values())
    shares = ", ".join(f"{s} {total[s]:,}" for s in catalog.STATUSES if total[s])
    lines += ["", f"In all {len(catalog.names())} tables with {rows:,} rows: {shares}.", "", "## Sources", ""]
    lines += [row("id", "what it is", "edition"), "|---|---|---|"]
    # only sources that a row names: a list of all of them here would hide an orphan from the walk of the catalog
    named = {i for name in catalog.names() for i in source_ids(name)}
    lines += [row(f"`{i}`", s["title"], s["edition"]) for i, s in catalog.sources().items() if i in named]
    return "\n".join(lines)


# ---- coverage


def parts() -> list[dict[str, Any]]:
    """Return the entries of ``docs/coverage.toml``."""
    with (DOCS / "coverage.toml").open("rb") as handle:
        return list(tomllib.load(handle)["part"])


def coverage_text() -> str:
    """Return the coverage table and, below it, what is open in each part."""
    lines = [row("part", "state", "validated against", "tests"), "|---|---|---|---|"]
    for part in parts():
        against = ", ".join(f"`{s}`" for s in part["sources"]) or "-"
        files = ", ".join(f"`{t.removeprefix('tests/')}`" for t in part["tests"]) or "-"
        lines.append(row(part["title"], f"**{part['state']}**", against, files))
    for part in parts():
        lines += ["", f"### {part['title']}: {part['state']}", "", f"Covered: {part['covered']}"]
        lines += [
            "",
            f"Open: {part['open']}",
            "",
            "Code: " + (", ".join(f"`{c}`" for c in part["code"]) or "none") + ".",
        ]
    return "\n".join([*lines, *asked_lines(), *uncalled_lines()])


def asked_lines() -> list[str]:
    """Return every rule of the codes with the command that shows it: read from who calls whom."""
    modules = reach.trees()
    found = reach.come_to(modules, [("advisor.cli", "check")])
    options = reach.come_to(
        modules, [("advisor.review.option", "option_checks"), ("advisor.ranking.worked", "with_code")]
    )
    lines = [
        "",
        "### Rules, and the command that shows each",
        "",
        "One line for every rule of `advisor/codes/`. `advisor check CASE` holds it against the house as found, `advisor explain "
        "CASE OPTION` against what an option leaves; `advisor report` prints both.",
        "",
        row("rule", "what it holds", "house as found", "options"),
        "|---|---|---|---|",
    ]
    for module, tree in modules.items():
        for name, node in reach.definitions(tree).items():
            here = (module, name)
            if module.startswith("advisor.codes.") and name.startswith("check_") and (here in found or here in options):
                says = str(ast.get_docstring(node)).partition("\n")[0].rstrip(".")
                shown = [
                    f"`advisor {c}`" if here in where else "-" for c, where in (("check", found), ("explain", options))
                ]
                lines.append(row(f"`{module.rpartition('.')[2]}.{name}`", says, *shown))
    return lines


def uncalled_lines() -> list[str]:
    """Return the rules of the codes that no command asks, each with its reason."""
    lines = [
        "",
        "### Rules that no command asks",
        "",
        "These functions of `advisor/codes/` are written and tested, but nothing that a command prints rests on them.",
        "",
        row("rule", "why no command asks it"),
        "|---|---|",
    ]
    return [*lines, *(row(f"`{r['id']}`", r["reason"]) for r in catalog.table("uncalled_rules"))]


# ---- what it costs, for homeowners


HELPS = (
    ("a blocked air opening", "clear it and keep it clear", ("CLEAR_AIR",)),
    ("a blocked or broken vent", "clear and repair it", ("VENT_CLEAN",)),
    (
        "a small room shut off from its air",
        "grilles to the next room, or openings to outdoors",
        ("GRILLE_PAIR", "AIR_DUCT"),
    ),
    ("a kitchen hood or dryer that pulls too hard", "another hood or dryer", ("HOOD_RECIRC", "HOOD_SMALL", "DRYER_HP")),
    ("a furnace that sucks air from the heater's room", "seal its ducts", ("DUCT_SEAL",)),
    ("a vent that is too cold, too wide or too low", "a liner, a new vent or a cap", ("LINER", "BVENT_JOB", "CAP")),
    (
        "several of these, or an old heater",
        "a heater that needs no such vent",
        ("GS_DV", "GS_PDV", "GS_COND", "TL_C", "HP_120", "HP_240", "ER_240"),
    ),
)
"""Cause, what often helps, and the rows of the catalog whose lowest and highest price are shown."""


def price_range(ids: tuple[str, ...]) -> tuple[float, float]:
    """Return the lowest and the highest installed price over measures or classes of heater."""
    found = [
        (float(r["low_usd"]), float(r["high_usd"]))
        for r in catalog.table("remediation_measures")
        if r["measure_id"] in ids
    ]
    found += [
        (float(r["installed_low_usd"]), float(r["installed_high_usd"]))
        for r in catalog.table("appliance_classes")
        if r["class_id"] in ids
    ]
    assert len(found) == len(ids), ids
    return min(low for low, _ in found), max(high for _, high in found)


def helps_text() -> str:
    """Return what often helps against each cause, with its price range."""
    lines = [row("if the cause is", "what often helps", "the work alone, low to high"), "|---|---|---|"]
    for cause, cure, ids in HELPS:
        low, high = price_range(ids)
        lines.append(row(cause, cure, f"${low:,.0f} to ${high:,.0f}"))
    return "\n".join(lines)


# ---- list of pages


def conditions_text() -> str:
    """Return the conditions of a valid worst-case pass as a table."""
    errs = {"easier": "easier", "harder": "harder: spoils no pass", "unknown": "cannot tell"}
    lines = [row("condition", "when it is not met, the draft is", "status", "source"), "|---|---|---|---|"]
    lines += [
        row(f"{text('record.asks.' + r['id'])} (`{r['id']}`)", errs[r["errs"]], r["status"], r["source"])
        for r in catalog.table("test_conditions")
    ]
    return "\n".join(lines)


def pages_text() -> str:
    """Return the pages that the index does not name by hand, with their titles."""
    by_hand = (DOCS / "index.md").read_text(encoding="utf-8").split("<!-- generated: pages -->")[0]
    lines = []
    for path in sorted(DOCS.glob("*.md")):
        if path.name != "index.md" and f"({path.name})" not in by_hand:
            title = path.read_text(encoding="utf-8").split("\n", 1)[0].lstrip("# ")
            lines.append(f"- [{title}]({path.name})")
    return "\n".join(lines)


REGIONS = {
    "case file": case_file,
    "valid pass": valid_pass,
    "commands": commands_text,
    "output": output_text,
    "catalog": catalog_text,
    "coverage": coverage_text,
    "helps": helps_text,
    "conditions": conditions_text,
    "pages": pages_text,
}
