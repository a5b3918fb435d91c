"""Plain numbers or arrays of them: the one type, and the one range check, of what is counted for a household."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from advisor.errors import InputError

Amount = float | NDArray[np.float64]

TYPED = "typed"  # status of a value the user gave: never mixed up with a status of the catalog


def require(name: str, value: Amount, low: float = 0.0, high: float = np.inf, *, above_low: bool = False) -> Amount:
    """Return `value` when every element is a finite number within the range.

    Parameters
    ----------
    name : str
        Name of the number, with its unit as suffix, for the message.
    value : float or ndarray
        One number or an array of any shape.
    low, high : float
        Allowed range, ends included.
    above_low : bool
        Leave the low end out (for divisors).

    Raises
    ------
    InputError
        If an element is NaN, infinite or out of range.
    """
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise InputError(f"{name}: {value!r} is not a number") from None
    fine = np.isfinite(array) & ((array > low) if above_low else (array >= low)) & (array <= high)
    if not np.all(fine):
        worst = float(array[~fine].flat[0])
        raise InputError(
            f"{name}: {worst:g} is not allowed; give a number {'above' if above_low else 'at least'} {low:g}"
            + ("" if np.isinf(high) else f" and at most {high:g}")
        )
    return array if array.ndim else float(array)
