"""Sentences of the page from ``catalog/texts/page_texts.csv``, chosen by what is true of the case."""

from __future__ import annotations

from advisor import catalog
from advisor.advice import Advice
from advisor.facts.carbon_monoxide import flue_co_air_free_ppm
from advisor.ranking.options import Option
from advisor.wording.speak import say


def tags(advice: Advice, options: list[Option]) -> frozenset[str]:
    """Return what is true of a case and of the options shown: the words of the column ``when``."""
    case, record = advice.case, advice.verdict
    stands, clear = record.stands, record.all_clear
    flue = flue_co_air_free_ppm(case.run)
    limit = next(float(r["to_ppm"]) for r in catalog.table("co_limits") if r["key"] == "flue_wh")
    alarmed = {case.occupants.symptoms, case.occupants.alarm_sounded} & {"now", "in the past"}
    early = any(r.outcome == "early spillage" for r in record.present)
    no_hood = any(case.run[r.index].seen == "no hood" for r in record.present)
    facts = {
        "always": True,
        "danger": bool(record.dangers),
        "spills": stands == "failed",
        "drawn": record.leads != "confirmed",
        "confirmed": record.leads == "confirmed" and not no_hood,
        "confirmed no hood": record.leads == "confirmed" and no_hood,
        "not confirmed": stands == "not confirmed",
        "fine": record.leads == "passed",
        "not fine": not clear,
        "early": stands == "unproven" and early,
        "unsure": stands == "unproven" and not early,
        "reversed": stands == "failed" and any(case.run[r.index].seen == "reversed" for r in record.failing),
        "no alarm": not case.occupants.co_alarms,
        "emergency": not clear or bool(alarmed),
        "masonry": case.vent.vertical in ("masonry", "lined masonry"),
        "shared": case.shared_appliance is not None,
        "flue co": flue is not None and flue > limit,
        "return leak": stands == "failed"
        and advice.explained
        and any(c.id == "return_leak" and c.stops_alone > 0.5 for c in advice.found.causes),
        "retest": any(line.measure_id == "RETEST" for o in options for line in o.bill),
        "electric": any(_row(m)["power_v"] for o in options for m in o.members or (o.id,)),
    }
    families = {o.family for o in options} | {_row(m)["family"] for o in options for m in o.members}
    return frozenset({name for name, true in facts.items() if true} | families)


def _row(remedy_id: str) -> catalog.Row:
    return next(r for r in catalog.table("remedies") if r["id"] == remedy_id)


def texts(viewpoint: str, section: str, true: frozenset[str]) -> list[str]:
    """Return the sentences of a section whose condition holds, in the order of the catalog."""
    return [
        row["words"]
        for row in catalog.table("page_texts")
        if row["viewpoint"] == viewpoint and row["section"] == section and row["when"] in true
    ]


def text(viewpoint: str, key: str) -> str:
    """Return one sentence by its key."""
    for row in catalog.table("page_texts"):
        if row["viewpoint"] == viewpoint and row["key"] == key:
            return row["words"]
    raise KeyError(key)


def about(option: Option, column: str) -> str:
    """Return what a column of ``catalog/texts/page_options.csv`` says about an option, or about the parts of a bundle."""
    rows = {row["id"]: row for row in catalog.table("page_options")}
    found: list[str] = []
    for one in option.members or (option.id,):
        words = rows[one][column] if one in rows else ""
        if words not in ("", "none", "no change", *found):
            found.append(words)
    empty = {"noise": "No new noise.", "space": "No change.", "disruption": "None."}
    return " ".join(found) or empty.get(column) or say(option.title)
