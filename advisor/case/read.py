"""TOML in: one clear error for whatever is wrong with a case file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from advisor import catalog
from advisor.case.model import Case, Run, listed
from advisor.case.scope import check_scope
from advisor.case.upgrade import HEATER, OLD_KEYS, is_old, upgraded
from advisor.errors import InputError, suggest

MAX_BYTES = 1_000_000
OLD_NAME = (
    'describe the appliance as [[appliance]] (vent = "with the heater" where it shares) and name it in run.firing'
)
LONGEST = 60
"""Characters of a key or a value in a message."""


def read_case(path: Path) -> Case:
    """Read and validate a case file.

    Parameters
    ----------
    path : Path
        TOML file of at most 1 MB.

    Returns
    -------
    Case

    Raises
    ------
    InputError
        With the file, the key, the value and what is allowed.
    """
    return parse_case(read_text(path), str(path))


def read_text(path: Path) -> str:
    """Return the text of a case file of at most 1 MB.

    Raises
    ------
    InputError
        If the file cannot be read, is too large, empty or no text.
    """
    try:
        if path.is_dir():
            raise InputError(f"{path}: is a folder; give a case file (TOML)")
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except FileNotFoundError:
        near = [p.name for p in path.parent.glob("*.toml")] if path.parent.is_dir() else []
        raise InputError(f"{path}: no such file{suggest(path.name, near)}") from None
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror or error}") from None
    if len(data) > MAX_BYTES:
        raise InputError(f"{path}: larger than {MAX_BYTES // 1000} kB; a case file has a few kB")
    if not data.strip():
        raise InputError(f"{path}: is empty; a case needs at least [heater] input_btu_h and one [[run]] with 'seen'")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise InputError(f"{path}: is not text (UTF-8); give a case file (TOML)") from None


def parse_case(text: str, name: str = "case") -> Case:
    """Validate the text of a case file; see `read_case`."""
    return case_of(plain_data(text, name), name)


def plain_data(text: str, name: str = "case") -> dict[str, Any]:
    """Return what the text of a case file holds, not validated yet.

    Raises
    ------
    InputError
        If it is no TOML.
    """
    try:
        return tomllib.loads(text)
    except ValueError as error:  # TOMLDecodeError, or a whole number of thousands of digits
        raise InputError(f"{name}: not valid TOML: {cut(error)}") from None
    except RecursionError:
        raise InputError(f"{name}: not valid TOML: nested too deeply") from None


def case_of(data: Mapping[str, Any], name: str = "case") -> Case:
    """Validate what a case file holds, read already, of today's form or an older one; see `read_case`."""
    today = upgraded(data)
    try:
        case = Case.model_validate(today)
    except ValidationError as error:
        old = " (an older file: its other appliances are read as [[appliance]])" if is_old(data) else ""
        raise InputError(f"{name}: {_first_problem(error, today)}{old}") from None
    check_scope(case, name)
    _cross_check(case, name)
    return case


def cut(words: object, most: int = LONGEST) -> str:
    """Return words short enough for a message of one line."""
    text = str(words)
    return text if len(text) <= most else text[: most - 3] + "..."


def _shown(value: Any) -> str:
    return cut(repr(value))


def _listing(words: Iterable[str], most: int = 12) -> str:
    """Return names for a message: the first of them, each cut."""
    found = [_shown(w) for w in words]
    return ", ".join(found[:most]) + (f" and {len(found) - most} more" if len(found) > most else "")


def _place(location: tuple[int | str, ...], data: Any, last_is_a_key: bool) -> str:
    """Return the place of a problem as the file names it.

    Parts that the data do not hold are the checker's own ('float', 'list[...]' and the like): they are left out. The key of
    something that is missing or not known here is always the last part.
    """
    words = ""
    for i, part in enumerate(location):
        if isinstance(part, int):
            words += f"[{part + 1}]"
            data = data[part] if isinstance(data, Sequence) and part < len(data) else None
        elif (isinstance(data, Mapping) and part in data) or (last_is_a_key and i == len(location) - 1):
            words += ("." if words else "") + cut(part)
            data = data.get(part) if isinstance(data, Mapping) else None
    return words


def _first_problem(error: ValidationError, data: Mapping[str, Any]) -> str:
    problems = error.errors(include_url=False)
    unknown = [p for p in problems if p["type"] == "extra_forbidden"]
    first = (unknown or problems)[0]
    place = _place(first["loc"], data, first["type"] in ("missing", "extra_forbidden"))
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    if first["type"] == "extra_forbidden":
        allowed = _allowed_keys(first["loc"][:-1])
        key = str(first["loc"][-1])
        if key in OLD_KEYS:
            return f"{place} = {_shown(first.get('input'))}: an older name that cannot be read here; {OLD_NAME}{more}"
        return f"{place}: unknown key{suggest(key, allowed)}; allowed: {', '.join(allowed)}{more}"
    if first["type"] == "missing":
        return f"{place}: required but missing{more}"
    words = first["msg"].replace("Input should be ", "must be ").replace("should have", "must have")
    return f"{place} = {_shown(first.get('input'))}: {words}{more}"


def _allowed_keys(location: tuple[int | str, ...]) -> list[str]:
    model: type[BaseModel] = Case
    for part in location:
        if isinstance(part, int) or part not in model.model_fields:
            continue
        model = _inner_model(model.model_fields[part].annotation) or model
    return list(model.model_fields)


