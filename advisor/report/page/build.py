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
from advisor.wording.speak import reader as current_reader
from advisor.wording.speak import text

if TYPE_CHECKING:
    from jinja2 import Environment

Paper = Literal["letter", "a4"]
PAPERS: dict[Paper, str] = {"letter": "letter", "a4": "A4"}

__all__ = ["Firm", "Paper", "read_firm", "render_page"]


@cache
def _environment() -> Environment:
    """Templates that escape everything and refuse names they do not know."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        extensions=["jinja2.ext.i18n"],
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # messages are called by their ids and fill their own places; what they return is text and is escaped
    environment.install_gettext_callables(text, _plural, newstyle=False)  # type: ignore[attr-defined]
    return environment


def _plural(message: str, _: str, count: int) -> str:
    return text(message, count=count)


def _sections(viewpoint: Viewpoint, view: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the sections of a page for its list of contents: ids and names."""
    if view["confirmed"]:
        return _named("after", *(("record", "wording", "limits") if viewpoint == "inspector" else ()))
    if viewpoint == "inspector":
        return _named("found", "record", "causes", "codes", "wording", "options", "limits")
    if viewpoint == "contractor":
        numbers = range(1, len(view["quotes"]) + 1)
        options = [(f"option-{i}", text("page.nav.option", number=i)) for i in numbers]
        return [*_named("offer"), *options, *_named("terms", "signatures")]
    chart = ("chart-s", "means") if view["chart"] else ()
    until = ("until",) if view["interim"] else ()
    return _named("happened", "choices", *chart, *until, "ask", "sure")


def _named(*ids: str) -> list[tuple[str, str]]:
    return [(one, text(f"page.nav.{one.replace('-', '_')}")) for one in ids]


def render_page(
    advice: Advice,
    viewpoint: Viewpoint,
    firm: Firm | None = None,
    paper: Paper = "letter",
    today: datetime.date | None = None,
    air_before: AirBalance | None = None,
    air_after: AirBalance | None = None,
) -> str:
    """Return the page as HTML, for the current reader's units and language (``wording.speak.speaking``).

    Parameters
    ----------
    advice : Advice
        Worked-out advice, ranked for the same viewpoint.
    viewpoint : {"homeowner", "inspector", "contractor"}
        Who reads it.
    firm : Firm, optional
        Printed on the quote; blanks to fill in where there is none.
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
    before = air_before or advice.air_before
    after = air_after or advice.air_after
    if viewpoint == "homeowner":
        view = reader.homeowner(advice, before, after)
    elif viewpoint == "inspector":
        view = inspector.inspector(advice, before, after)
    else:
        view = quote.contractor(advice, before, after, firm, today)
    environment = _environment()
    kind = text(f"page.kind.{viewpoint}")
    style = environment.get_template("style.css.j2").render(paper=PAPERS[paper], kind=kind)
    # once work is confirmed, what was found before it is history for every reader
    name = "confirmed" if view["confirmed"] else viewpoint
    return environment.get_template(f"{name}.html.j2").render(
        v=view, kind=kind, style=style, sections=_sections(viewpoint, view), language=current_reader().language
    )
