"""What the program prints, as pieces of text that a reader sees one by one, and what in them was typed by somebody."""

from __future__ import annotations

import re
import textwrap
from dataclasses import fields, is_dataclass
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import openpyxl
from conftest import ROOT, demo_advice

from advisor import catalog
from advisor.advice import Advice
from advisor.case.read import read_case
from advisor.case_check import CaseCheck, check_case
from advisor.ranking.options import VIEWPOINTS
from advisor.report.data.table import as_csv
from advisor.report.data.workbook import write_workbook
from advisor.report.page.build import render_page
from advisor.report.text.check import LABEL, check_text
from advisor.report.text.costs import costs_text
from advisor.report.text.evidence import causes_text, next_text
from advisor.report.text.explain import explain_text
from advisor.report.text.matrix import as_markdown, as_text
from advisor.report.text.score import score_text

WIDE = 400
"""Columns: nothing is broken over lines, so that a sentence stays in one piece."""
EXPLAINED = 3
"""Options whose working is printed."""


@cache
def checked(name: str) -> CaseCheck:
    """Return a demo's check from few situations."""
    return check_case(read_case(ROOT / "demo" / f"{name}.toml"), 128, 1)


def worked_out(name: str) -> Advice:
    """Return a demo's advice from few situations."""
    advice: Advice = demo_advice(name, "homeowner", 256)
    return advice


class _Pieces(HTMLParser):
    """Every text between two tags, and every attribute that is read aloud or shown."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self._style = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._style = tag == "style"
        self.found += [value or "" for name, value in attrs if name in ("data-label", "aria-label", "title", "alt")]

    def handle_endtag(self, tag: str) -> None:
        self._style = False

    def handle_data(self, data: str) -> None:
        if not self._style:
            self.found.append(data)


def terminal(name: str) -> dict[str, list[str]]:
    """Return what the commands print for a demo, line by line."""
    advice = worked_out(name)
    texts = {
        "rank": as_text(advice, WIDE),
        "markdown": as_markdown(advice),
        "csv": as_csv(advice),
        "check": check_text(checked(name), WIDE),
        "causes": causes_text(advice, WIDE),
        "next": next_text(advice, WIDE),
        "costs": costs_text(advice, 5, WIDE),
        "score": score_text(advice, WIDE),
    }
    for option in advice.options[:EXPLAINED]:
        texts[f"explain {option.id}"] = explain_text(advice, option.id, WIDE)
    return {command: text.splitlines() for command, text in texts.items()}


def pages(name: str) -> dict[str, list[str]]:
    """Return the texts of a demo's pages, piece by piece."""
    return {v: _Pieces(render_page(worked_out(name), v)).found for v in VIEWPOINTS}


def workbook(name: str, folder: Path) -> list[str]:
    """Return the texts in the cells of a demo's workbook, and the names of its sheets."""
    path = folder / f"{name}.xlsx"
    write_workbook(worked_out(name), path)
    book = openpyxl.load_workbook(path)
    cells = [c.value for sheet in book for row in sheet.iter_rows() for c in row if c.data_type == "s"]
    return [*book.sheetnames, *(str(c) for c in cells)]


@cache
def clauses() -> tuple[str, ...]:
    """Return what stands in the catalog as a source's own name: clauses, titles, editions; the longest first."""
    named = {row["ref"] for name in catalog.names() for row in catalog.table(name) if row.get("ref")}
    for source in catalog.sources().values():
        named |= {str(source["title"]), str(source.get("edition", "")), str(source.get("url", ""))}
    return tuple(sorted((n for n in named if len(n) > 5), key=len, reverse=True))


def typed(advice: Advice) -> list[str]:
    """Return what somebody typed into the case, and clauses; the longest first."""
    case = advice.case
    words = [case.title, case.note, case.money.incentive_source, *(run.label for run in case.run)]
    words += [textwrap.shorten(run.label, LABEL, placeholder="") for run in case.run]  # as a narrow table shows it
    parts = (*(case.exhaust or ()), *(case.opening or ()), *(case.supply or ()), *(case.appliance or ()))
    words += [part.name for part in parts]
    words += [check.clause for o in advice.options for check in o.checks]
    words += [check.clause for check in advice.review]
    return sorted({w for w in words if w}, key=len, reverse=True)


def without(pieces: list[str], words: list[str] | tuple[str, ...]) -> list[str]:
    """Return pieces of text without the words that somebody typed."""
    if not words:
        return pieces
    pattern = re.compile("|".join(re.escape(w) for w in sorted(set(words), key=len, reverse=True)))
    return [pattern.sub(" | ", piece) for piece in pieces]


KEPT = (
    *("case", "id", "clause", "source", "label", "run"),
    *("barred_by", "errs", "name", "observed", "outcome", "rule", "stage", "state", "what"),
)
"""Fields of records that hold what a user typed, ids and clauses."""


def plain_texts(value: Any, place: str = "") -> list[tuple[str, str]]:
    """Return every string that a record holds, with its class and field: sentences that are no findings yet."""
    if isinstance(value, str):
        return [(place, value)]
    if isinstance(value, tuple | list) and type(value) in (tuple, list):
        return [found for item in value for found in plain_texts(item, place)]
    if (
        is_dataclass(value)
        and not isinstance(value, type)
        and type(value).__name__ not in ("Finding", "Quantity", "Listed")
    ):
        return [
            found
            for f in fields(value)
            if f.name not in KEPT
            for found in plain_texts(getattr(value, f.name), f"{type(value).__name__}.{f.name}")
        ]
    return []
