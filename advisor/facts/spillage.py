"""The published time within which spillage must stop: which line judges a run, a cold vent, a warm one."""

from __future__ import annotations

from advisor.case.model import Case
from advisor.codes.limits import SpillageLine, spillage_line

WARM, COLD = "bpi1200_wh", "bpi1200_cold"


def limit_for(case: Case, vent_cold: bool | None) -> SpillageLine:
    """Return the published line that judges spillage.

    Parameters
    ----------
    case : Case
        Its settings name the scheme; ``bpi1200`` follows the vent's state as that standard prints it.
    vent_cold : bool or None
        Had the vent cooled down before the burner lit? Where nobody wrote that down, the shorter time judges.

    Returns
    -------
    SpillageLine
        Row of ``catalog/codes/spillage_time.csv``, with its time in s.
    """
    scheme = case.settings.spillage_scheme
    if scheme != "bpi1200":
        return spillage_line(scheme)
    return spillage_line(COLD if vent_cold else WARM)


def allowed_seconds(case: Case) -> float:
    """Return the allowed time in the worst case, which starts on a cold vent, s."""
    return limit_for(case, vent_cold=True).limit_s
