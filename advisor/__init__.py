"""Ranks what can be done when a natural-draft gas water heater spills.

>>> from advisor import Case, advise  # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from advisor.advice import Advice, advise
    from advisor.case.model import Case
    from advisor.case.read import parse_case, read_case

__version__ = "0.1.0"
__all__ = ["Advice", "Case", "__version__", "advise", "parse_case", "read_case"]

_HOMES = {
    "Advice": "advisor.advice",
    "advise": "advisor.advice",
    "Case": "advisor.case.model",
    "parse_case": "advisor.case.read",
    "read_case": "advisor.case.read",
}


def __getattr__(name: str) -> Any:
    # lazy, so that `import advisor` and `advisor --help` stay light
    if name in _HOMES:
        import importlib

        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'advisor' has no attribute {name!r}")
