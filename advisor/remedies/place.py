"""Options that are not offered where the heater stands, whatever is simulated: in a manufactured home, and outdoors."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.case.model import Case
from advisor.codes import places
from advisor.facts.place import not_known_to_be_listed, work_of
from advisor.findings import Words, finding

MOVES_HOUSE_AIR = (
    *("indoor_openings", "mechanical_air", "passive_makeup_air", "powered_makeup_air", "isolate_zone"),
    *("smaller_hood", "recirculating_hood", "ventless_dryer", "balanced_ventilation", "seal_return_leaks"),
)
"""Options that change the air of the house or its way to the heater: without effect on one that stands outdoors."""


def not_offered(case: Case, members: Iterable[str]) -> tuple[Words, ...]:
    """Return why an option is not offered where the heater stands; empty where it is.

    Parameters
    ----------
    case : Case
        What was found.
    members : iterable of str
        The option, or the parts of one that is done together.

    Notes
    -----
    The refusal in a manufactured home is a setting of this program (``manufactured_open_burner``), since what the standard
    for such homes says was not read: it offers nothing there that it cannot hold against a rule.
    """
    found: list[Words] = []
    asked = places.rule("manufactured_open_burner").typical > 0.0  # a local amendment may take it away
    for member in members:
        work = work_of(member)
        flame = work.air_from in ("room", "outdoors", "isolated")
        fits = work.keeps_heater and not not_known_to_be_listed(case)
        if asked and case.house.manufactured and flame and not fits:
            found.append(finding("remedies.not_here.manufactured_open_burner"))
        if case.zone.kind == "outdoors" and member in MOVES_HOUSE_AIR:
            found.append(finding("remedies.not_here.outdoors"))
    return tuple(dict.fromkeys(found))
