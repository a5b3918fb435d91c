"""Prices of every part and every replacement class, and the contractor's own price file that overrides them."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType

from advisor.catalog import number
from advisor.codes.compose import joined_sources, worst_status
from advisor.errors import InputError, suggest
from advisor.findings import Finding, Words, finding, quantity
from advisor.money.amount import TYPED
from advisor.money.tables import HeaterClass, SizeClass, class_words, classes, measure_words, measures, sizes_of

COLUMNS = ("measure_id", "low_usd", "typical_usd", "high_usd", "note")
INFORMATION = ("unit", "words", "usd_year", "status")
PRICE_FILE_SOURCE = "price file"


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit of a part or one installed appliance costs.

    Parameters
    ----------
    measure_id : str
        Identity in the catalog.
    words : Finding
        The plain name.
    low_usd, typical_usd, high_usd : float
        Range for one `unit`, labour included unless `words` says otherwise.
    unit : str
        Suffix (``units.<unit>``): ``each``, ``job``, ``ft``, ``pair`` or ``zone``.
    usd_year : str
        Year of the dollars; empty for typed prices.
    status, source : str
        Status word (or ``typed``) and source ids; for typed prices the source is ``price file`` and the note.
    labour_typical_h : float or None
        Hours of one unit; None where nobody published or judged them.
    life_years : float or None
        Life of the part; None for what is used up at once (permit, labour).
    lead_time_days : str
        Range of days before the work can start, as text.
    """

    measure_id: str
    words: Words
    low_usd: float
    typical_usd: float
    high_usd: float
    unit: str
    usd_year: str
    status: str
    source: str
    labour_typical_h: float | None = None
    life_years: float | None = None
    lead_time_days: str = ""


Overrides = Mapping[str, Price]
NO_OVERRIDES: Overrides = MappingProxyType({})


@cache
def catalog_prices() -> Mapping[str, Price]:
    """Return every catalog price by id: remediation measures first, then the installed replacement classes."""
    found: dict[str, Price] = {}
    for part in measures().values():
        found[part.measure_id] = Price(
            part.measure_id,
            measure_words(part.measure_id),
            part.low_usd,
            part.typ_usd,
            part.high_usd,
            part.unit,
            part.usd_year,
            part.status,
            part.source,
            part.labour_typ_h,
            part.life_yr,
            part.lead_time_days,
        )
    for heater in classes().values():
        found[heater.class_id] = _class_price(heater)
        sizes = [size for size in sizes_of(heater.class_id) if not size.anchor]
        found |= {
            sized_id(heater.class_id, size): _sized(found[heater.class_id], heater.class_id, size) for size in sizes
        }
    return MappingProxyType(found)


def _class_price(heater: HeaterClass) -> Price:
    anchor = next((size for size in sizes_of(heater.class_id) if size.anchor), None)
    what = class_words(heater.class_id) if anchor is None else sized_words(heater.class_id, anchor)
    return Price(
        heater.class_id,
        finding("money.installed", what=what),
        heater.installed_low_usd,
        heater.installed_typ_usd,
        heater.installed_high_usd,
        "job",
        heater.usd_year,
        heater.status,
        heater.source,
        None,
        heater.life_typ_yr,
        heater.lead_time_days,
    )


def sized_id(class_id: str, size: SizeClass) -> str:
    """Return the id of the price of a class in a size of tank: the class's own at the size that its price is for."""
    return class_id if size.anchor else f"{class_id}_{size.name}"


def sized_words(class_id: str, size: SizeClass) -> Finding:
    """Return the name of a class in a size of tank, to be said."""
    if size.name == "commercial":
        return finding("money.commercial", what=class_words(class_id))
    return finding("money.sized", what=class_words(class_id), tank=quantity(size.tank_gal, "gal"))


def _sized(whole: Price, class_id: str, size: SizeClass) -> Price:
    """Return the price of a size of tank from that of the class, by the size's factors: none was published.

    The parts that the class's price contains (a circuit) do not grow with the tank. A typed price stands for every size
    up to that of the class: its author knew the job. A larger one costs more.
    """
    typed = whole.status == TYPED
    least = 1.0 if typed else 0.0
    inside = 0.0 if typed else sum(measures()[part].typ_usd for part in included_measures(class_id))
    return replace(
        whole,
        measure_id=sized_id(class_id, size),
        words=finding(f"money.installed_by_{'typed' if typed else 'factor'}", what=sized_words(class_id, size)),
        low_usd=_whole_usd(whole.low_usd * max(least, size.factor_low)),
        typical_usd=_whole_usd((whole.typical_usd - inside) * max(least, size.factor_typ) + inside),
        high_usd=_whole_usd((whole.high_usd - inside) * max(least, size.factor_high) + inside),
        status=whole.status if typed else worst_status(whole.status, size.status),
        source=joined_sources(whole.source, size.source),
    )


