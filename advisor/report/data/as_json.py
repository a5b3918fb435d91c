"""The advice as JSON with a stable, published schema. Same seed, same bytes."""

from __future__ import annotations

import json
from typing import Any

from advisor.advice import Advice
from advisor.report.data.advice_model import SCHEMA_VERSION, declared

__all__ = ["SCHEMA_VERSION", "as_dict", "as_json"]


def as_dict(advice: Advice) -> dict[str, Any]:
    """Return the advice as plain data."""
    return declared(advice).model_dump(mode="json")


def as_json(advice: Advice) -> str:
    """Return the advice as JSON text."""
    return json.dumps(as_dict(advice), indent=2, ensure_ascii=False) + "\n"
