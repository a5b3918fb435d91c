"""An unfinished case: the answers so far, what was left open, a person's own comments; kept in the case file itself."""

from __future__ import annotations

import copy
import itertools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Comment, Item, Table

from advisor.case import fields
from advisor.case.read import case_of, cut
from advisor.case.read import read_text as file_text
from advisor.case.upgrade_file import upgraded_text
from advisor.case.write import NONE_WORDS, OWN, Place, Remarks, document, write_atomically
from advisor.errors import InputError

__all__ = ["Draft", "load_draft"]

_MARK = re.compile(rf"{OWN} (\w+): (not known|none|that is all)\b")
_LEFT_OPEN = re.compile(rf"{OWN} \[\[?(\w+)\]?\]: not known\b")
_ASIDE = re.compile(rf"{OWN} set aside: (.+)")
NAME = "case"


@dataclass(slots=True)
class Draft:
    """Answers so far; see `advisor.case.write.Remarks` for the comments.

    ``written`` is the text that the file held last; ``auto_named`` the names made from a kind, still to be asked for.
    """

    data: dict[str, Any] = field(default_factory=dict)
    without_value: set[Place] = field(default_factory=set)
    aside: dict[Place, Any] = field(default_factory=dict)
    before: dict[Place, tuple[str, ...]] = field(default_factory=dict)
    after: dict[Place, str] = field(default_factory=dict)
    written: str | None = None
    auto_named: set[Place] = field(default_factory=set)

    def get(self, place: Place) -> Any:
        """Return the value at a place, or None."""
        found: Any = self.data
        for part in place:
            if isinstance(found, Mapping):
                found = found.get(str(part))
            elif isinstance(found, list) and isinstance(part, int) and part < len(found):
                found = found[part]
            else:
                return None
        return found

    def put(self, place: Place, value: Any) -> None:
        """Set the value at a place; a list grows by one item when the place is just behind its end."""
        found: Any = self.data
        for part, after in itertools.pairwise(place):
            if isinstance(found, list):
                assert isinstance(part, int)
                if part == len(found):
                    found.append({})
                found = found[part]
            else:
                found = found.setdefault(part, [] if isinstance(after, int) else {})
        found[place[-1]] = value
        self.without_value.discard(place)

    def drop(self, place: Place) -> Any:
        """Take the value at a place away and return it; later items of a list move up."""
        holder: Any = self.get(place[:-1]) if len(place) > 1 else self.data
        value = holder.pop(place[-1])
        if isinstance(holder, list):
            table, gone = place
            for kept in (self.aside, self.before, self.after):
                _renumber(kept, str(table), int(gone))
            for places in (self.without_value, self.auto_named):
                marks = dict.fromkeys(places)
                _renumber(marks, str(table), int(gone))
                places.clear()
                places.update(marks)
        if not holder and len(place) == 2 and place[0] in fields.LISTS:
            del self.data[str(place[0])]
            self.without_value.discard(place[:1])  # taking the last one off does not say that there is none
        return value

    def snapshot(self) -> tuple[Any, ...]:
        """Return a copy of the answers, for `restore`."""
        return copy.deepcopy((self.data, self.without_value, self.aside, self.auto_named))

    def restore(self, kept: tuple[Any, ...]) -> None:
        """Go back to a snapshot."""
        self.data, self.without_value, self.aside, self.auto_named = kept

    def text(self, header: tuple[str, ...]) -> str:
        """Return the file's text."""
        remarks = Remarks(header, frozenset(self.without_value), self.aside, self.before, self.after)
        return document(self.data, remarks)

    def problem(self) -> str | None:
        """Return what the reader would object to, or None; what is merely missing so far is no objection."""
        trial = {key: value for key, value in self.data.items() if key != "heater"}
        heater = self.data.get("heater", {})
        low = fields.field("heater.input_btu_h").low
        trial["heater"] = {"input_btu_h": low} | heater
        if not trial.get("run"):
            trial["run"] = [{"seen": "unclear"}]
        if "supply" in trial:
            trial["supply"] = [{"supply_cfm": 0} | item for item in trial["supply"]]
        try:
            case_of(trial, NAME)
        except InputError as error:
            return str(error).removeprefix(f"{NAME}: ")
        except RecursionError:
            return "nested too deeply"
        return None

    def save(self, path: Path, header: tuple[str, ...]) -> None:
        """Write the file in one step.

        Raises
        ------
        InputError
            If it cannot be written, or if somebody else changed it meanwhile.
        """
        try:
            now = path.read_text(encoding="utf-8") if path.exists() else None
        except (OSError, UnicodeDecodeError):
            now = ""
        if self.written is not None and now is not None and now != self.written:
            raise InputError(f"{path}: was changed by somebody else while the interview ran; start it again to go on")
        text = self.text(header)
        write_atomically(path, text)
        self.written = text


def _renumber(kept: dict[Place, Any], table: str, gone: int) -> None:
    """Forget the places of one item of a list and move the later ones up."""
    moved: dict[Place, Any] = {}
    for place, value in kept.items():
        if len(place) > 1 and place[0] == table and isinstance(place[1], int):
            if place[1] == gone:
                continue
            place = (table, place[1] - (place[1] > gone), *place[2:])
        moved[place] = value
    kept.clear()
    kept.update(moved)