def _whole_usd(amount_usd: float) -> float:
    return float(round(amount_usd))


def size_price(class_id: str, size: SizeClass, overrides: Overrides = NO_OVERRIDES) -> Price:
    """Return the installed price of a class in a size of tank.

    A price typed for that size goes first; a price typed for the class is one of its anchor size, and the size's factor
    stands on it; else the catalog's.
    """
    own = sized_id(class_id, size)
    if own in overrides or class_id not in overrides:
        return price(own, overrides)
    return _sized(overrides[class_id], class_id, size)


def price_of_one_of(
    class_id: str, sizes: tuple[SizeClass, ...], likely: SizeClass, overrides: Overrides = NO_OVERRIDES
) -> Price:
    """Return the installed price where the size is not known: typical that of the likely one, the range over all of them.

    `sizes` are those that it may be, smallest first, the likely one among them.
    """
    found = size_price(class_id, likely, overrides)
    if len(sizes) < 2:
        return found
    every = [size_price(class_id, size, overrides) for size in sizes]
    small, large = quantity(sizes[0].tank_gal, "gal"), quantity(sizes[-1].tank_gal, "gal")
    what = finding("money.installed", what=sized_words(class_id, likely))
    statuses = {item.status for item in every}
    return replace(
        found,
        words=finding("money.tank_not_read", what=what, least=small, most=large),
        low_usd=min(item.low_usd for item in every),
        high_usd=max(item.high_usd for item in every),
        status=TYPED if statuses == {TYPED} else worst_status(*(statuses - {TYPED})),
        source=joined_sources(*(item.source for item in every)),
    )


def price(measure_id: str, overrides: Overrides = NO_OVERRIDES) -> Price:
    """Return the price of one part or class, the user's own where there is one.

    Raises
    ------
    InputError
        If the id is unknown.
    """
    known = catalog_prices()
    if measure_id not in known:
        raise InputError(f"price of '{measure_id}': no such part or class{suggest(measure_id, known)}")
    return overrides.get(measure_id, known[measure_id])


def included_measures(class_id: str) -> tuple[str, ...]:
    """Return the parts that the typical installed price of a class already contains."""
    heater = classes().get(class_id)
    return () if heater is None else heater.includes_measures


def price_with_parts_present(
    class_id: str, present: tuple[str, ...], overrides: Overrides = NO_OVERRIDES, whole: Price | None = None
) -> Price:
    """Return the installed price of a class when parts it normally includes are there already.

    The typical and the high price fall by the typical price of the part, never under the low price, which already
    stands for the simple job. A price typed by the user is left alone: its author knew the job. `whole` is the price of
    the size that was chosen; the class's own by default.
    """
    whole = price(class_id, overrides) if whole is None else whole
    saved = sum(price(part, overrides).typical_usd for part in included_measures(class_id) if part in present)
    if whole.status == TYPED or saved == 0.0:
        return whole
    return replace(
        whole,
        typical_usd=max(whole.low_usd, whole.typical_usd - saved),
        high_usd=max(whole.low_usd, whole.high_usd - saved),
        words=finding("money.without_circuit", what=whole.words),
    )


def write_price_file(path: str | Path, say: Callable[[Words], str], *, overwrite: bool = False) -> Path:
    """Write a ready-to-edit CSV copy of all catalog prices.

    Parameters
    ----------
    path : str or Path
        Where to.
    say : callable
        Says the name of a line for the person who edits the file; names are not read back.
    overwrite : bool
        Replace an existing file.

    Raises
    ------
    InputError
        If the file exists and `overwrite` is false, or the place cannot be written.
    """
    place = Path(path)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*COLUMNS, *INFORMATION))
    for item in catalog_prices().values():
        writer.writerow(
            (
                item.measure_id,
                f"{item.low_usd:g}",
                f"{item.typical_usd:g}",
                f"{item.high_usd:g}",
                "",
                item.unit,
                say(item.words),
                item.usd_year,
                item.status,
            )
        )
    try:
        with place.open("w" if overwrite else "x", newline="", encoding="utf-8") as handle:
            handle.write(text.getvalue())
    except FileExistsError:
        raise InputError(f"{place}: exists already; choose another name, prices in it are not overwritten") from None
    except (OSError, ValueError) as problem:
        raise InputError(f"{place}: cannot be written ({_reason(problem)})") from None
    return place


def _reason(problem: Exception) -> str:
    return (problem.strerror if isinstance(problem, OSError) else None) or str(problem)


