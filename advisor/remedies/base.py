"""What every remedy knows: whether it is possible here, what it changes, and the work it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.check import Check
from advisor.ensemble.state import Array, State
from advisor.ensemble.uniforms import triangular
from advisor.facts.place import AirFrom
from advisor.facts.services import outlet_near
from advisor.findings import Finding, Value, Words, finding
from advisor.money.bill import BillLine, bill_line, perhaps
from advisor.money.prices import NO_OVERRIDES, Overrides
from advisor.remedies.place import not_offered


@dataclass(frozen=True, slots=True)
class Job:
    """The case at hand, with prices: what remedies are sized from."""

    case: Case
    overrides: Overrides = field(default_factory=lambda: NO_OVERRIDES)

    def line(self, measure_id: str, quantity: float = 1.0, *, assumed: bool = False) -> BillLine:
        """Return one priced line."""
        return bill_line(measure_id, quantity, self.overrides, assumed=assumed)

    def perhaps(self, measure_id: str, quantity: float = 1.0) -> BillLine:
        """Return a line for a part that what is there may replace: from nothing up to its whole cost."""
        return perhaps(self.line(measure_id, quantity))

    def outlet_120_v(self) -> tuple[BillLine, ...]:
        """Return the line for a 120 V receptacle: a yes to "is one near" credits it, its distance is not known."""
        near = outlet_near(self.case)
        return (self.perhaps("OUT_120") if near else self.line("OUT_120", assumed=near is None),)


@dataclass(frozen=True, slots=True)
class Sized:
    """A remedy worked out for a case.

    Parameters
    ----------
    lines : tuple of BillLine
        Work and parts.
    parts : tuple of Finding
        Sizes in trade words, for the quote.
    checks : tuple of Check
        Code rules that the sized parts were held against.
    notes : tuple of Finding
        What the client should know.
    """

    lines: tuple[BillLine, ...]
    parts: tuple[Words, ...] = ()
    checks: tuple[Check, ...] = ()
    notes: tuple[Words, ...] = ()


Eligible = Callable[[Job], tuple[Words, ...]]
Alter = Callable[[State, Job], State]
Size = Callable[[Job], Sized]


@dataclass(frozen=True, slots=True)
class RemedyRow:
    """What the catalog holds of a remedy (``remedies``).

    Parameters
    ----------
    id, family, class_id : str
        Its id, its family, and the appliance class after the work.
    keeps_heater : bool
        Whether the existing heater stays.
    lead_days_typ : float
        Days until the work is done, typical.
    disruption : float
        How much the work disturbs the household, 0 to 1.
    terminal_scheme : str
        Scheme of the wall terminal after the work; empty where there is none.
    air_from : {"room", "outdoors", "isolated", "sealed", "none"}
        What the flame takes its air from after the work (``facts.place.AirFrom``).
    """

    id: str
    family: str
    keeps_heater: bool
    lead_days_typ: float
    disruption: float
    class_id: str
    terminal_scheme: str
    air_from: AirFrom


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that can be done.

    Parameters
    ----------
    id : str
        Row of ``catalog/ranking/remedies.csv``, which holds its family and lead time; title and needs are the messages
        ``remedies.title.<id>`` and ``remedies.needs.<id>``.
    eligible : callable
        Reasons (findings) why it is not possible here; empty when it is.
    alter : callable
        Returns the changed state.
    size : callable
        Returns the sized parts with their priced lines.
    needed : callable
        Returns the numbers in the message of its needs, by name.
    """

    id: str
    eligible: Eligible
    alter: Alter
    size: Size
    needed: Callable[[], Mapping[str, Value]] = dict

    def refused(self, job: Job) -> tuple[Words, ...]:
        """Return why it is not possible here: what it needs itself, then what the place of the heater rules out."""
        return (*self.eligible(job), *not_offered(job.case, self.id.split("+")))

    @property
    def row(self) -> RemedyRow:
        """Catalog row."""
        return remedy_rows()[self.id]

    @property
    def title(self) -> Finding:
        """Plain title."""
        return finding(f"remedies.title.{self.id}")

    @property
    def needs(self) -> Finding:
        """What it needs here."""
        return finding(f"remedies.needs.{self.id}", **self.needed())

    @property
    def family(self) -> str:
        """Family of the remedy."""
        return self.row.family

    @property
    def class_id(self) -> str:
        """Appliance class after the work."""
        return self.row.class_id

    @property
    def appliance_terminal(self) -> str | None:
        """Scheme of the wall terminal after the work, or None."""
        return self.row.terminal_scheme or None

    @property
    def keeps_heater(self) -> bool:
        """Does the existing heater stay?"""
        return self.row.keeps_heater


def remedy_rows() -> Mapping[str, RemedyRow]:
    """Return the remedies of the catalog by their ids, in the order of the table."""
    return catalog.rows_by(RemedyRow, "remedies", "id")


def effect(key: str) -> float:
    """Return a typical value of ``catalog/ranking/remedy_effects.csv``."""
    return catalog.number("remedy_effects", key)


def spread(state: State, key: str) -> Array:
    """Return a spread of an effect over the samples, the same for every call: low to high by a fixed sequence."""
    row = catalog.parameter("remedy_effects", key)
    # golden-ratio sequence: even cover without random numbers, so options stay comparable sample by sample
    uniform = np.mod(0.5 + 0.6180339887498949 * np.arange(state.samples), 1.0)
    return triangular(uniform, row.low, row.typical, row.high)


def always(_: Job) -> tuple[Words, ...]:
    """Possible everywhere."""
    return ()


def permit(job: Job) -> BillLine:
    """Return the permit's line."""
    return job.line("PERMIT")
