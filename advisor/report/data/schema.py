"""The published schema of the JSON output (JSON Schema, draft 2020-12)."""

from __future__ import annotations

from typing import Any

from advisor.report.data.as_json import SCHEMA_VERSION

Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": "number"}
SHARE: Schema = {"type": "number", "minimum": 0, "maximum": 1}
FLAG: Schema = {"type": "boolean"}
TEXTS: Schema = {"type": "array", "items": TEXT}


def record(properties: dict[str, Schema], optional: tuple[str, ...] = ()) -> Schema:
    """Return a closed object schema; every property is required unless named."""
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


def listed(item: Schema) -> Schema:
    """Return an array schema."""
    return {"type": "array", "items": item}


NULL_NUMBER: Schema = {"type": ["number", "null"]}
BAND = record({"p05": NULL_NUMBER, "p50": NULL_NUMBER, "p95": NULL_NUMBER})
MONEY = record({"low": NUMBER, "typical": NUMBER, "high": NUMBER})
SPILLAGE = record(
    {
        **dict.fromkeys(("worst_case", "mild_day", "gusty", "tightened", "more_exhaust"), SHARE),
        "failing_runs": listed(SHARE),
    }
)
STATES: Schema = {"enum": ["danger now", "not confirmed", "failed", "unproven", "passed", "confirmed"]}
NULL_TEXT: Schema = {"type": ["string", "null"]}
HELD = record(
    {
        "id": TEXT,
        "state": {"enum": ["met", "not met", "not written down", "does not apply"]},
        "errs": {"enum": ["easier", "harder", "unknown"]},
        "spoils_pass": FLAG,
        "names": TEXTS,
        "value": NULL_NUMBER,
        "limit": NULL_NUMBER,
    }
)
RUN_VERDICT = record(
    {
        "index": {"type": "integer", "minimum": 0},
        "label": TEXT,
        "after_work": NULL_TEXT,
        "outcome": {"enum": ["failure", "pass", "unproven", "early spillage", "covered for the test", "unclear"]},
        "limit": record({**dict.fromkeys(("key", "what", "scheme", "status", "source"), TEXT), "limit_s": NUMBER}),
        "conditions": listed(HELD),
    }
)
VERDICT = record(
    {
        "leads": STATES,
        "states": listed(STATES),
        "dangers": listed({"enum": ["symptoms", "alarm", "co_evacuate", "co_act"]}),
        "runs": listed(RUN_VERDICT),
        "room_co_ppm": NULL_NUMBER,
        "room_co_level": NULL_TEXT,
        "flue_co_over": FLAG,
        "after_work": NULL_TEXT,
        "holds_f": NULL_NUMBER,
        **dict.fromkeys(("failed", "may_leave", "all_clear", "explained"), FLAG),
    }
)
CHECK = record(
    dict.fromkeys(("rule", "clause", "required", "provided", "verdict", "client", "official", "status", "source"), TEXT)
    | {"missing": TEXTS}
)
LINE = record(
    {
        "measure_id": TEXT,
        "words": TEXT,
        "quantity": NUMBER,
        "unit": TEXT,
        "low_usd": NUMBER,
        "typical_usd": NUMBER,
        "high_usd": NUMBER,
        "labour_h": NULL_NUMBER,
        "status": TEXT,
        "source": TEXT,
        "assumed": FLAG,
    }
)


