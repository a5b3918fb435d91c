"""The advice as JSON with a stable, published schema. Same seed, same bytes."""

from __future__ import annotations

import json
import math
from typing import Any

from advisor.advice import Advice
from advisor.codes.check import Check
from advisor.ensemble.weighted import Band, Range
from advisor.money.bill import BillLine
from advisor.ranking.options import HoldsUntil, Option
from advisor.report.data.plain import plain as asdict
from advisor.report.view.figures import rounded_money
from advisor.risk.score import ScoreParts

SCHEMA_VERSION = "2.0"


def _share(value: float) -> float:
    return round(value, 2)


def _money(costs: Range) -> dict[str, int]:
    return {
        "low": rounded_money(costs.low),
        "typical": rounded_money(costs.typical),
        "high": rounded_money(costs.high),
    }


def _band(values: Band, digits: int) -> dict[str, float | None]:
    return {
        name: None if value is None else round(value, digits)
        for name, value in (("p05", values.p05), ("p50", values.p50), ("p95", values.p95))
    }


def _check(check: Check) -> dict[str, Any]:
    """A check without what only the program needs: what it rests on, and what usual values would give."""
    inside = ("rests_on", "usual")
    return {name: value for name, value in asdict(check).items() if name not in inside} | {
        "missing": list(check.missing)
    }


def _line(line: BillLine) -> dict[str, Any]:
    return {
        "measure_id": line.measure_id,
        "words": line.words,
        "quantity": round(line.quantity, 2),
        "unit": line.unit,
        "low_usd": rounded_money(line.low_usd),
        "typical_usd": rounded_money(line.typical_usd),
        "high_usd": rounded_money(line.high_usd),
        "labour_h": None if line.labour_h is None else round(line.labour_h, 1),
        "status": line.status,
        "source": line.source,
        "assumed": line.assumed,
    }


def _parts(parts: ScoreParts) -> dict[str, float]:
    return {name: round(value, 1) for name, value in asdict(parts).items()}


def _holds(holds: HoldsUntil | None) -> dict[str, Any] | None:
    if holds is None:
        return None
    return {
        "more_exhaust_cfm": None if holds.more_exhaust_cfm is None else round(holds.more_exhaust_cfm, -1),
        "leakage_cfm50": None if holds.leakage_cfm50 is None else round(holds.leakage_cfm50, -1),
        "words": holds.words,
    }


def _rounded(value: Any, digits: int = 2) -> Any:
    """Round every number of nested plain data."""
    if isinstance(value, float):
        return round(value, digits)
    if isinstance(value, dict):
        return {k: _rounded(v, digits) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(v, digits) for v in value]
    return value


def _life(option: Option) -> dict[str, Any]:
    life = option.lifetime
    return {
        "study_years": life.study_years,
        "discount_rate": life.discount_rate,
        "first_usd": rounded_money(life.first_usd),
        "replacement_usd": rounded_money(life.replacement_usd),
        "residual_usd": rounded_money(life.residual_usd),
        "energy_usd": rounded_money(life.energy_usd),
        "upkeep_usd": rounded_money(life.upkeep_usd),
        "total_usd": _money(life.total_usd),
        "existing_heater_remaining_years": None if life.remaining_years is None else round(life.remaining_years, 1),
        "savings_to_investment": None if life.savings_to_investment is None else round(life.savings_to_investment, 2),
        "payback_years": None if life.payback_years is None else round(life.payback_years, 1),
        "break_even_electricity_usd_kwh": None
        if life.break_even_electricity_usd_kwh is None
        else round(life.break_even_electricity_usd_kwh, 3),
        "cash_flow": [
            {
                "year": y.year,
                "paid_usd": rounded_money(y.paid_usd),
                "cumulative_present_usd": rounded_money(y.cumulative_usd),
            }
            for y in life.cash_flow
        ],
    }


def _energy(option: Option) -> dict[str, Any]:
    energy = option.lifetime.energy
    return {
        "gas_therm": round(energy.gas_therm, 1),
        "propane_gal": round(energy.propane_gal, 1),
        "electricity_kwh": round(energy.electricity_kwh),
        "energy_usd": rounded_money(energy.energy_usd),
        "upkeep_usd": rounded_money(energy.upkeep_usd),
        "outdoor_air_usd": rounded_money(energy.outdoor_air_usd),
        "co2_kg": round(energy.co2_kg),
        "co2_factors": energy.co2_factors,
        "notes": list(energy.notes),
    }