def load_draft(path: Path) -> Draft:
    """Read a case file that may be unfinished; a file that does not exist yet is an empty draft.

    Raises
    ------
    InputError
        If the file is there but is no case file, finished or not.
    """
    if not path.exists() and not path.is_symlink():
        if path.parent.exists() and not path.parent.is_dir():
            raise InputError(f"{path}: cannot be written: {path.parent} is not a folder")
        if not path.parent.exists():
            raise InputError(f"{path}: cannot be written: there is no folder {path.parent}")
        return Draft()
    if path.is_file() and path.stat().st_size == 0:
        return Draft(written="")
    text = file_text(path)
    try:
        today = upgraded_text(text)
        draft = Draft(data=_renewed(tomllib.loads(today)), written=text)
        _comments(tomlkit.parse(today), (), draft, [])
    except (ValueError, TOMLKitError) as error:  # ValueError: also a whole number of thousands of digits
        raise InputError(f"{path}: not valid TOML: {cut(error, 120)}") from None
    except RecursionError:
        raise InputError(f"{path}: not valid TOML: nested too deeply") from None
    shape = next((k for k in draft.data if k in fields.TABLES and not _shaped(k, draft.data[k])), None)
    if shape:
        raise InputError(f"{path}: {shape} must be {'[[tables]]' if shape in fields.LISTS else 'a [table]'}")
    problem = draft.problem()
    if problem:
        raise InputError(f"{path}: {problem}")
    return draft


def _renewed(data: dict[str, Any]) -> dict[str, Any]:
    """Bring what an older program wrote to the present form; a list of tests that holds none is no list yet."""
    occupants = data.get("occupants")
    if isinstance(occupants, dict):
        for name in ("symptoms", "alarm_sounded"):
            if isinstance(occupants.get(name), bool):
                occupants[name] = "now" if occupants[name] else "no"
    if data.get("run") == []:
        del data["run"]
    return data


def _shaped(table: str, value: Any) -> bool:
    if table in fields.LISTS:
        return isinstance(value, list) and all(isinstance(item, dict) for item in value)
    return isinstance(value, dict)


def _comments(container: Any, place: Place, draft: Draft, waiting: list[str]) -> None:
    """Walk a document in order: read the notes of the interview, and tie a person's comments to what follows them."""
    body = container.body if hasattr(container, "body") else container.value.body
    for key, item in body:
        if isinstance(item, Comment):
            words = item.trivia.comment
            if words.startswith(OWN):
                _own(words, place, draft)
            else:
                waiting.append(words)
            continue
        if key is None:
            continue
        here: Place = (*place, key.key)
        if isinstance(item, AoT):
            for i, table in enumerate(item.body):
                waiting += [table.trivia.comment] if table.trivia.comment else []
                _above((*here, i), draft, waiting)
                _comments(table, (*here, i), draft, waiting)
        elif isinstance(item, Table):
            waiting += [item.trivia.comment] if item.trivia.comment else []  # behind the table's head
            _above(here, draft, waiting)
            _comments(item, here, draft, waiting)
        else:
            _above(here, draft, waiting)
            _behind(here, item, draft)
    if not place and waiting:
        _above((), draft, waiting)


def _above(place: Place, draft: Draft, waiting: list[str]) -> None:
    if waiting:
        draft.before[place] = (*draft.before.get(place, ()), *waiting)
        waiting.clear()


def _behind(place: Place, item: Item, draft: Draft) -> None:
    words = item.trivia.comment
    key = ".".join(str(part) for part in place if isinstance(part, str))
    table, _, name = key.rpartition(".")
    known = fields.table_fields(table or None) if not table or table in fields.TABLES else {}
    own = {NONE_WORDS, f"# {known[name].description}" if name in known else ""}
    if words and words not in own:
        draft.after[place] = words


def _own(words: str, place: Place, draft: Draft) -> None:
    """Read one note of the interview back; a note that says nothing that is known is let go.

    An older program wrote 'that is all' and 'none' for a list or a shared vent that nobody may have known: only what is
    listed is complete by such a note, for the rest the question comes up again.
    """
    left_open = _LEFT_OPEN.match(words)
    if left_open:
        if left_open.group(1) in fields.LISTS and left_open.group(1) not in draft.data:
            draft.without_value.add((left_open.group(1),))
        return
    mark, aside = _MARK.match(words), _ASIDE.match(words)
    if mark:
        _own_mark(mark, place, draft)
    elif aside:
        _own_aside(aside, place, draft)


def _own_mark(mark: re.Match[str], place: Place, draft: Draft) -> None:
    """Take a question as answered without a value."""
    name, says = mark.groups()
    where: Place = (*place, name)
    if says == "not known":
        answered = _known(where)
    else:
        where = (name,)
        answered = bool(draft.data.get(name)) if name in fields.LISTS else name in fields.TABLES
    if answered:
        draft.without_value.add(where)


def _own_aside(aside: re.Match[str], place: Place, draft: Draft) -> None:
    """Keep an answer that another one put aside."""
    try:
        found = tomllib.loads(aside.group(1))
    except tomllib.TOMLDecodeError:
        return
    for name, value in found.items():
        if name in fields.TABLES and isinstance(value, dict):
            draft.aside |= {(name, key): inner for key, inner in value.items() if _known((name, key))}
        elif _known((*place, name)):
            draft.aside[(*place, name)] = value


def _known(place: Place) -> bool:
    table = str(place[0]) if len(place) > 1 else None
    if table is not None and table not in fields.TABLES:
        return False
    return str(place[-1]) in fields.table_fields(table)
