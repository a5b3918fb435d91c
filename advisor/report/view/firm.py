"""Who quotes: a small TOML file of the contractor's, as strict as a case file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError

from advisor.case.parts import Strict, Text
from advisor.errors import InputError, suggest

MAX_BYTES = 100_000
Line = Annotated[str, Field(max_length=200)]


class Firm(Strict):
    """Details printed on a quote. Only the name is required."""

    name: Text = Field(description="Name of the firm.")
    address: Annotated[list[Line], Field(max_length=6)] = Field(default_factory=list, description="Address lines.")
    phone: Line = Field("", description="Telephone.")
    email: Line = Field("", description="Mail address.")
    license: Line = Field("", description="Licence number and who issued it.")
    insurance: Line = Field("", description="Insurance.")
    quote_valid_days: Annotated[int, Field(ge=1, le=365)] | None = Field(None, description="Days a quote stands.")
    payment_terms: Annotated[str, Field(max_length=1000)] = Field("", description="Payment terms.")
    exclusions: Annotated[list[Line], Field(max_length=20)] = Field(default_factory=list, description="Exclusions.")
    signatory: Line = Field("", description="Who signs.")


def read_firm(path: Path) -> Firm:
    """Read a firm's details.

    Parameters
    ----------
    path : Path
        TOML file of at most 100 kB.

    Returns
    -------
    Firm

    Raises
    ------
    InputError
        With the file, the key, the value and what is allowed.
    """
    try:
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror or error}") from None
    if len(data) > MAX_BYTES:
        raise InputError(f"{path}: larger than {MAX_BYTES // 1000} kB; a firm's file has a few lines")
    try:
        content = tomllib.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"{path}: not valid TOML: {error}") from None
    try:
        return Firm.model_validate(content)
    except ValidationError as error:
        raise InputError(f"{path}: {_problem(error)}") from None


def _problem(error: ValidationError) -> str:
    problems = error.errors(include_url=False)
    first = next((p for p in problems if p["type"] == "extra_forbidden"), problems[0])
    allowed = list(Firm.model_fields)
    key = ".".join(str(part) for part in first["loc"])
    if first["type"] == "extra_forbidden":
        return f"{key}: unknown key{suggest(key, allowed)}; allowed: {', '.join(allowed)}"
    if first["type"] == "missing":
        return f"{key}: required but missing"
    shown = repr(first.get("input"))
    return f"{key} = {shown if len(shown) <= 60 else shown[:57] + '...'}: {first['msg']}"
