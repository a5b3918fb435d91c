"""The commands. Heavy imports stay inside the functions: ``advisor --help`` must answer at once."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from advisor import __version__
from advisor.around import progress, rules_in_force, today
from advisor.errors import InputError

if TYPE_CHECKING:
    from advisor.advice import Advice
    from advisor.case.model import Case

app = typer.Typer(
    add_completion=True,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Rank what can be done when a natural-draft gas water heater spills.",
    epilog="An aid to a licensed practitioner: local codes, the listing and the authority having jurisdiction govern.",
)


class For(StrEnum):
    """Whose weights rank the options."""

    contractor = "contractor"
    inspector = "inspector"
    homeowner = "homeowner"


class Layout(StrEnum):
    """Form of the output."""

    table = "table"
    markdown = "markdown"
    csv = "csv"
    json = "json"


class ReportForm(StrEnum):
    """Form of a report."""

    html = "html"
    pdf = "pdf"
    xlsx = "xlsx"
    markdown = "markdown"
    text = "text"


class UnitSystem(StrEnum):
    """Units of an output."""

    us = "us"
    si = "si"


class PaperSize(StrEnum):
    """Paper of a print."""

    letter = "letter"
    a4 = "a4"


UnitsOption = Annotated[UnitSystem, typer.Option("--units", help="Units of every number.")]
LanguageOption = Annotated[str, typer.Option("--language", help="Language of the text: a folder of catalog/texts.")]
CaseFile = Annotated[Path, typer.Argument(help="Case file (TOML).", show_default=False)]
ForOption = Annotated[For, typer.Option("--for", help="Whose weights rank the options.")]
OutputOption = Annotated[Path | None, typer.Option("--output", help="Write to this file instead of the screen.")]
SamplesOption = Annotated[int, typer.Option(help="Situations to draw.", min=64, max=65536)]
SeedOption = Annotated[int, typer.Option(help="Seed: same seed, same answer.", min=0, max=2**31 - 1)]
LocalOption = Annotated[Path | None, typer.Option("--local", help="Local amendments of code rules (TOML).")]
EditionOption = Annotated[
    str, typer.Option("--edition", help="Code edition: a folder of catalog/codes/editions, or a path.")
]
PricesOption = Annotated[Path | None, typer.Option("--prices", help="Your own price file (CSV).")]


def _fail(message: str) -> NoReturn:
    typer.echo(f"advisor: {message}", err=True)
    raise typer.Exit(2)


@contextmanager
def _plain_errors() -> Iterator[None]:
    """Turn what the user can mend into one line and exit code 2."""
    try:
        yield
    except InputError as error:
        _fail(str(error))


@contextmanager
def _reader(units: UnitSystem, language: str) -> Iterator[None]:
    """Speak to a reader of these units and this language; turn what the user can mend into one line and exit code 2."""
    from advisor.wording.speak import speaking

    with _plain_errors(), speaking(units.value, language):
        yield


def _write(text: str, output: Path | None) -> None:
    if output is None:
        try:
            sys.stdout.write(text)
            sys.stdout.flush()
        except BrokenPipeError:  # the reader has seen enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return
    try:
        output.write_text(text, encoding="utf-8")
    except OSError as error:
        _fail(f"--output {output}: cannot be written: {error.strerror or error}")


def _case(case_file: Path) -> Case:
    """Read a case; say on stderr where it is of an older form."""
    from advisor.case.read import case_of, plain_data, read_text
    from advisor.case.upgrade import is_old

    data = plain_data(read_text(case_file), str(case_file))
    case = case_of(data, str(case_file))
    if is_old(data):
        typer.echo(
            f"advisor: {case_file}: an older form, read as [[appliance]]; 'advisor upgrade {case_file}' rewrites it",
            err=True,
        )
    return case


def _advice(
    case_file: Path,
    view: For,
    samples: int,
    seed: int,
    prices: Path | None,
    local: Path | None = None,
    edition: str = "",
) -> Advice:
    from advisor.advice import advise
    from advisor.money.prices import NO_OVERRIDES, load_price_file

    case = _case(case_file)
    overrides = NO_OVERRIDES if prices is None else load_price_file(prices)
    with rules_in_force(local, edition), progress("drawing situations that fit the record ..."):
        return advise(case, view.value, samples, seed, overrides, today())


def _width(width: int | None) -> int:
    import shutil

    return max(80, min(width or shutil.get_terminal_size((100, 24)).columns, 160))


def _version(value: bool) -> None:
    if value:
        typer.echo(f"advisor {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


@app.command()
def rank(
    case_file: CaseFile,
    view: ForOption = For.homeowner,
    layout: Annotated[Layout, typer.Option("--format", help="Form of the output.")] = Layout.table,
    output: OutputOption = None,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    prices: PricesOption = None,
    local: LocalOption = None,
    edition: EditionOption = "",
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
    width: Annotated[int | None, typer.Option(help="Columns of the table.", min=80, max=400)] = None,
) -> None:
    """Rank the remedies for a case and print the comparison matrix."""
    with _reader(units, language):
        advice = _advice(case_file, view, samples, seed, prices, local, edition)
        if layout is Layout.json:
            from advisor.report.data.as_json import as_json

            text = as_json(advice)
        else:
            if layout is Layout.csv:
                from advisor.report.data.table import as_csv

                text = as_csv(advice)
            else:
                bold = output is None and sys.stdout.isatty() and not os.environ.get("NO_COLOR")
                text = _text_of(advice, layout.value, _width(width), bold)
        _write(text, output)


@app.command()
def new(case_file: Annotated[Path, typer.Argument(help="Case file to write or to go on with.")]) -> None:
    """Ask for a case at the keyboard; every answer is kept, and a stopped interview goes on where it stopped."""
    with _plain_errors():
        from advisor.new_case import interview

        code = interview(case_file)
    raise typer.Exit(code)


@app.command()
def upgrade(case_file: CaseFile) -> None:
    """Rewrite a case file of an older form under today's names; comments stay, and the file is replaced in one step."""
    with _plain_errors():
        from advisor.case.read import parse_case, plain_data, read_text
        from advisor.case.upgrade import is_old
        from advisor.case.upgrade_file import upgraded_text
        from advisor.case.write import write_atomically

        text = read_text(case_file)
        if not is_old(plain_data(text, str(case_file))):
            parse_case(text, str(case_file))
            typer.echo(f"{case_file}: already of today's form; nothing was changed")
            return
        parse_case(text, str(case_file))
        write_atomically(case_file, upgraded_text(text))
    typer.echo(f"{case_file}: rewritten; its other appliances are [[appliance]] now")


