"""From what somebody types to a value of the case: choices, yes and no, lists, numbers with units, texts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from advisor.case.fields import Field, field
from advisor.case.quantities import allowed_units, parse_quantity, unit_words
from advisor.case.read import cut
from advisor.case.upgrade import HEATER
from advisor.errors import InputError, suggest
from advisor.findings import listed as listing
from advisor.interview.flow import NOT_OFFERED
from advisor.interview.questions import choice_words, other_spellings
from advisor.wording.speak import text

__all__ = [
    "hint",
    "listed",
    "numbered",
    "offered",
    "parse_answer",
    "range_words",
    "shown_value",
    "unit_hint",
    "yes_or_no",
]

YES, NO = ("yes", "y", "true"), ("no", "n", "false")
ALL, NOBODY = ("all", "everything"), ("none", "no", "nothing")


def parse_answer(typed: str, key: str, names: Sequence[str] = ()) -> Any:
    """Return the value that an answer stands for.

    Parameters
    ----------
    typed : str
        As typed.
    key : str
        Key of the case, such as ``"zone.door"``.
    names : sequence of str
        Names that a list of names may hold.

    Raises
    ------
    InputError
        One sentence: what was typed, what is allowed.
    """
    what = field(key)
    words = " ".join(typed.split())
    if what.kind == "yes no":
        return yes_or_no(words)
    if what.kind == "choice":
        return _choice(words, what)
    if what.kind == "several":
        return _several(words, what)
    if key == "run.appliance":
        return _judged(words, names)
    if key == "run.firing":
        found = _names(words, names)
        return list(names) if found == ["all"] else found
    if what.kind == "names":
        return _names(words, names)
    if what.kind == "text":
        return _text(words, what)
    return _number(words, what)


def yes_or_no(words: str) -> bool:
    """Read yes or no."""
    low = words.casefold()
    if low in YES:
        return True
    if low in NO:
        return False
    near = suggest(low, ("yes", "no"))
    raise InputError(text("interview.slip.yes_no", typed=cut(words), near=near), bool(near))


def _choice(words: str, what: Field) -> str:
    low = words.casefold()
    choices = offered(what)
    for choice in choices:
        if low == choice.casefold():
            return choice
    also = _also(what.key)
    if low in also:
        return also[low]
    if numbered(what) and re.fullmatch(r"[0-9]{1,2}", low):
        if 1 <= int(low) <= len(choices):
            return choices[int(low) - 1]
        raise InputError(text("interview.slip.number_of_list", typed=cut(words), last=len(choices)))
    begun = [c for c in choices if c.casefold().startswith(low)]
    if len(begun) == 1 and len(low) > 1:
        return begun[0]
    if len(begun) > 1:
        raise InputError(text("interview.slip.several_begin", typed=cut(words), choices=listing(begun, "or")))
    near = suggest(low, [*(c.casefold() for c in choices), *also])
    raise InputError(
        text("interview.slip.no_choice", typed=cut(words), near=near, choices=listing(choices)), bool(near)
    )


def _also(key: str) -> dict[str, str]:
    return {also: str(choice) for choice in field(key).choices for also in other_spellings(key, str(choice))}


def _several(words: str, what: Field) -> list[str]:
    found: list[str] = []
    for piece in _pieces(words):
        value = _choice(piece, what)
        if value not in found:
            found.append(value)
    if "none seen" in found and len(found) > 1:
        raise InputError(text("interview.slip.none_and_some", typed=cut(words)))
    return found


def _names(words: str, names: Sequence[str]) -> list[str]:
    low = words.casefold()
    if low in ALL:
        return ["all"]
    if low in NOBODY:
        return []
    known = {name.casefold(): name for name in names}
    found: list[str] = []
    for piece in [words] if low in known else _pieces(words):
        name = known.get(piece.casefold())
        if name is None:
            begun = [n for n in names if n.casefold().startswith(piece.casefold())]
            name = begun[0] if len(begun) == 1 else None
        if name is None:
            near = suggest(piece.casefold(), [*known, *ALL, *NOBODY])
            allowed = listing(["all", "none", *map(cut, names)])
            raise InputError(text("interview.slip.no_name", typed=cut(piece), near=near, choices=allowed), bool(near))
        if name not in found:
            found.append(name)
    return found


def _judged(words: str, names: Sequence[str]) -> str | None:
    """Return the appliance that a test judged; None for the heater, which no file names."""
    low = words.casefold()
    begun = [n for n in names if n.casefold() == low] or [n for n in names if n.casefold().startswith(low)]
    if len(begun) != 1:
        near = suggest(low, [n.casefold() for n in names])
        said = text("interview.slip.no_choice", typed=cut(words), near=near, choices=listing(list(map(cut, names))))
        raise InputError(said, bool(near))
    return None if begun[0] == HEATER else begun[0]


def _pieces(words: str) -> list[str]:
    pieces = [piece.strip() for piece in re.split(r",|;|\band\b", words) if piece.strip()]
    if not pieces:
        raise InputError(text("interview.slip.names_nothing", typed=cut(words)))
    return pieces


def _text(words: str, what: Field) -> str:
    if what.key == "house.state":
        if not re.fullmatch(r"[A-Za-z]{2}", words):
            raise InputError(text("interview.slip.two_letters", typed=cut(words)))
        return words.upper()
    if what.high is not None and len(words) > what.high:
        raise InputError(text("interview.slip.too_long", length=len(words), most=int(what.high)))
    return words


def _number(words: str, what: Field) -> float | int:
    value = parse_quantity(words, what.unit if what.kind != "whole" else "number")
    if what.kind == "number choice":
        if value not in what.choices:
            allowed = ", ".join(f"{c:g}" for c in what.choices)
            raise InputError(text("interview.slip.no_size", typed=cut(words), sizes=allowed))
        return next(float(c) if isinstance(c, float) else int(c) for c in what.choices if c == value)
    if what.kind == "whole" and value != int(value):
        raise InputError(text("interview.slip.not_whole", typed=cut(words), range=range_words(what)))
    outside = (what.low is not None and value < what.low) or (what.high is not None and value > what.high)
    if outside:
        unit = unit_words(what.unit)
        is_words = (
            f"'{words}'" if words == f"{value:g}" else f"'{cut(words)}' = {value:,.6g}{' ' + unit if unit else ''}"
        )
        raise InputError(text("interview.slip.out_of_range", value=is_words, range=range_words(what)))
    return int(value) if what.kind == "whole" else value


def range_words(what: Field) -> str:
    """Return the range of a number in words, such as ``"from 2 to 12 in"``."""
    unit = unit_words(what.unit)
    behind = f" {unit}" if unit and what.kind != "whole" else ""
    comma = "" if what.key.endswith("year_built") else ","
    return text("interview.range", low=f"{what.low:{comma}g}", high=f"{what.high:{comma}g}{behind}")


def offered(what: Field) -> tuple[str, ...]:
    """Return the choices that the interview offers."""
    return tuple(c for c in what.choices if c not in NOT_OFFERED.get(what.key, ()))


def numbered(what: Field) -> bool:
    """Tell whether choices may be picked by their number: only when they hold no numbers of their own."""
    return not any(choice[0].isdigit() for choice in what.choices)


def hint(what: Field, names: Sequence[str] = ()) -> str:
    """Return the short hint that stands behind a question: unit or form of the answer."""
    if what.kind == "yes no":
        return text("interview.hint.yes_no")
    if what.key == "run.appliance":
        return ", ".join(names)
    if what.kind == "names":
        return text("interview.hint.names", names=listing(names)) if names else text("interview.hint.all_or_none")
    if what.kind == "number choice":
        return ", ".join(f"{c:g}" for c in what.choices)
    if what.kind == "number":
        return unit_words(what.unit)
    return text("interview.hint.whole") if what.kind == "whole" else ""


def unit_hint(what: Field) -> str:
    """Return a sentence on units and range for a number, else an empty string."""
    if what.kind == "whole":
        return text("interview.units.whole", range=range_words(what))
    if what.kind != "number":
        return ""
    unit = unit_words(what.unit)
    if not unit:
        return text("interview.units.number", range=range_words(what))
    return text("interview.units.with_unit", unit=unit, also=allowed_units(what.unit), range=range_words(what))


def listed(what: Field) -> list[str]:
    """Return the lines that list the choices."""
    if not numbered(what):
        return ["  " + ", ".join(what.choices)]
    lines = []
    for i, choice in enumerate(offered(what), 1):
        words = choice_words(what.key, choice)
        lines.append(f"  {i:>2}  {choice}{': ' + words if words else ''}")
    return lines


def shown_value(value: Any, what: Field | None) -> str:
    """Return a value as the interview shows it."""
    if isinstance(value, bool):
        return text("interview.shown.yes" if value else "interview.shown.no")
    if isinstance(value, list):
        return ", ".join(value) or text("interview.shown.none")
    if isinstance(value, float | int):
        unit = unit_words(what.unit) if what and what.kind == "number" else ""
        comma = "" if what and what.key.endswith("year_built") else ","
        return f"{value:{comma}.6g}{' ' + unit if unit else ''}"
    return str(value)
