"""The advice as a workbook: verdict, matrix, bill of work with live formulas, cash flow, checks, record, sources. No macros.

The verdict of the record leads. Once work is confirmed, nothing from before it is offered: only verdict, record and sources.

Change a price, a quantity, margin, tax or the price level on the sheet 'Bill of work': totals, matrix and cash flow move.
Every text is written as text, so nothing that a user typed can become a formula.
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor import catalog
from advisor.advice import Advice
from advisor.errors import InputError
from advisor.facts.audit import asked
from advisor.findings import Words, listed, quantity
from advisor.money.amount import TYPED
from advisor.ranking.options import Option
from advisor.report.data.table import cells, columns, row_of
from advisor.report.page.record import answers, check_view, readings
from advisor.report.view.appliances import appliance_lines
from advisor.report.view.choices import confirmed_lines, first_test_words, legend, ranked
from advisor.report.view.labels import label, named, sentence, slug
from advisor.report.view.present import money_caution, room_air
from advisor.report.view.unknowns import amendment_words, worth_knowing
from advisor.wording import verdict
from advisor.wording.checks import clause
from advisor.wording.speak import in_column, say, say_all, text
from advisor.wording.units import written

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

VERDICT, BILL, MATRIX, FLOW, CHECKS, RECORD, SOURCES = (
    "Verdict",
    "Bill of work",
    "Matrix",
    "Cash flow",
    "Code checks",
    "Test record",
    "Assumptions and sources",
)
"""Sheets, by their English names."""
LONGEST_NAME = 31
"""Characters that the file format allows for a sheet's name."""
MARGIN, TAX, REGION = "$C$3", "$C$4", "$C$5"
"""Cells of the bill that hold the contractor's settings."""
EPOCH = datetime.datetime(2000, 1, 1)
"""Written as the day of creation where none is given: the same advice gives the same file."""


def sheet_name(sheet: str) -> str:
    """Return the name of a sheet for the current reader: message ``workbook.sheet.<sheet>``."""
    return text(f"workbook.sheet.{slug(sheet)}")[:LONGEST_NAME]


def _heads(kind: str, names: tuple[str, ...]) -> list[str]:
    return [text(f"workbook.{kind}.{name}") for name in names]


class _Book:
    """A workbook with its formats, and where each option's totals stand."""

    def __init__(self, book: Workbook) -> None:
        self.book = book
        self.totals: dict[str, int] = {}
        name = sheet_name(BILL).replace("'", "''")
        self.bill = f"'{name}'"
        make = book.add_format
        self.plain: Format = make({"text_wrap": True, "valign": "top"})
        self.head: Format = make({"bold": True, "text_wrap": True, "valign": "bottom", "bottom": 2})
        self.title: Format = make({"bold": True, "font_size": 14})
        self.bold: Format = make({"bold": True, "text_wrap": True, "valign": "top"})
        self.money: Format = make({"num_format": "$#,##0;-$#,##0", "valign": "top"})
        self.sum: Format = make({"num_format": "$#,##0;-$#,##0", "bold": True, "top": 1, "valign": "top"})
        self.price: Format = make({"num_format": "$#,##0.00", "valign": "top", "bg_color": "#F4F1EA", "locked": False})
        self.input: Format = make({"num_format": "0.###", "valign": "top", "bg_color": "#F4F1EA", "locked": False})
        self.share: Format = make({"num_format": "0 %", "valign": "top"})
        self.percent_input: Format = make({"num_format": "0.0 %", "bg_color": "#F4F1EA", "locked": False})
        self.number: Format = make({"num_format": "0.##", "valign": "top"})

    def sheet(self, name: str, widths: list[float]) -> Worksheet:
        """Add a sheet with column widths, set up to print one page wide."""
        sheet = self.book.add_worksheet(sheet_name(name))
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_footer(f"&L&8{text('workbook.footer')}&R&8&A, {text('workbook.page', page='&P', pages='&N')}")
        return sheet

    def row(self, sheet: Worksheet, row: int, values: list[Any], form: Format | None = None) -> None:
        """Write a row: texts as text, numbers as numbers, None as nothing."""
        for column, value in enumerate(values):
            if value is None:
                continue
            if isinstance(value, str):
                sheet.write_string(row, column, value, form or self.plain)
            else:
                sheet.write_number(row, column, value, form or self.number)

    def heads(self, sheet: Worksheet, row: int, heads: list[str]) -> None:
        """Write the heads of a table, repeated in print and kept in view."""
        self.row(sheet, row, heads, self.head)
        sheet.freeze_panes(row + 1, 0)
        sheet.repeat_rows(row)


