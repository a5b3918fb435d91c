"""The household's running cost for each option: hot water, energy prices, and what outdoor air costs to heat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from advisor.case.model import Case
from advisor.catalog import rows_by
from advisor.ensemble.weighted import Range
from advisor.facts.hot_water import HotWaterUse, use_of
from advisor.facts.space import heated as heated_space
from advisor.money.air_energy import air_penalty_therm_year, fan_kwh_year
from advisor.money.energy import RunningCost, running_cost
from advisor.money.fuel_prices import DegreeDays, EnergyPrices, degree_days, energy_prices
from advisor.money.tables import Running, class_row


@dataclass(frozen=True)
class Household:
    """Prices and use of one case."""

    case: Case
    use: HotWaterUse
    prices: EnergyPrices
    days: DegreeDays

    @classmethod
    def of(cls, case: Case) -> Household:
        """Build from a case."""
        money = case.money
        return cls(
            case,
            use_of(case),
            energy_prices(
                case.house.state,
                electricity_usd_kwh=money.electricity_usd_kwh,
                gas_usd_therm_typed=money.gas_usd_therm,
                propane_usd_gal=money.propane_usd_gal,
            ),
            degree_days(case.house.state),
        )

    @cached_property
    def propane(self) -> bool:
        """Does the gas heater burn propane?"""
        return self.case.heater.fuel == "propane"

    def running(self, class_id: str, gal_day: float | None = None) -> RunningCost:
        """Running cost of a class at the typical, or a given, daily use."""
        uef = self.case.heater.uef if class_id == "GS_ATM" else None
        heated = heated_space(self.case)
        electric = {"electric": "resistance", "heat pump": "heat pump"}
        fuel = electric.get(self.case.house.heating_fuel or "", "propane" if self.propane else "gas")
        return running_cost(
            class_id,
            self.use,
            self.prices,
            gal_day=gal_day,
            uef=uef,
            propane=self.propane,
            room_heated=heated,
            # the bill of a heat pump contains what opens a small room to more air
            small_closed_room=False if class_id.startswith("HP") else None,
            heating_fuel=fuel,  # type: ignore[arg-type]
        )

    def air_usd(self, remedy_id: str) -> Range:
        """Yearly cost of the outdoor air a remedy brings in (negative when it saves air), and of its fan."""
        row = rows_by(Running, "remedy_running", "id").get(remedy_id)
        if row is None:
            return Range(0.0, 0.0, 0.0)
        hours = row.hours_day
        gas = self.prices.gas_usd_therm.typical
        power = float(fan_kwh_year(row.fan_w, hours)) * self.prices.electricity_usd_kwh.typical

        def usd(flow: float) -> float:
            therm = float(air_penalty_therm_year(abs(flow), self.days.typical_f_day, hours_day=hours))
            return (therm if flow >= 0.0 else -therm) * gas + power

        return Range(usd(row.cfm_low), usd(row.cfm_typ), usd(row.cfm_high))

    def yearly_cost(self, remedy_id: str, class_id: str) -> Range:
        """Energy and upkeep a year: low and high by the household's use."""
        air = self.air_usd(remedy_id)
        row = class_row(class_id)
        bounds = zip(
            (self.use.low_gal_day, self.use.typical_gal_day, self.use.high_gal_day),
            (row.upkeep_low_usd_yr, row.upkeep_typ_usd_yr, row.upkeep_high_usd_yr),
            (air.low, air.typical, air.high),
            strict=True,
        )
        totals = [float(self.running(class_id, gal).energy_usd) + upkeep + extra for gal, upkeep, extra in bounds]
        return Range(*totals)
