"""How long the page, its print and the workbook take beyond the ranking: prints seconds, and their share of the ranking."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from advisor.advice import advise
from advisor.case.read import read_case
from advisor.report.data.workbook import write_workbook
from advisor.report.page.build import render_page
from advisor.report.print.pdf import write_pdf

ROOT = Path(__file__).resolve().parents[2]


def main() -> None:
    """Measure the demo whose advice takes longest."""
    case = read_case(ROOT / "demo" / "lone_heater_brick_chimney.toml")
    start = time.perf_counter()
    advice = advise(case)
    ranking = time.perf_counter() - start
    print(f"ranking                 {ranking:6.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        for view in ("homeowner", "inspector", "contractor"):
            start = time.perf_counter()
            page = render_page(advice, view)  # type: ignore[arg-type]
            made = time.perf_counter() - start
            start = time.perf_counter()
            write_pdf(page, Path(folder) / "page.pdf")
            printed = time.perf_counter() - start
            print(f"{view:<12} page {made:6.3f} s   print {printed:6.2f} s   ({printed / ranking:.2f} of the ranking)")
        start = time.perf_counter()
        write_workbook(advice, Path(folder) / "book.xlsx")
        print(f"workbook                {time.perf_counter() - start:6.2f} s")


if __name__ == "__main__":
    main()