def write_workbook(advice: Advice, path: Path, today: datetime.date | None = None) -> None:
    """Write the advice as a workbook, for the current reader's units and language.

    Parameters
    ----------
    advice : Advice
        What to write.
    path : Path
        File to write.
    today : date, optional
        Day of creation in the file's properties.

    Raises
    ------
    InputError
        If the extra is missing, or the file cannot be written.
    """
    try:
        from xlsxwriter import Workbook
        from xlsxwriter.exceptions import FileCreateError
    except ImportError:
        raise InputError("the workbook needs the extra 'xlsx': pip install 'vent-remedy-advisor[xlsx]'") from None
    plain_text = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = Workbook(str(path), plain_text)
    created = EPOCH if today is None else datetime.datetime(today.year, today.month, today.day)
    book.set_properties({"title": advice.case.title, "created": created})
    one = _Book(book)
    _verdict(one, advice)
    if advice.verdict.leads != "confirmed":
        matrix = one.sheet(MATRIX, [column.sheet for column in columns() if column.sheet])
        _bill(one, advice)
        _matrix(one, matrix, advice)
        _flow(one, advice)
        _checks(one, advice)
    _record(one, advice)
    _sources(one, advice)
    try:
        book.close()
    except (FileCreateError, OSError) as error:
        raise InputError(f"{path}: cannot be written: {error}") from None


def _verdict(one: _Book, advice: Advice) -> None:
    """What the record says: state, dangers, what to do now, what was read, and every run condition by condition."""
    sheet, record = one.sheet(VERDICT, [34, 60, 18, 14, 16]), advice.verdict
    sheet.write_string(0, 0, text("text.markdown.record", title=verdict.title(record, advice.explained)), one.title)
    test = first_test_words(advice)
    states = listed(named("state", state) for state in record.states)
    dangers = (
        listed(named("danger", danger) for danger in record.dangers) if record.dangers else named("danger", "none")
    )
    confirmed = record.leads == "confirmed"
    rows: list[tuple[str, Words]] = [
        ("sentence", verdict.sentence(record, advice.explained)),
        ("states", states),
        ("dangers", dangers),
        *(("now", words) for words in advice.now),
        *(("appliance", words) for words in appliance_lines(record.others)),
        *(("beside", words) for words in advice.beside_options if not confirmed),
        *([("test_first", test)] if test else []),
        *(("air", words) for words in ([] if confirmed else room_air(advice))),
        *(("after", words) for words in (confirmed_lines(advice) if confirmed else [])),
    ]
    for row, (name, words) in enumerate(rows, 2):
        one.row(sheet, row, [text(f"workbook.verdict.{name}"), say(words)])
    row = 3 + len(rows)
    one.heads(sheet, row, _heads("condition", ("run", "condition", "state", "errs", "spoils")))
    heater = record.runs if record.leads != "confirmed" else record.present
    labelled = [(run.label, run) for run in heater]
    labelled += [
        (text("view.appliance.run", name=o.name, label=run.label), run) for o in record.others for run in o.runs
    ]
    for name, run in labelled:
        row += 1
        judged = text(
            "workbook.judged",
            outcome=named("outcome", run.outcome),
            limit=quantity(run.limit.limit_s, "s"),
            scheme=run.limit.scheme,
        )
        one.row(sheet, row, [name, judged], one.bold)
        for held in run.conditions:
            row += 1
            errs, spoils = label("errs", held.errs), text("workbook.yes") if held.spoils_pass else ""
            one.row(sheet, row, [name, say(asked(held)), label("met", held.state), errs, spoils])


def _shown(advice: Advice) -> list[Option]:
    """Options with a bill: the ranked ones first, then those that are not safe enough alone."""
    return [o for o in advice.options if o.bill and o.eligible]


def _bill(one: _Book, advice: Advice) -> None:
    sheet = one.sheet(BILL, [5, 56, 10, 10, 12, 12, 12, 9, 12, 12, 12, 8, 9, 16, 18])
    money = advice.case.money
    sheet.write_string(0, 0, text("workbook.bill.title"), one.title)
    for row, words, value, form in (
        (2, "margin", money.margin_pct / 100.0, one.percent_input),
        (3, "tax", money.tax_pct / 100.0, one.percent_input),
        (4, "price_level", money.region_factor, one.input),
    ):
        sheet.write_string(row, 1, text(f"workbook.bill.{words}"), one.plain)
        sheet.write_number(row, 2, value, form)
    heads = ("rank", "line", "quantity", "unit", "low_each", "typical_each", "high_each", "price", "low", "typical")
    one.heads(sheet, 6, _heads("bill", (*heads, "high", "hours", "assumed", "status", "source")))
    row = 7
    for option in _shown(advice):
        row = _option_bill(one, sheet, row, option, advice)