def _inner_model(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _inner_model(inner)
        if found:
            return found
    return None


def _cross_check(case: Case, name: str) -> None:
    """Refuse what no single key shows: unknown devices, contradictory sizes."""
    devices = [e.name for e in listed(case.exhaust)]
    twice = {d for d in devices if devices.count(d) > 1}
    if twice:
        raise InputError(
            f"{name}: exhaust.name = {_shown(sorted(twice)[0])}: two devices have this name; names must differ"
        )
    for i, run in enumerate(case.run, 1):
        for device in listed(run.devices_on):
            if device != "all" and device not in devices:
                near = suggest(cut(device), map(cut, devices))
                raise InputError(
                    f"{name}: run[{i}].devices_on = {_shown(device)}: no such [[exhaust]]{near}; "
                    f"allowed: 'all', {_listing(devices) or 'no device is listed'}"
                )
        _check_burners_of_run(case, run, f"{name}: run[{i}]")
    _check_appliances(case, name)
    _check_retests(case, name)
    zone, house = case.zone.volume_ft3, case.house.volume_ft3
    if zone and house and zone > house * 1.5:
        raise InputError(f"{name}: zone.volume_ft3 = {zone:g}: larger than the house ({house:g} ft3)")
    vent = case.vent
    lateral, whole = vent.connector_lateral_ft, vent.connector_length_ft
    if lateral is not None and whole is not None and lateral > whole + 1e-9:
        raise InputError(
            f"{name}: vent.connector_lateral_ft = {lateral:g}: longer than the whole connector "
            f"(connector_length_ft = {whole:g})"
        )
    if vent.connector_rise_ft is not None and vent.height_ft is not None and vent.connector_rise_ft > vent.height_ft:
        raise InputError(
            f"{name}: vent.connector_rise_ft = {vent.connector_rise_ft:g}: more than the whole height "
            f"(height_ft = {vent.height_ft:g}, hood outlet to vent top)"
        )


def _check_appliances(case: Case, name: str) -> None:
    """Refuse appliances of one name, a vent that is shared and not shared, and a record that never judged the heater."""
    names = [HEATER, *(one.name for one in listed(case.appliance))]
    twice = sorted({one for one in names if names.count(one) > 1})
    if twice:
        raise InputError(
            f"{name}: appliance.name = {_shown(twice[0])}: names must differ, and {HEATER!r} is the heater of [heater]"
        )
    for i, one in enumerate(listed(case.appliance), 1):
        lateral, whole = one.connector_lateral_ft, one.connector_length_ft
        if lateral is not None and whole is not None and lateral > whole + 1e-9:
            raise InputError(
                f"{name}: appliance[{i}].connector_lateral_ft = {lateral:g}: longer than the whole connector "
                f"(connector_length_ft = {whole:g})"
            )
        if one.vent != "with the heater":
            continue
        if case.vent.shared is False:
            raise InputError(
                f"{name}: vent.shared = false: appliance[{i}] ({_shown(one.name)}) uses the heater's vent; "
                "change one of them"
            )
        if one.draft == "sealed":
            raise InputError(
                f"{name}: appliance[{i}].draft = 'sealed': a sealed appliance has its own vent; write vent = \"own\""
            )
    if all(run.appliance is not None for run in case.run):
        raise InputError(
            f"{name}: run: no run judged the heater; the advice is about it: leave 'appliance' out of a run that did"
        )


def _check_burners_of_run(case: Case, run: Run, place: str) -> None:
    """Refuse a run that names an appliance that nobody listed, or the judged one among those that fired besides."""
    names = [one.name for one in listed(case.appliance)]
    if run.appliance is not None and run.appliance not in names:
        raise InputError(
            f"{place}.appliance = {_shown(run.appliance)}: no such [[appliance]]{suggest(cut(run.appliance), map(cut, names))}; "
            f"allowed: {_listing(names) or 'none is listed'}; leave it out for the heater"
        )
    judged = run.appliance or HEATER
    for other in listed(run.firing):
        if other == judged:
            raise InputError(f"{place}.firing = {_shown(other)}: that is the one that was judged; name the others")
        if other not in (HEATER, *names):
            raise InputError(
                f"{place}.firing = {_shown(other)}: no such [[appliance]]{suggest(cut(other), map(cut, names))}; "
                f"allowed: {_listing([n for n in (HEATER, *names) if n != judged]) or 'none is listed'}"
            )


def _check_retests(case: Case, name: str) -> None:
    """Refuse work that does not exist, and a draft-hood reading where the work left no hood."""
    remedies = {row["id"]: row for row in catalog.table("remedies")}
    for i, run in enumerate(case.run, 1):
        if run.after_work is None:
            if run.seen == "no hood":
                raise InputError(f"{name}: run[{i}].seen = 'no hood': only a retest after a change of heater has none")
            continue
        members = run.after_work.split("+")
        for member in members:
            if member == "leave_as_found":
                raise InputError(
                    f"{name}: run[{i}].after_work = {run.after_work!r}: leaving it as it is is no work; leave the key out"
                )
            if member not in remedies:
                raise InputError(
                    f"{name}: run[{i}].after_work = {_shown(run.after_work)}: no such option{suggest(member, remedies)}; "
                    f"allowed: {', '.join(remedies)}, or several joined by '+'"
                )
        hood = run.appliance is not None or all(remedies[m]["leaves_hood"] == "yes" for m in members)
        read = [k for k in ("seconds_to_draft", "draft_pa") if getattr(run, k) is not None]
        if not hood and (run.seen in ("drafting", "spilling", "reversed") or read):
            key = read[0] if run.seen == "no hood" else "seen"
            raise InputError(
                f"{name}: run[{i}].{key} = {getattr(run, key)!r}: after {_shown(run.after_work)} there is no draft hood to "
                'judge; write seen = "no hood" (or "unclear"), the CO in the room, and no draft'
            )
        if hood and run.seen == "no hood":
            raise InputError(
                f"{name}: run[{i}].seen = 'no hood': after {_shown(run.after_work)} the heater still has its hood"
            )
