"""One self-contained HTML page for the homeowner, the inspector or the contractor: no network, no script."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from advisor.advice import Advice
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Viewpoint
from advisor.report.page import inspector, quote, reader
from advisor.report.view.firm import Firm, read_firm
from advisor.report.view.units_text import System, Units

if TYPE_CHECKING:
    from jinja2 import Environment

Paper = Literal["letter", "a4"]
KINDS: dict[Viewpoint, str] = {
    "homeowner": "For the people who live here",
    "inspector": "Inspection report: water heater draft",
    "contractor": "Quote for corrective work",
}
PAPERS: dict[Paper, str] = {"letter": "letter", "a4": "A4"}

__all__ = ["Firm", "Paper", "read_firm", "render_page"]


@cache
def _environment() -> Environment:
    """Templates that escape everything and refuse names they do not know."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _sections(viewpoint: Viewpoint, view: dict[str, Any]) -> list[tuple[str, str]]:
    if view["confirmed"]:
        more = [("record", "Test record"), ("wording", "Wording"), ("limits", "Limits")]
        return [("after", "After the work"), *(more if viewpoint == "inspector" else [])]
    if viewpoint == "inspector":
        return [
            ("found", "Findings"),
            ("record", "Test record"),
            ("causes", "Causes"),
            ("codes", "Code review"),
            ("wording", "Wording"),
            ("options", "Options"),
            ("limits", "Limits"),
        ]
    if viewpoint == "contractor":
        options = [(f"option-{i}", f"Option {i}") for i in range(1, len(view["quotes"]) + 1)]
        return [("offer", "Quote"), *options, ("terms", "In and out"), ("signatures", "Signatures")]
    found = [("happened", "What happened"), ("choices", "Your choices")]
    if view["chart"]:
        found += [("chart-s", "Cost and risk"), ("means", "Living with it")]
    if view["interim"]:
        found.append(("until", "Until then"))
    return [*found, ("ask", "Ask the contractor"), ("sure", "How sure?")]


def render_page(
    advice: Advice,
    viewpoint: Viewpoint,
    firm: Firm | None = None,
    units: System = "us",
    paper: Paper = "letter",
    today: datetime.date | None = None,
    air_before: AirBalance | None = None,
    air_after: AirBalance | None = None,
) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    advice : Advice
        Worked-out advice, ranked for the same viewpoint.
    viewpoint : {"homeowner", "inspector", "contractor"}
        Who reads it.
    firm : Firm, optional
        Printed on the quote; blanks to fill in where there is none.
    units : {"us", "si"}
        Units of every number.
    paper : {"letter", "a4"}
        Page size in print.
    today : date, optional
        Date of the quote; blanks where there is none, so that the same advice gives the same page.
    air_before, air_after : AirBalance, optional
        Air of the house as found and after the first option, instead of those that the advice carries.

    Returns
    -------
    str
        One file: styles and drawings inside, no script, no reference to anything outside.
    """
    shown = Units(units)
    advice = shown.apply(advice)
    before = air_before or advice.air_before
    after = air_after or advice.air_after
    if viewpoint == "homeowner":
        view = reader.homeowner(advice, shown, before, after)
    elif viewpoint == "inspector":
        view = inspector.inspector(advice, shown, before, after)
    else:
        view = quote.contractor(advice, shown, before, after, firm, today)
    environment = _environment()
    kind = KINDS[viewpoint]
    style = environment.get_template("style.css.j2").render(paper=PAPERS[paper], kind=kind)
    # once work is confirmed, what was found before it is history for every reader
    name = "confirmed" if view["confirmed"] else viewpoint
    return environment.get_template(f"{name}.html.j2").render(
        v=view, kind=kind, style=style, sections=_sections(viewpoint, view)
    )
