"""A catalog table as text, with the sources it names."""

from __future__ import annotations

from advisor import catalog
from advisor.wording.row_names import row_names
from advisor.wording.speak import text


def catalog_text(name: str | None, width: int = 100) -> str:
    """Return the list of tables, or one table with its sources spelled out.

    Raises
    ------
    InputError
        If there is no such table.
    """
    from tabulate import tabulate

    if name is None:
        rows = [(n, len(catalog.table(n))) for n in catalog.names()]
        return tabulate(rows, ["table", "rows"], tablefmt="simple") + f"\n\ndata {catalog.digest()}\n"
    table = catalog.table(name)
    heads = list(table[0]) if table else []
    cells = [[row[h] or "" for h in heads] for row in table]
    words = row_names(name)
    if words:
        heads.insert(1, text("text.catalog.name"))
        cells = [[first, said, *others] for (first, *others), said in zip(cells, words, strict=True)]
    widest = max(12, (width - 2 * len(heads)) // max(len(heads), 1))
    shown = tabulate(
        cells, heads, tablefmt="simple", disable_numparse=True, maxcolwidths=[max(widest, 18)] * len(heads)
    )
    ids = sorted({s for row in table for key in row if "source" in key for s in (row[key] or "").split(";") if s})
    known = catalog.sources()
    lines = [f"- {i}: {known[i]['title']} ({known[i]['edition']})" for i in ids if i in known]
    return shown + "\n\nSources\n" + "\n".join(lines) + "\n"