def _text(place: Path) -> str:
    limit = int(number("money_settings", "price_file_max_bytes"))
    try:
        if not place.is_file():
            raise InputError(
                f"{place}: {'is a directory' if place.is_dir() else 'is not a file' if place.exists() else 'not found'}; "
                "give a CSV price file"
            )
        with place.open("rb") as handle:
            data = handle.read(limit + 1)
    except (OSError, ValueError) as problem:
        raise InputError(f"{place}: cannot be read ({_reason(problem)})") from None
    if len(data) > limit:
        raise InputError(f"{place}: more than {limit} bytes; a price file has about {len(catalog_prices())} rows")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{place}: not UTF-8 text; save it as 'CSV UTF-8'") from None
    if "\0" in text:
        raise InputError(f"{place}: holds binary data; give a CSV price file")
    if not text.strip():
        raise InputError(f"{place}: is empty; write a fresh copy and edit that")
    return text


def _amount(where: str, column: str, text: str) -> float:
    limit = number("money_settings", "price_max_usd")
    try:
        value = float(text)
    except ValueError:
        raise InputError(f"{where}: {column} '{text[:40]}' is not a number; write 1250, without $ or commas") from None
    if not math.isfinite(value) or value < 0.0 or value > limit:
        raise InputError(f"{where}: {column} {text[:40]} is not allowed; give 0 to {limit:,.0f} dollars")
    return value


def _own_price(where: str, row: dict[str, str]) -> Price | None:
    known = catalog_prices()
    measure_id = row["measure_id"].strip()
    if measure_id not in known:
        raise InputError(f"{where}: unknown measure_id '{measure_id[:40]}'{suggest(measure_id[:40], known)}")
    typical_text = row["typical_usd"].strip()
    if not typical_text:
        raise InputError(f"{where}: typical_usd of {measure_id} is empty; give a price or delete the row")
    typical = _amount(where, "typical_usd", typical_text)
    low_text, high_text = row.get("low_usd", "").strip(), row.get("high_usd", "").strip()
    low = _amount(where, "low_usd", low_text) if low_text else typical
    high = _amount(where, "high_usd", high_text) if high_text else typical
    if not low <= typical <= high:
        raise InputError(
            f"{where}: low {low:g}, typical {typical:g}, high {high:g} of {measure_id}: give low <= typical <= high"
        )
    standard, note = known[measure_id], row.get("note", "").strip()
    unchanged = (low, typical, high) == (standard.low_usd, standard.typical_usd, standard.high_usd)
    if unchanged and not note:
        return None  # a row of the ready-to-edit copy that nobody touched keeps the status of the catalog
    return replace(
        standard,
        low_usd=low,
        typical_usd=typical,
        high_usd=high,
        usd_year="",
        status=TYPED,
        source=f"{PRICE_FILE_SOURCE}: {note}" if note else PRICE_FILE_SOURCE,
    )


def load_price_file(path: str | Path) -> Overrides:
    """Read a contractor's price file.

    Columns ``measure_id`` and ``typical_usd`` are needed; ``low_usd`` and ``high_usd`` default to the typical price;
    ``note`` is kept as the source. The columns that `write_price_file` adds for information are ignored.

    Returns
    -------
    mapping of str to Price
        Only the rows that differ from the catalog or carry a note.

    Raises
    ------
    InputError
        With the line number, for an unknown id or column, a repeated id, a negative, infinite or missing number, a
        range out of order, and for anything that is not a small UTF-8 CSV file.
    """
    place = Path(path)
    reader = csv.reader(io.StringIO(_text(place), newline=""), strict=True)
    found: dict[str, Price] = {}
    seen: dict[str, int] = {}
    allowed = (*COLUMNS, *INFORMATION)
    try:
        header = [cell.strip() for cell in next(reader)]
        for column in header:
            if column not in allowed:
                raise InputError(
                    f"{place}: unknown column '{column[:40]}'{suggest(column[:40], allowed)}; "
                    f"columns are {', '.join(COLUMNS)}, separated by commas"
                )
        missing = [column for column in ("measure_id", "typical_usd") if column not in header]
        if missing or len(set(header)) != len(header):
            raise InputError(f"{place}: the first line needs each of the columns {', '.join(COLUMNS)} once")
        for cells in reader:
            where = f"{place} line {reader.line_num}"
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(header):
                raise InputError(f"{where}: more cells than columns; write prices without commas")
            row = dict(zip(header, [*cells, *[""] * (len(header) - len(cells))], strict=True))
            own = _own_price(where, row)
            measure_id = row["measure_id"].strip()
            if measure_id in seen:
                raise InputError(f"{where}: {measure_id} was given on line {seen[measure_id]} already")
            seen[measure_id] = reader.line_num
            if own is not None:
                found[measure_id] = own
    except csv.Error as problem:
        raise InputError(f"{place} line {reader.line_num}: not a readable CSV line ({problem})") from None
    return MappingProxyType(found)