def _option_bill(one: _Book, sheet: Worksheet, row: int, option: Option, advice: Advice) -> int:
    rank = "" if option.rank is None else str(option.rank)
    one.row(sheet, row, [rank, sentence(option.title)], one.bold)
    first, catalog_price = row + 1, text("workbook.bill.catalog")
    money = advice.case.money
    factor = (1.0 + money.margin_pct / 100.0) * (1.0 + money.tax_pct / 100.0)
    for row, line in enumerate(option.bill, first):
        number, unit = in_column(written(line.quantity, line.unit))
        typed = line.status == TYPED
        # the formula multiplies back: a line without a quantity keeps its price as one unit
        count = number or 1.0
        sheet.write_string(row, 1, say(line.words), one.plain)
        sheet.write_number(row, 2, count, one.input)
        sheet.write_string(row, 3, unit, one.plain)
        prices = (line.low_usd, line.typical_usd, line.high_usd)
        for i, usd in enumerate(prices):
            sheet.write_number(row, 4 + i, usd / count, one.price)
        sheet.write_string(row, 7, text("workbook.bill.own") if typed else catalog_price, one.plain)
        for i, usd in enumerate(prices):
            cell = f"{'EFG'[i]}{row + 1}"
            words = f'=C{row + 1}*{cell}*IF(H{row + 1}="{catalog_price}",{REGION},1)*(1+{MARGIN})*(1+{TAX})'
            cached = usd * factor * (1.0 if typed else money.region_factor)
            sheet.write_formula(row, 8 + i, words, one.money, cached)
        if line.labour_h is not None:
            sheet.write_number(row, 11, line.labour_h, one.number)
        sheet.write_string(row, 12, text("workbook.bill.assumed") if line.assumed else "", one.plain)
        sheet.write_string(row, 13, label("status", line.status), one.plain)
        sheet.write_string(row, 14, line.source, one.plain)
    last = first + len(option.bill) - 1
    off, total = last + 1, last + 2
    sheet.write_string(off, 1, text("workbook.bill.incentive", source=money.incentive_source).strip(), one.plain)
    sheet.write_number(off, 2, option.incentive_usd, one.input)
    sheet.write_string(total, 1, text("workbook.bill.total"), one.bold)
    cost = option.installed_cost_usd
    for i, usd in enumerate((cost.low, cost.typical, cost.high)):
        column = "IJK"[i]
        words = f"=MAX(0,SUM({column}{first + 1}:{column}{last + 1})-$C${off + 1})"
        sheet.write_formula(total, 8 + i, words, one.sum, usd)
    one.totals[option.id] = total + 1
    return total + 2


def _matrix(one: _Book, sheet: Worksheet, advice: Advice) -> None:
    sheet.write_string(0, 0, advice.case.title, one.title)
    shown = [column for column in columns() if column.sheet]
    one.heads(sheet, 2, [column.heading for column in shown])
    forms = {"text": one.plain, "number": one.number, "share": one.share, "money": one.money}
    for row, option in enumerate(advice.options, 3):
        values = cells(row_of(option))
        for place, column in enumerate(shown):
            value = values[column.name]
            if value is None or (column.form in ("share", "money") and not option.eligible):
                continue
            if column.live and option.id in one.totals:
                words = f"={one.bill}!{column.live}{one.totals[option.id]}"
                cost = option.installed_cost_usd
                exact = {"I": cost.low, "J": cost.typical, "K": cost.high}[column.live]
                sheet.write_formula(row, place, words, one.money, exact)
            elif column.form == "text":
                sheet.write_string(row, place, sentence(value) if column.name == "option" else value, one.plain)
            else:
                sheet.write_number(row, place, value, forms[column.form])
    row = 4 + len(advice.options)
    for said in filter(None, say_all((*advice.now, money_caution(advice), legend(advice)))):
        sheet.write_string(row, 1, said)
        row += 1


FLOW_HEADS = (
    *("year", "first", "replacement", "replacement_present", "energy", "upkeep"),
    *("residual", "paid", "present", "running"),
)


