"""The bill of a replacement: the installed class, what its place still needs, and a permit."""

from __future__ import annotations

from advisor.money.bill import Bill, Incentive, bill_line, line_of, perhaps
from advisor.money.fit import fit
from advisor.money.fit_services import circuit_present
from advisor.money.prices import NO_OVERRIDES, Overrides, price_with_parts_present
from advisor.money.site import Fit, SiteFacts, Unit

PERMIT = "PERMIT"


def replacement_bill(
    class_id: str,
    site: SiteFacts | None = None,
    unit: Unit | None = None,
    overrides: Overrides = NO_OVERRIDES,
    *,
    worksheet: str = "A",
    margin_fraction: float = 0.0,
    tax_fraction: float = 0.0,
    region_factor: float = 1.0,
    incentives: tuple[Incentive, ...] = (),
) -> tuple[Bill, tuple[Fit, ...]]:
    """Return the bill of a replacement and the needs it was made from.

    The first line is the installed class, without a circuit that is there already; then one line for each part of the
    fit, marked as assumed where nobody looked, from nothing up where what is there may serve; last the permit. For a
    heat pump the bill contains what opens a small room, so work out its energy with ``small_closed_room=False``.

    Parameters
    ----------
    class_id : str
        Replacement class.
    site, unit, worksheet
        As in `advisor.money.fit.fit`.
    overrides : mapping
        The user's own prices.
    margin_fraction, tax_fraction, region_factor, incentives
        As in `Bill`.

    Raises
    ------
    InputError
        As `fit` and `Bill`.
    """
    needs = fit(class_id, site, unit, worksheet=worksheet)
    present = () if site is None else circuit_present(site)
    lines = [line_of(price_with_parts_present(class_id, present, overrides))]
    for need in needs:
        if need.measure_id is not None:
            line = bill_line(need.measure_id, need.quantity, overrides, assumed=need.assumed)
            lines.append(perhaps(line) if need.perhaps else line)
    lines.append(bill_line(PERMIT, 1.0, overrides))
    return Bill(tuple(lines), margin_fraction, tax_fraction, region_factor, incentives), needs
