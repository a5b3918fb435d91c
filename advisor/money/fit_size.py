"""Which size of tank a replacement is for this house: by the tank and the input there now, the busiest hour and the place."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.catalog import number
from advisor.errors import InputError
from advisor.findings import Finding, finding, quantity
from advisor.money.fit_standards import grid_enabled_least, sold
from advisor.money.fit_water import THERE_NOW, busiest_hour_gal, first_hour_of, slack_gal
from advisor.money.site import Fit, SiteFacts, Unit, Verdict
from advisor.money.tables import SizeClass, TankShape, anchor_of, class_row, class_unit, shapes_of, sizes_of

_FILE = "money_fit"
_WHY = ("sold", "place", "input", "need")
"""Why another size than the usual one is taken, in the order in which the reasons count."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The size of a class for this house.

    Parameters
    ----------
    class_id : str
        Replacement class.
    unit : Unit
        The heater that is proposed: what is said, held against rules and priced is this one.
    size : SizeClass or None
        Its size of tank; None for a tankless heater.
    wanted : SizeClass or None
        The size that stands for the tank there now; another one was taken where `why` is not empty.
    why : str
        ``sold``, ``place``, ``input`` or ``need``; empty where the size is the one wanted.
    possible : tuple of SizeClass
        The sizes that it may turn out to be: more than one where nobody read the tank there now.
    """

    class_id: str
    unit: Unit
    size: SizeClass | None = None
    wanted: SizeClass | None = None
    why: str = ""
    possible: tuple[SizeClass, ...] = ()


def choose(class_id: str, site: SiteFacts, version: str) -> Choice:
    """Return the size of a class for a house.

    The size that stands for the tank there now is taken, one step up for a heat pump. Another one takes its place where
    that one is not sold, does not fit the place, does not burn what the old heater burnt (natural draft: vent and air
    are judged for that input), or falls short of the busiest hour: the nearest one that does.

    Parameters
    ----------
    class_id : str
        Replacement class of the catalog.
    site : SiteFacts
        What was found.
    version : str
        Peak-hour worksheet.
    """
    if class_unit(class_id).kind == "tankless":
        return Choice(class_id, Unit())
    there = tanks_there(site)
    likely = _chosen(class_id, site, version, there[0].tank_gal if there else None)
    if len(there) < 2:
        return likely
    every = {one.size.id: one.size for one in (_chosen(class_id, site, version, t.tank_gal) for t in there) if one.size}
    ordered = tuple(sorted(every.values(), key=lambda size: (size.tank_gal, size.factor_typ)))
    return Choice(class_id, likely.unit, likely.size, likely.wanted, likely.why, ordered)


def tanks_there(site: SiteFacts) -> tuple[SizeClass, ...]:
    """Return the sizes that the tank there now may be, the likeliest first: one where its plate was read.

    Without the plate these are the sizes sold with its input; the most usual size is the likeliest, else the one whose
    usual input is nearest. Nothing where neither was read.
    """
    sizes = sizes_of(THERE_NOW)
    if site.existing_tank_gal is not None:
        return (_nominal(sizes, site.existing_tank_gal, site.existing_input_btu_h),)
    heat = site.existing_input_btu_h
    if heat is None:
        return ()
    found = [size for size in sizes if _same_input(size, heat)]
    return tuple(sorted(found, key=lambda size: (not size.anchor, abs((size.input_typ_btu_h or heat) - heat))))


def _nominal(sizes: tuple[SizeClass, ...], tank_gal: float, heat: float | None = None) -> SizeClass:
    """Return the size that stands for a tank: the smallest that is not clearly smaller, else the largest."""
    share = number(_FILE, "same_size_share")
    enough = [size for size in sizes if size.tank_gal >= share * tank_gal]
    if not enough:
        enough = [size for size in sizes if size.tank_gal == max(one.tank_gal for one in sizes)]
    same = [size for size in enough if size.tank_gal == enough[0].tank_gal]
    return next((size for size in same if heat is not None and _same_input(size, heat)), same[0])


def _same_input(size: SizeClass, heat: float) -> bool:
    """Return whether a size is sold with an input, or one that is hardly larger."""
    if size.input_low_btu_h is None or size.input_high_btu_h is None:
        return True
    share = number(_FILE, "same_input_share")
    return size.input_low_btu_h * (1.0 - share) <= heat <= size.input_high_btu_h


def wanted_size(class_id: str, tank_gal: float | None, heat: float | None = None) -> SizeClass:
    """Return the size of a class that stands for the tank there now: a step up for a heat pump."""
    sizes = sizes_of(class_id)
    if tank_gal is None:
        return anchor_of(class_id)
    if class_unit(class_id).kind != "heat_pump":
        return _nominal(sizes, tank_gal, heat)
    steps = int(number(_FILE, "heat_pump_steps_up"))
    larger = [size for size in sizes if size.tank_gal > tank_gal] if steps else list(sizes)
    return larger[min(max(steps, 1), len(larger)) - 1] if larger else sizes[-1]


def _chosen(class_id: str, site: SiteFacts, version: str, tank_gal: float | None) -> Choice:
    wanted = wanted_size(class_id, tank_gal, site.existing_input_btu_h)
    needs, _ = busiest_hour_gal(site, version)
    keys = {size.id: _drawbacks(class_id, size, site, needs) for size in sizes_of(class_id)}

    def order(size: SizeClass) -> tuple[tuple[float, ...], bool, float, float]:
        return keys[size.id], size.tank_gal < wanted.tank_gal, abs(size.tank_gal - wanted.tank_gal), size.factor_typ

    best = min(sizes_of(class_id), key=order)
    better = [why for why, mine, other in zip(_WHY, keys[best.id], keys[wanted.id], strict=True) if mine < other]
    return Choice(class_id, unit_of_size(class_id, best, site), best, wanted, better[0] if better else "", (best,))


def _drawbacks(class_id: str, size: SizeClass, site: SiteFacts, needs: float | None) -> tuple[float, ...]:
    """Return what speaks against a size, in the order of `_WHY`: 0 where nothing does."""
    unit, heat = unit_of_size(class_id, size, site), site.existing_input_btu_h
    stays = class_row(class_id).keeps_natural_draft
    other_input = stays and heat is not None and not _same_input(size, heat)
    short = 0.0 if needs is None else needs - first_hour_of(class_id, unit, site.temperature_rise_f)
    return (
        float(not sold(class_id, unit)),
        float(
            not (stands_there(class_id, size.tank_gal, site) or any(_fits(shape, site) for shape in shapes_of(size)))
        ),
        float(other_input),
        short if short > slack_gal() else 0.0,
    )


def stands_there(class_id: str, tank_gal: float, site: SiteFacts) -> bool:
    """Return whether a heater of this kind and size stands in the place now: then usual dimensions cannot bar it."""
    same_kind = class_row(class_id).vent_category == class_row(THERE_NOW).vent_category
    return same_kind and site.existing_tank_gal is not None and tanks_there(site)[0].tank_gal == tank_gal


def _fits(shape: TankShape, site: SiteFacts) -> bool:
    """Return whether a shape is not known to be too high or too wide for the place."""
    high = site.space_height_in is not None and shape.height_in > site.space_height_in
    wide = site.space_width_in is not None and shape.diameter_in > site.space_width_in
    return not (high or wide)


def unit_of_size(class_id: str, size: SizeClass, site: SiteFacts) -> Unit:
    """Return the heater of a class in a size: the first shape that fits, and the input there now as far as it is sold."""
    shapes = shapes_of(size)
    lowest = min(shapes, key=lambda one: one.height_in)
    shape = next((one for one in shapes if _fits(one, site)), lowest)
    return Unit(
        tank_gal=size.tank_gal,
        input_btu_h=_input(class_id, size, site.existing_input_btu_h),
        dry_weight_lb=shape.dry_weight_lb,
        diameter_in=shape.diameter_in,
        height_in=shape.height_in,
        shape=shape.shape,
    )


def _input(class_id: str, size: SizeClass, before: float | None) -> float:
    low, typical, high = size.input_low_btu_h, size.input_typ_btu_h, size.input_high_btu_h
    if low is None or typical is None or high is None:
        own = class_unit(class_id).input_btu_h
        if own is None:
            raise InputError(f"size '{size.id}': neither it nor class '{class_id}' has an input")
        return own
    return typical if before is None else min(max(before, low), high)


def size(choice: Choice, site: SiteFacts) -> tuple[Fit, ...]:
    """Say which size it is and why, what its price rests on, and that the tank there now was not read."""
    if choice.size is None or choice.wanted is None:
        return ()
    return (*_tank_not_read(choice, site), _size(choice, choice.size, site), _price(choice.class_id, choice.size))


def _tank_not_read(choice: Choice, site: SiteFacts) -> tuple[Fit, ...]:
    if site.existing_tank_gal is not None:
        return ()
    need, there = finding("fit.need.tank_there"), tanks_there(site)
    if not there:
        return (Fit(need, "unknown", finding("fit.tank_there.nothing_read")),)
    every = sorted(size.tank_gal for size in there)
    given = {"heat": quantity(site.existing_input_btu_h, "btu_h"), "tank": quantity(there[0].tank_gal, "gal")}
    if every[0] == every[-1]:
        return (Fit(need, "unknown", finding("fit.tank_there.one_size", **given)),)
    low, high = quantity(every[0], "gal"), quantity(every[-1], "gal")
    return (Fit(need, "unknown", finding("fit.tank_there.several", least=low, most=high, **given)),)


def _size(choice: Choice, chosen: SizeClass, site: SiteFacts) -> Fit:
    need, tank = finding("fit.need.size"), quantity(chosen.tank_gal, "gal")
    there = tanks_there(site)
    if not there:
        return Fit(need, "unknown", finding("fit.size.usual", tank=tank))
    now_gal = there[0].tank_gal
    now = quantity(now_gal if site.existing_tank_gal is None else site.existing_tank_gal, "gal")
    words = finding(f"fit.size.{_way(choice, chosen, now_gal, site.existing_tank_gal)}", tank=tank, now=now)
    if choice.why == "sold" and choice.wanted is not None:
        words = _not_sold(choice, words, choice.wanted, site)
    smaller = chosen.tank_gal < now_gal
    # a smaller tank is no fault by itself: whether it is enough says the busiest hour
    counted = site.peak_hour_gal is not None or site.peak_uses is not None
    verdict: Verdict = "unknown" if smaller and not counted else "ok"
    return Fit(need, verdict, words)


def _way(choice: Choice, chosen: SizeClass, now_gal: float, site_gal: float | None) -> str:
    if choice.why:
        return choice.why
    if chosen.tank_gal == now_gal:
        return "same_assumed" if site_gal is None else "same" if site_gal == now_gal else "same_nominal"
    if chosen.tank_gal < now_gal:
        return "largest_made"
    return "step_up" if class_unit(choice.class_id).kind == "heat_pump" else "next_made"


def _not_sold(choice: Choice, words: Finding, wanted: SizeClass, site: SiteFacts) -> Finding:
    """Return why the wanted size is not sold, with the exception for tanks that a utility may switch."""
    least = grid_enabled_least(choice.class_id, unit_of_size(choice.class_id, wanted, site))
    if least is None:
        return words
    given = {**dict(words.values), "large": quantity(wanted.tank_gal, "gal"), "least": quantity(least, "number", 2)}
    return finding("fit.size.sold_grid_enabled", **given)


def _price(class_id: str, chosen: SizeClass) -> Fit:
    """Say what the price of the size rests on: no price by size is published."""
    need, anchor = finding("fit.need.price"), anchor_of(class_id)
    tank = quantity(anchor.tank_gal, "gal")
    if chosen.anchor:
        costs = class_row(class_id)
        words = finding("fit.price.names_no_size", tank=tank)
        return Fit(need, "ok", words, status=costs.status, source=costs.source)
    if chosen.factor_high == 1.0:
        words = finding("fit.price.as_usual_size", tank=tank)
        return Fit(need, "ok", words, status=chosen.status, source=chosen.source)
    practice = chosen.status == "common practice"
    words = finding(
        "fit.price.by_factor" if practice else "fit.price.by_own_factor",
        least=quantity(chosen.factor_low, "number", 2),
        typical=quantity(chosen.factor_typ, "number", 2),
        most=quantity(chosen.factor_high, "number", 2),
        anchor=tank,
    )
    return Fit(need, "unknown", words, status=chosen.status, source=chosen.source)