LIFE = record(
    {
        "study_years": {"type": "integer"},
        "discount_rate": NUMBER,
        **dict.fromkeys(("first_usd", "replacement_usd", "residual_usd", "energy_usd", "upkeep_usd"), NUMBER),
        "total_usd": MONEY,
        **dict.fromkeys(
            (
                "existing_heater_remaining_years",
                "savings_to_investment",
                "payback_years",
                "break_even_electricity_usd_kwh",
            ),
            NULL_NUMBER,
        ),
        "cash_flow": listed(
            record({"year": {"type": "integer"}, "paid_usd": NUMBER, "cumulative_present_usd": NUMBER})
        ),
    }
)
ENERGY = record(
    {
        **dict.fromkeys(("gas_therm", "propane_gal", "electricity_kwh", "energy_usd", "upkeep_usd"), NUMBER),
        "outdoor_air_usd": NUMBER,
        "co2_kg": NUMBER,
        "co2_factors": TEXT,
        "notes": TEXTS,
    }
)
FIT = record(
    {
        "need": TEXT,
        "verdict": TEXT,
        "words": TEXT,
        "measure_id": {"type": ["string", "null"]},
        "quantity": NUMBER,
        "blocking": FLAG,
        "assumed": FLAG,
        "perhaps": FLAG,
        "status": TEXT,
        "source": TEXT,
    }
)


PARTS = record(dict.fromkeys(("worst_case", "everyday", "stresses", "severity"), NUMBER))


def option_schema() -> Schema:
    """Return the schema of one option."""
    return record(
        {
            "id": TEXT,
            "title": TEXT,
            "family": TEXT,
            "rank": {"type": ["integer", "null"], "minimum": 1},
            "appliance": {"enum": ["natural draft", "fan-assisted", "power vent", "sealed", "none"]},
            "eligible": FLAG,
            "safety": {"enum": ["robust", "as tested", "not enough"]},
            "near_limit": FLAG,
            "barred_by": TEXT,
            "safe_enough": FLAG,
            "reasons": TEXTS,
            "spillage": SPILLAGE,
            "vent_runs_wet": SHARE,
            "zone_depressurization_pa": BAND,
            "seconds_to_draft": BAND,
            "draft_pa": BAND,
            "installed_cost_usd": MONEY,
            "yearly_cost_usd": MONEY,
            "risk_score": {"type": "number", "minimum": 0, "maximum": 100},
            "value": SHARE,
            "value_parts": {"type": "object", "additionalProperties": SHARE},
            "bill": listed(LINE),
            "parts": TEXTS,
            "notes": TEXTS,
            "checks": listed(CHECK),
            "needs": TEXT,
            "lead_days": NUMBER,
            "life_cycle": LIFE,
            "energy": ENERGY,
            "fit": listed(FIT),
            "incentive_usd": NUMBER,
            "members": TEXTS,
            "score_parts": PARTS,
            "everyday_hours_year": BAND,
            "further_stress": {"type": "object", "additionalProperties": SHARE},
            "holds_until": {
                "anyOf": [
                    {"type": "null"},
                    record({"more_exhaust_cfm": NULL_NUMBER, "leakage_cfm50": NULL_NUMBER, "words": TEXT}),
                ]
            },
            "rank_share": {"type": ["array", "null"], "items": SHARE, "minItems": 3, "maxItems": 3},
        }
    )