@app.command()
def check(
    case_file: CaseFile,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    local: LocalOption = None,
    edition: EditionOption = "",
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Validate a case, audit its runs, hold them against the explanation and the codes, and say what is missing."""
    with _reader(units, language):
        case = _case(case_file)
        from advisor.case_check import check_case
        from advisor.report.text.check import check_text

        with rules_in_force(local, edition), progress("drawing situations that fit the record ..."):
            checked = check_case(case, samples, seed, today())
        _write(check_text(checked, _width(None)), None)


@app.command()
def report(
    case_file: CaseFile,
    output: Annotated[Path, typer.Option("--output", help="File to write.", show_default=False)],
    view: ForOption = For.homeowner,
    form: Annotated[ReportForm, typer.Option("--format", help="Form of the report.")] = ReportForm.html,
    firm: Annotated[Path | None, typer.Option("--firm", help="Your firm's details for the quote (TOML).")] = None,
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
    paper: Annotated[PaperSize, typer.Option("--paper", help="Paper of a print.")] = PaperSize.letter,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    prices: PricesOption = None,
    local: LocalOption = None,
    edition: EditionOption = "",
) -> None:
    """Write a page, a print, a workbook or a text for the homeowner, the inspector or the contractor."""
    with _reader(units, language):
        from advisor.report.view.firm import read_firm

        details = None if firm is None else read_firm(firm)
        advice = _advice(case_file, view, samples, seed, prices, local, edition)
        day = today()
        if form is ReportForm.xlsx:
            from advisor.report.data.workbook import write_workbook

            write_workbook(advice, output, day)
        elif form in (ReportForm.html, ReportForm.pdf):
            from advisor.report.page.build import render_page

            page = render_page(advice, view.value, details, paper.value, day)
            if form is ReportForm.html:
                _write(page, output)
            else:
                from advisor.report.print.pdf import write_pdf

                write_pdf(page, output, paper.value)
        else:
            _write(_text_of(advice, form.value, 100), output)
        typer.echo(f"wrote {output}")


def _text_of(advice: Advice, form: str, width: int, bold: bool = False) -> str:
    """Return the advice as text or markdown."""
    from advisor.report.text import matrix

    return matrix.as_markdown(advice) if form == "markdown" else matrix.as_text(advice, width, bold)


@app.command()
def explain(
    case_file: CaseFile,
    option: Annotated[str, typer.Argument(help="Id of the option, as in the JSON output.", show_default=False)],
    view: ForOption = For.homeowner,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    prices: PricesOption = None,
    local: LocalOption = None,
    edition: EditionOption = "",
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Print the full working of one option: parts, physics, codes, bill, assumptions."""
    with _reader(units, language):
        advice = _advice(case_file, view, samples, seed, prices, local, edition)
        from advisor.report.text.explain import explain_text

        _write(explain_text(advice, option, _width(None)), None)


@app.command()
def causes(
    case_file: CaseFile,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Print what is wrong, how sure that is, and which observations speak for and against it."""
    with _reader(units, language):
        advice = _advice(case_file, For.inspector, samples, seed, None)
        from advisor.report.text.evidence import causes_text

        _write(causes_text(advice, _width(None)), None)


@app.command("next")
def next_test(
    case_file: CaseFile,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Print which test pays next: how long it takes, and which option each answer points to."""
    with _reader(units, language):
        advice = _advice(case_file, For.inspector, samples, seed, None)
        from advisor.report.text.evidence import next_text

        _write(next_text(advice, _width(None)), None)


@app.command()
def score(
    case_file: CaseFile,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Show the points card filled in for a case, beside the simulation's answer."""
    with _reader(units, language):
        advice = _advice(case_file, For.inspector, samples, seed, None)
        from advisor.report.text.score import score_text

        _write(score_text(advice, _width(None)), None)


@app.command()
def costs(
    case_file: CaseFile,
    top: Annotated[int, typer.Option(help="How many options, in rank order.", min=1, max=30)] = 5,
    view: ForOption = For.homeowner,
    samples: SamplesOption = 4096,
    seed: SeedOption = 1,
    prices: PricesOption = None,
    local: LocalOption = None,
    edition: EditionOption = "",
    units: UnitsOption = UnitSystem.us,
    language: LanguageOption = "en",
) -> None:
    """Print what the top options cost to install, to own and over their life, with the cash flow."""
    with _reader(units, language):
        advice = _advice(case_file, view, samples, seed, prices, local, edition)
        from advisor.report.text.costs import costs_text

        _write(costs_text(advice, top, _width(None)), None)


@app.command()
def prices(
    target: Annotated[Path, typer.Argument(help="File to write (CSV).", show_default=False)],
    overwrite: Annotated[bool, typer.Option(help="Replace an existing file.")] = False,
) -> None:
    """Write all prices to a file, ready to edit; give it to other commands with --prices."""
    with _plain_errors():
        from advisor.money.prices import write_price_file
        from advisor.wording.speak import say

        typer.echo(f"wrote {write_price_file(target, say, overwrite=overwrite)}")


@app.command()
def catalog(
    name: Annotated[str | None, typer.Argument(help="Table to show; none lists them.", show_default=False)] = None,
    width: Annotated[int | None, typer.Option(help="Columns.", min=80, max=400)] = None,
) -> None:
    """Show a table of the catalog with its sources."""
    with _plain_errors():
        from advisor.report.text.catalog_table import catalog_text

        _write(catalog_text(name, _width(width)), None)


@app.command()
def schema() -> None:
    """Print the schema of the JSON output."""
    import json

    from advisor.report.data.advice_model import schema as published

    _write(json.dumps(published(), indent=2) + "\n", None)


def main() -> None:
    """Run the commands."""
    app()


if __name__ == "__main__":
    main()
