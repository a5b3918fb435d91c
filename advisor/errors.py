"""The one kind of error that a user can cause and mend."""

from __future__ import annotations

from collections.abc import Iterable


class InputError(Exception):
    """Something the user gave cannot be used; the message names the place, the value and what is allowed.

    Parameters
    ----------
    message : str
        The sentence.
    suggested : bool
        True where it already names what may have been meant.
    """

    def __init__(self, message: str, suggested: bool = False) -> None:
        super().__init__(message)
        self.suggested = suggested


def suggest(word: str, allowed: Iterable[str]) -> str:
    """Return ``" (did you mean 'x'?)"`` for the closest allowed word, or an empty string."""
    import difflib

    close = difflib.get_close_matches(word, list(allowed), n=1, cutoff=0.6)
    return f" (did you mean '{close[0]}'?)" if close else ""
