"""No sentence stands in the code: what people read stands in ``catalog/texts``; the exceptions are named, with a reason."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest
from conftest import ROOT

from advisor import catalog
from advisor.case.model import Case
from advisor.case.parts import Heater
from advisor.ensemble.properties import air_thresholds, symptom_bands
from advisor.evidence import coherence, contradictions
from advisor.evidence.enough import Lack
from advisor.evidence.next_test import CANDIDATES
from advisor.evidence.observations import JUDGED
from advisor.evidence.removals import NOT_LOOKED_AT, REMOVALS
from advisor.evidence.retest import READ
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import READINGS
from advisor.facts.record import Outcome, State
from advisor.findings import slug
from advisor.interview.urgent import OF_LEVEL, ORDER
from advisor.risk.everyday import REASONS
from advisor.risk.paper_answers import questions
from advisor.wording.coherence import COLUMNS
from advisor.wording.messages import has

PACKAGE = ROOT / "advisor"
MODULES = sorted(PACKAGE.rglob("*.py"))
MAY_HOLD = {
    "case": "slips in a case file and what its keys mean: for who writes one; the page of the case file is made from them",
    "cli.py": "help of the commands",
    "catalog.py": "slips in a name of a table",
    "editions.py": "slips in the folder of a code edition",
    "errors.py": "the suggestion in a slip",
    "facts/leakage.py": "names of the rows of a published table",
    "interview/draft.py": "patterns of the remarks that the interview leaves in a file for itself",
    "interview/talk.py": "what may be typed for 'none' and 'not known'",
    "report/data": "what a field of the output means: the schema and the page of the output are made from it",
    "money/prices.py": "the place of a slip in a price file",
    "report/page/texts.py": "names of conditions under which a text stands",
    "report/print": "what to install for a print",
    "report/view/present.py": "an id that is matched as a whole",
    "report/view/firm.py": "slips in a firm file",
    "ensemble/unknown_draw.py": "the name of a device that is on no list",
    "findings.py": "names of types",
}
"""Modules and rooms that may hold strings of three words and more, and what these are; nothing of it is part of an advice."""
LEAST_WORDS = 3
"""Words from which a text counts as a sentence."""
LONGEST_UNIT = 3
"""Letters of a word of a unit ("in per in"); longer ones are words of a sentence."""


def closed_lists(tree: ast.AST) -> set[str]:
    """Return the values of closed lists (``Literal``): they are matched as ids, never said as they stand."""
    return {
        part.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id == "Literal"
        for part in ast.walk(node.slice)
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    }


CLOSED = set().union(*(closed_lists(ast.parse(p.read_text(encoding="utf-8"))) for p in PACKAGE.rglob("*.py")))


def texts_of(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Return the texts that are no docstring, no comment on a constant, and no part of an error; f-strings whole."""
    silent: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            silent.add(id(node.value))
        elif isinstance(node, ast.Raise):
            silent |= {id(part) for part in ast.walk(node)}
        elif isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
    for node in ast.walk(tree):
        if id(node) in silent:
            continue
        if isinstance(node, ast.JoinedStr):
            yield node.lineno, "".join(p.value if isinstance(p, ast.Constant) else "{}" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


def is_sentence(text: str) -> bool:
    """Return whether a text has three or more words, one of them longer than the name of a unit."""
    words = text.split()
    return len(words) >= LEAST_WORDS and any(len(word) > LONGEST_UNIT and word.isalpha() for word in words)


def excused(path: Path) -> str:
    """Return the exception that a module falls under; empty where it has none."""
    name = path.relative_to(PACKAGE).as_posix()
    return next((one for one in MAY_HOLD if name == one or name.startswith(f"{one}/")), "")


def sentences(path: Path) -> list[str]:
    return [
        f"line {line}: {text}"
        for line, text in texts_of(ast.parse(path.read_text(encoding="utf-8")))
        if is_sentence(text) and text not in CLOSED
    ]


@pytest.mark.parametrize("path", [p for p in MODULES if not excused(p)], ids=lambda p: str(p.relative_to(PACKAGE)))
def test_no_sentence_stands_in_the_code(path: Path) -> None:
    assert not sentences(path)


def test_no_exception_is_idle() -> None:
    assert {excused(p) for p in MODULES if sentences(p)} - {""} == set(MAY_HOLD)


def test_a_sentence_would_be_found() -> None:
    code = 'def f(x):\n    """It says so."""\n    return f"a sentence with {x}"\n'
    assert [text for _, text in texts_of(ast.parse(code))] == ["a sentence with {}"]


# ---- ids put together from an id of the data: every one of them has its message

NEVER_NOT_MET = ("outdoor_temp",)
"""Conditions that are met as soon as they are written down."""
BARE = Case.model_validate(
    {
        "heater": {"input_btu_h": 40000.0},
        "exhaust": [{"name": "a", "kind": "bath fan"}, {"name": "b", "kind": "bath fan", "rated_cfm": 80.0}],
        "opening": [{"state": "unknown"}],
        "run": [{"seen": "spilling"}],
    }
)
"""A house of which next to nothing was written down."""


def made_ids() -> dict[str, list[str]]:
    """Return the ids that are put together in the code, by what they are made from."""
    table = catalog.table
    conditions = [row["id"] for row in table("test_conditions")]
    spoiling = [row["id"] for row in table("test_conditions") if row["unwritten_spoils"] == "yes"]
    answers = [(one, answer) for one in questions() for answer in one.answers]
    signs = get_args(get_args(Heater.model_fields["signs"].annotation)[0])
    return {
        "what to do": [f"now.{row['key']}" for row in table("now")],
        "cautions": [f"now.caution.{row['key']}" for row in table("cautions")],
        "urgent": [f"now.{key}" for key in (*OF_LEVEL.values(), *ORDER)],
        "states": [f"record.{part}.{slug(state)}" for part in ("title", "sentence") for state in get_args(State)],
        "conditions": [f"record.asks.{name}" for name in conditions],
        "what spoils a pass": [f"record.{part}.{name}" for part in ("not_written", "redo") for name in spoiling],
        "not met": [f"record.not_met.{name}" for name in conditions if name not in NEVER_NOT_MET],
        "outcomes": [f"record.shows.{slug(outcome)}" for outcome in get_args(Outcome)],
        "signs": [f"record.sign.{slug(sign)}" for sign in signs],
        "readings": [f"record.reading.{key}" for key in READINGS],
        "causes": [f"evidence.cause.{name}" for name in (*REMOVALS, NOT_LOOKED_AT)],
        "tests": [f"evidence.test.{part}.{name}" for part in ("title", "caution") for name in CANDIDATES],
        "answers of a test": [
            f"evidence.seen.{what}_{end}"
            for what in ("fans", "draft", "leakage")
            for end in ("as_expected", "under", "over", "between")
        ],
        "seen": [f"evidence.{part}.{seen}" for part in ("observed", "word") for seen in JUDGED],
        "kinds": [f"evidence.kind.{kind}" for kind in (*get_args(coherence.Kind), "pressure_net")],
        "contradictions": [f"evidence.contradiction.{kind}" for kind in get_args(contradictions.Kind)],
        "columns": [f"evidence.row.{name}" for name in COLUMNS],
        "compared": [f"evidence.reading.{key}" for key in READ],
        "lacks": [f"evidence.lacks.{name}" for name in get_args(Lack)],
        "assumed": [one.id for one in assumed_values(BARE)],
        "questions": [one.prompt.id for one in questions()],
        "answers": [one.text(answer).id for one, answer in answers],
        "reasons": [f"risk.reason.{name}" for name in REASONS],
        "symptoms": [f"risk.symptoms.{band.symptoms}" for band in symptom_bands()],
        "levels": [f"risk.level.{slug(level.name)}" for level in air_thresholds()],
    }


@pytest.mark.parametrize("what", sorted(made_ids()))
def test_every_id_that_is_put_together_has_its_message(what: str) -> None:
    found = made_ids()[what]
    assert found
    assert not [name for name in found if not has(name)]


def test_what_knowing_a_value_would_buy_belongs_to_a_value() -> None:
    path = ROOT / "catalog" / "texts" / "en" / "assumed.po"
    names = re.findall(r'^msgid "assumed\.buys\.(.+)"$', path.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(names) > 5
    assert {f"assumed.{name}" for name in names} <= {one.id for one in assumed_values(BARE)}