def schema() -> Schema:
    """Return the schema of the whole output."""
    found = record(
        {
            "sentence": TEXT,
            "nothing_wrong": FLAG,
            "spillage": SPILLAGE,
            "zone_depressurization_pa": BAND,
            "risk_score": {"type": "number", "minimum": 0, "maximum": 100},
            "score_parts": PARTS,
            # nested plain data; its fields are those of the structs of the same name, documented in docs/risk.md
            "exposure": {"type": "object"},
            "everyday": {"type": "object"},
            "card": {"type": "object"},
            "card_differs": TEXT,
        }
    )
    driver = record(
        {
            **dict.fromkeys(
                ("id", "words", "low_winner", "high_winner", "low_winner_id", "high_winner_id", "unit"), TEXT
            ),
            "low": NUMBER,
            "high": NUMBER,
        }
    )
    speaks = record(
        {
            "run_index": {"type": "integer", "minimum": -1},
            **dict.fromkeys(("run", "kind", "observed"), TEXT),
            "value": NULL_NUMBER,
            "log_odds": NUMBER,
        }
    )
    cause = record(
        {
            "id": TEXT,
            "words": TEXT,
            "stops_alone": SHARE,
            "present": SHARE,
            "part_of_cure": SHARE,
            "speaks_for": listed(speaks),
            "speaks_against": listed(speaks),
            "by_run": listed(record({"run_index": {"type": "integer", "minimum": 0}, "stops_alone": SHARE})),
            "named": FLAG,
        }
    )
    answer = record(
        {"words": TEXT, "probability": SHARE, "choice_id": TEXT, "choice_title": TEXT, "choice_best": SHARE}
    )
    test = record(
        {
            **dict.fromkeys(("id", "title", "caution"), TEXT),
            **dict.fromkeys(("minutes", "value_usd", "value_usd_per_min"), NUMBER),
            "best_before": SHARE,
            "best_after": SHARE,
            "changes_choice": FLAG,
            "required": FLAG,
            "stop_ppm": NULL_NUMBER,
            "answers": listed(answer),
            "words": TEXT,
        }
    )
    triple: Schema = {"type": "array", "items": NULL_NUMBER, "minItems": 3, "maxItems": 3}
    expected = record(
        {
            **dict.fromkeys(
                ("net_depressurization_pa", "zone_depressurization_pa", "draft_pa", "seconds_to_draft"), triple
            ),
            "drafts": SHARE,
            "appliance": TEXT,
        }
    )
    retest = record(
        {
            "index": {"type": "integer", "minimum": 0},
            **dict.fromkeys(("run", "option_id", "verdict"), TEXT),
            "drafts": NULL_NUMBER,
            "reasons": listed(record({"id": TEXT, "probability": SHARE})),
            "shortfalls": TEXTS,
            "readings": listed(record({"key": TEXT, "before": NULL_NUMBER, "after": NULL_NUMBER})),
        }
    )
    audit = record(
        {
            "label": TEXT,
            "worst_case": FLAG,
            "shows": TEXT,
            **dict.fromkeys(("shortfalls", "unwritten", "missing", "redo"), TEXTS),
        }
    )
    observation = record(
        {
            "run_index": {"type": "integer", "minimum": -1},
            "kind": {"enum": ["seen", "seconds", "draft", "pressure", "baseline", "signs"]},
            "observed": {"type": ["number", "string"]},
            "expected": {"type": ["array", "null"], "items": NULL_NUMBER, "minItems": 3, "maxItems": 3},
            "probability": SHARE,
            "taken_as_true": FLAG,
            "fits": FLAG,
        }
    )
    explanation = record(
        {"explained": FLAG, "enough_situations": FLAG, "odd": TEXTS, "observations": listed(observation)}
    )
    enough = record({"enough": FLAG, "lacks": TEXTS, "void": listed({"type": "integer"})})
    limits = record({"seconds_s": NUMBER, "scheme": TEXT, "room_co_ppm": NUMBER, "flue_co_ppm": NUMBER})
    amendment = record(
        {"table": TEXT, "key": TEXT, "value": NUMBER, "source": TEXT, "published": NUMBER, "unit": TEXT, "ref": TEXT}
    )
    whole = record(
        {
            "schema_version": {"const": SCHEMA_VERSION},
            "catalog_hash": TEXT,
            "case": {"type": "object"},
            "viewpoint": {"enum": ["contractor", "inspector", "homeowner"]},
            "samples": {"type": "integer"},
            "seed": {"type": "integer"},
            "effective_samples": {"type": "integer"},
            "allowed_seconds": NUMBER,
            "verdict": VERDICT,
            "now": TEXTS,
            "found": found,
            "causes": listed(cause),
            "explanation": explanation,
            "contradictions": TEXTS,
            "next_tests": listed(test),
            "expected_at_retest": {"type": "object", "additionalProperties": expected},
            "enough": enough,
            "pass_limits": limits,
            "retests": listed(retest),
            "audits": listed(audit),
            "review": listed(CHECK),
            "amendments": listed(amendment),
            "comparison": record({"words": TEXT, "tie": FLAG, "drivers": listed(driver)}),
            "options": listed(option_schema()),
            "interim": TEXTS,
            "assumed": TEXTS,
            "cautions": TEXTS,
        }
    )
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Advice on a spilling heater", **whole}
