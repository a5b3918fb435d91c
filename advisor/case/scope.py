"""What the program is not made for, refused in one line that says what to do instead."""

from __future__ import annotations

from advisor import catalog
from advisor.case.model import Case
from advisor.errors import InputError, suggest

__all__ = ["check_scope"]

FAN = ("fan-assisted", "power-vented", "sealed")
"""Heaters without an open draft hood: the draft test and every remedy here are about one."""
PROVINCES = ("AB", "BC", "MB", "NB", "NL", "NS", "NT", "NU", "ON", "PE", "QC", "SK", "YT")
"""Canadian provinces and territories (postal letters, common practice)."""
STOP = "if a CO alarm sounds or anyone feels ill, leave and call for help from outside; if it spills, turn its gas off"


def check_scope(case: Case, name: str) -> None:
    """Refuse a case that the rules and the physics in here do not cover.

    Raises
    ------
    InputError
        For a heater without a draft hood, one that burns oil, and a house outside the United States.
    """
    heater = case.heater
    if heater.draft in FAN:
        raise InputError(
            f"{name}: heater.draft = {heater.draft!r}: only a natural-draft heater with an open hood is judged and ranked here; "
            f"{STOP}, and have the maker's service or a licensed contractor check fan, pressure switch, vent joints and terminal"
        )
    if heater.fuel == "oil":
        raise InputError(
            f"{name}: heater.fuel = 'oil': the vent tables, limits and prices here are for gas; {STOP.replace('gas', 'burner')}, "
            "and have a licensed oil technician set the draft regulator and test smoke and draft"
        )
    _check_state(case.house.state, name)


def _check_state(state: str | None, name: str) -> None:
    """Refuse letters that are no US state; those of Canada get their own line."""
    if state is None:
        return
    known = [row["state"] for row in catalog.table("energy_prices_state")]
    if state in PROVINCES:
        raise InputError(
            f"{name}: house.state = {state!r}: in Canada CSA B149.1 and the province's rules hold; their tables were not read. "
            "Leave house.state out to see the physics alone, and take sizes from the code and the gas authority there"
        )
    if state not in known:
        raise InputError(
            f"{name}: house.state = {state!r}: no US state{suggest(state, known)}; give two letters such as OH or leave it out"
        )
