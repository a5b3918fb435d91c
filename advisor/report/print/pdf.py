"""The page in print: the same HTML, its paged styles, as a PDF."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Literal

from advisor.errors import InputError

MISSING = (
    "PDF needs the extra 'pdf' (pip install 'vent-remedy-advisor[pdf]') and the system libraries pango and harfbuzz "
    "(Debian: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0); --format html needs neither"
)


def write_pdf(html: str, path: Path, paper: Literal["letter", "a4"] = "letter") -> None:
    """Write a page as PDF.

    Parameters
    ----------
    html : str
        From `advisor.report.page.render_page`.
    path : Path
        File to write.
    paper : {"letter", "a4"}
        Page size; goes before the one in the page.

    Raises
    ------
    InputError
        If the extra or its system libraries are missing, or the file cannot be written.
    """
    try:
        from weasyprint import CSS, HTML
        from weasyprint.urls import URLFetcher
    except (ImportError, OSError):
        raise InputError(MISSING) from None
    # the engine warns about screen-only styles on every page: not the reader's business
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)
    size = CSS(string=f"@page{{size:{'A4' if paper == 'a4' else 'letter'} !important}}")
    # a page refers to nothing outside itself; whatever does is left out
    nothing = URLFetcher(allowed_protocols=())
    data = HTML(string=html, url_fetcher=nothing).write_pdf(stylesheets=[size])
    try:
        path.write_bytes(data)
    except OSError as error:
        raise InputError(f"{path}: cannot be written: {error.strerror or error}") from None
