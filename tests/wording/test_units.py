"""Nobody who reads in SI meets a US unit: in no command, page or workbook, outside what was typed and names of clauses."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from conftest import DEMOS, ROOT
from said_outputs import checked, clauses, pages, plain_texts, terminal, typed, without, workbook, worked_out

from advisor.wording.messages import text_of
from advisor.wording.speak import speaking

pytestmark = pytest.mark.xdist_group("pages")  # share the demos' advice on one worker

US_UNIT = re.compile(
    r"(?<![\w.,$/-])\d[\d,.]*[ -]?(?:cfm|CFM50|ft2|ft3|ft|in2|in\.?(?= |[,;:.)]|$)|gal|gpm|mph|lb|k?Btu/h|therms?|F)(?![\w/'’])"
)
PREPOSITION = re.compile(r"\d in (?:\d|the\b|an?\b|all\b|each\b|every\b|which\b)")


OPEN_MESSAGES = frozenset(
    {
        "codes.how.obstacles",
        "interview.help.opening.area_in2",
        "interview.help.run.window_open_ft2",
        "interview.help.vent.flue_area_in2",
        "interview.help.zone.grille_free_area_in2",
        "interview.help.zone.volume_ft3",
    }
)
"""Messages that hold a number with a US unit as text, and so never turn. Only ever made shorter."""


def us_units(pieces: list[str]) -> set[str]:
    """Return the numbers with a US unit in pieces of text."""
    return {m.group(0) for piece in pieces for m in US_UNIT.finditer(PREPOSITION.sub(" ", piece))}


def open_texts(name: str) -> list[tuple[str, str]]:
    """Return the sentences with US units that a demo's records hold, by their field."""
    found = [*plain_texts(worked_out(name)), *plain_texts(checked(name))]
    return [(place, text) for place, text in found if us_units(without([text], typed(worked_out(name))))]


def printed(name: str, folder: Path) -> dict[str, list[str]]:
    return {**terminal(name), **pages(name), "workbook": workbook(name, folder)}


@pytest.mark.parametrize("name", DEMOS)
def test_no_us_unit_for_a_reader_of_si(name: str, tmp_path: Path) -> None:
    with speaking("si"):
        shown = printed(name, tmp_path)
    names = [*typed(worked_out(name)), *clauses()]
    kept = us_units([text_of(message) for message in OPEN_MESSAGES])
    left = {command: us_units(without(pieces, names)) - kept for command, pieces in shown.items()}
    assert not {command: units for command, units in left.items() if units}


def test_the_pattern_finds_us_units_and_leaves_the_rest() -> None:
    assert us_units(["height 22 ft, lateral 0.76 m", "1,200 cfm at 45 F"]) == {"22 ft", "1,200 cfm", "45 F"}
    assert us_units(["a 4 in vent", "a 4 in. duct", "6 in wide"]) == {"4 in", "4 in.", "6 in"}
    assert not us_units(["3 in the room", "84 in 100 houses", "IFGC 504.2(1)", "240 V, 5 Pa, 12 L/s, $300", "-3 C"])


def test_no_record_holds_a_number_in_a_sentence() -> None:
    assert not {place for name in DEMOS for place, _ in open_texts(name)}


def test_only_listed_messages_hold_a_us_unit_as_text() -> None:
    found = set()
    for path in sorted((ROOT / "catalog" / "texts" / "en").glob("*.po")):
        with path.open("rb") as handle:
            for message in read_po(handle, locale="en"):
                texts = message.string if isinstance(message.string, tuple) else (message.string,)
                name = message.id if isinstance(message.id, str) else message.id[0]
                if name and path.stem != "units" and us_units([str(t) for t in texts]):  # units are named in units.po
                    found.add(name)
    assert found == OPEN_MESSAGES


@pytest.mark.parametrize("name", ["lone_heater_brick_chimney", "stored_insulation"])
def test_a_line_holds_one_system_of_units(name: str) -> None:
    """Height and lateral of a vent stand in one sentence: never one of them turned and the other not."""
    with speaking("si"):
        lines = [line for lines in terminal(name).values() for line in lines]
    sized = [line for line in lines if "height" in line and "lateral" in line]
    assert sized
    assert not [line for line in sized if us_units([line]) and re.search(r"\d m\b", line)]