def _flow(one: _Book, advice: Advice) -> None:
    sheet = one.sheet(FLOW, [8, 14, 14, 16, 12, 12, 14, 14, 16, 16])
    sheet.write_string(0, 0, text("workbook.flow.title"), one.title)
    options = [o for o in ranked(advice) if o.lifetime.cash_flow]
    sheet.write_string(2, 0, text("workbook.flow.rate"), one.plain)
    sheet.write_number(2, 3, options[0].lifetime.discount_rate if options else 0.0, one.percent_input)
    row = 4
    for option in options:
        one.row(sheet, row, [str(option.rank), sentence(option.title)], one.bold)
        one.row(sheet, row + 1, _heads("flow", FLOW_HEADS), one.head)
        rate = option.lifetime.discount_rate
        start = row + 2
        running = 0.0
        for row, year in enumerate(option.lifetime.cash_flow, start):
            n = row + 1
            level = (year.energy_usd + year.upkeep_usd - year.residual_usd) / (1.0 + rate) ** year.year
            replaced_now = year.present_value_usd - year.first_usd - level
            paid, present, first = year.paid_usd, year.present_value_usd, year.first_usd
            sheet.write_number(row, 0, year.year, one.number)
            if year.year == 0 and option.id in one.totals:
                off = year.first_usd - option.installed_cost_usd.typical
                first, paid, present = first - off, paid - off, present - off
                sheet.write_formula(row, 1, f"={one.bill}!J{one.totals[option.id]}", one.money, first)
            else:
                sheet.write_number(row, 1, first, one.money)
            running += present
            cells = (year.replacement_usd, replaced_now, year.energy_usd, year.upkeep_usd, year.residual_usd)
            for i, usd in enumerate(cells):
                sheet.write_number(row, 2 + i, usd, one.money)
            sheet.write_formula(row, 7, f"=B{n}+C{n}+E{n}+F{n}-G{n}", one.money, paid)
            sheet.write_formula(row, 8, f"=B{n}+D{n}+(E{n}+F{n}-G{n})/(1+$D$3)^A{n}", one.money, present)
            before = "" if row == start else f"J{n - 1}+"
            sheet.write_formula(row, 9, f"={before}I{n}", one.money, running)
        row += 2


def _checks(one: _Book, advice: Advice) -> None:
    sheet = one.sheet(CHECKS, [34, 34, 14, 34, 70, 16, 24])
    one.heads(sheet, 0, _heads("checks", ("applies_to", "rule", "verdict", "clause", "finding", "status", "source")))
    rows = [(text("workbook.checks.house"), c) for c in advice.review]
    rows += [(sentence(o.title), c) for o in _shown(advice) for c in o.checks]
    for row, (what, check) in enumerate(rows, 1):
        view = check_view(check)
        one.row(
            sheet,
            row,
            [what, view["rule"], view["verdict"], say(clause(check)), view["official"], view["status"], check.source],
        )
    if rows:
        sheet.autofilter(0, 0, len(rows), 6)


def _record(one: _Book, advice: Advice) -> None:
    sheet = one.sheet(RECORD, [34, 40, 14, 12])
    sheet.write_string(0, 0, text("inspector.head.audit"), one.title)
    row = 2
    for run, found in zip(advice.case.run, advice.audits, strict=True):
        sheet.write_string(row, 0, run.label, one.bold)
        sheet.write_string(row, 1, say(found.shows), one.plain)
        row += 1
        for words, shown in answers(run):
            one.row(sheet, row, [words, shown])
            row += 1
        for words, read in readings(run):
            one.row(sheet, row, [words, *in_column(read)])
            row += 1
        for shortfall in found.shortfalls:
            one.row(sheet, row, [text("workbook.record.not_as_asked"), say(shortfall)])
            row += 1
        if found.missing:
            one.row(sheet, row, [label("answer", "not written down"), say(listed(found.missing))])
            row += 1
        row += 1


def _sources(one: _Book, advice: Advice) -> None:
    sheet = one.sheet(SOURCES, [30, 90, 20, 50])
    sheet.write_string(0, 0, text("workbook.sheet.assumptions_and_sources"), one.title)
    row = 2
    groups = (
        ("assumed", worth_knowing(advice.assumed)),
        ("amendment", say_all(amendment_words(advice.amendments))),
        ("caution", say_all(advice.cautions)),
        ("legend", [legend(advice)]),
    )
    for name, items in groups:
        for words in items:
            one.row(sheet, row, [text(f"workbook.sources.{name}"), words])
            row += 1
    row += 1
    one.row(sheet, row, _heads("sources", ("source", "title", "edition", "address")), one.head)
    known = catalog.sources()
    for name in sorted(_named(advice)):
        entry = known.get(name)
        if entry is not None:
            row += 1
            one.row(sheet, row, [name, entry["title"], entry.get("edition", ""), entry.get("url", "")])


def _named(advice: Advice) -> set[str]:
    """Return the source ids that bills and checks of the shown options rest on."""
    lines = [line.source for o in _shown(advice) for line in o.bill]
    checks = [c.source for o in _shown(advice) for c in o.checks] + [c.source for c in advice.review]
    return {name.strip() for text in (*lines, *checks) for name in text.split(";") if name.strip()}
