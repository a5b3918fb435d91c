"""The one kind of error that a user can cause and mend."""

from __future__ import annotations

from collections.abc import Iterable


class InputError(Exception):
    """Something the user gave cannot be used; the message names the place, the value and what is allowed."""


def suggest(word: str, allowed: Iterable[str]) -> str:
    """Return ``" (did you mean 'x'?)"`` for the closest allowed word, or an empty string."""
    import difflib

    close = difflib.get_close_matches(word, list(allowed), n=1, cutoff=0.6)
    return f" (did you mean '{close[0]}'?)" if close else ""