def option_as_dict(option: Option) -> dict[str, Any]:
    """Return one option as plain data."""
    spillage = _rounded(asdict(option.spillage))
    return {
        "id": option.id,
        "title": option.title,
        "family": option.family,
        "rank": option.rank,
        "appliance": option.appliance,
        "eligible": option.eligible,
        "safety": option.safety,
        "near_limit": option.near_limit,
        "barred_by": option.barred_by,
        "safe_enough": option.safe_enough,
        "reasons": list(option.reasons),
        "spillage": spillage,
        "vent_runs_wet": _share(option.vent_runs_wet),
        "zone_depressurization_pa": _band(option.zone_depressurization_pa, 1),
        "seconds_to_draft": _band(option.seconds_to_draft, 0),
        "draft_pa": _band(option.draft_pa, 1),
        "installed_cost_usd": _money(option.installed_cost_usd),
        "yearly_cost_usd": _money(option.yearly_cost_usd),
        "risk_score": round(option.risk_score, 1),
        "value": round(option.value, 4),
        "value_parts": {name: round(part, 4) for name, part in option.value_parts.items()},
        "bill": [_line(line) for line in option.bill],
        "parts": list(option.parts),
        "notes": list(option.notes),
        "checks": [_check(check) for check in option.checks],
        "needs": option.needs,
        "lead_days": option.lead_days,
        "life_cycle": _life(option),
        "energy": _energy(option),
        "fit": [asdict(f) for f in option.fit],
        "incentive_usd": rounded_money(option.incentive_usd),
        "members": list(option.members),
        "score_parts": _parts(option.score_parts),
        "everyday_hours_year": _band(option.everyday_hours, 1),
        "further_stress": {name: _share(value) for name, value in option.further_stress.items()},
        "holds_until": _holds(option.holds_until),
        "rank_share": None if option.rank_share is None else [_share(s) for s in option.rank_share],
    }


def _verdict(advice: Advice) -> dict[str, Any]:
    """The verdict of the record, whole: states, dangers, every run with its conditions, and whether it is explained."""
    verdict = advice.verdict
    return {
        "leads": verdict.leads,
        **_rounded(asdict(verdict)),
        "failed": verdict.failed,
        "may_leave": verdict.may_leave,
        "all_clear": verdict.all_clear,
        "explained": advice.explained,
    }


def _explanation(advice: Advice) -> dict[str, Any]:
    """Every observation beside what the fitting situations would show; null where it never drafts."""
    found = advice.explanation
    return {
        "explained": found.explained,
        "enough_situations": found.enough_situations,
        "odd": list(found.odd),
        "observations": [
            {
                **_rounded(asdict(o)),
                "expected": None
                if o.expected is None
                else [round(v, 2) if math.isfinite(v) else None for v in o.expected],
            }
            for o in found.observations
        ],
    }


def as_dict(advice: Advice) -> dict[str, Any]:
    """Return the advice as plain data, rounded as it deserves."""
    return {
        "schema_version": SCHEMA_VERSION,
        "catalog_hash": advice.catalog_hash,
        "case": advice.case.model_dump(mode="json"),
        "viewpoint": advice.viewpoint,
        "samples": advice.samples,
        "seed": advice.seed,
        "effective_samples": round(advice.effective_samples),
        "allowed_seconds": advice.allowed_s,
        "verdict": _verdict(advice),
        "now": list(advice.now),
        "found": {
            "sentence": advice.found.sentence,
            "nothing_wrong": advice.found.nothing_wrong,
            "spillage": _rounded(asdict(advice.found.spillage)),
            "zone_depressurization_pa": {
                "p05": round(advice.found.zone_depressurization_pa.low, 1),
                "p50": round(advice.found.zone_depressurization_pa.typical, 1),
                "p95": round(advice.found.zone_depressurization_pa.high, 1),
            },
            "risk_score": round(advice.found.risk_score, 1),
            "score_parts": _parts(advice.found.score_parts),
            "exposure": _rounded(asdict(advice.found.exposure)),
            "everyday": _rounded(asdict(advice.found.everyday)),
            "card": _rounded(asdict(advice.found.card)),
            "card_differs": advice.found.card_differs,
        },
        "causes": [_rounded(asdict(c)) for c in advice.found.causes if c.named],
        "explanation": _explanation(advice),
        "contradictions": list(advice.contradictions),
        "next_tests": [_rounded(asdict(t)) for t in advice.next_tests],
        "expected_at_retest": {o.id: _rounded(asdict(o.expected), 1) for o in advice.options if o.expected is not None},
        "enough": asdict(advice.enough),
        "pass_limits": asdict(advice.pass_limits),
        "retests": [_rounded(asdict(r)) for r in advice.retests],
        "audits": [asdict(a) for a in advice.audits],
        "review": [_check(c) for c in advice.review],
        "amendments": [asdict(a) for a in advice.amendments],
        "comparison": _rounded(asdict(advice.comparison)),
        "options": [option_as_dict(o) for o in advice.options],
        "interim": list(advice.interim),
        "assumed": list(advice.assumed),
        "cautions": list(advice.cautions),
    }


def as_json(advice: Advice) -> str:
    """Return the advice as JSON text."""
    return json.dumps(asdict(as_dict(advice)), indent=2, ensure_ascii=False, sort_keys=False) + "\n"
