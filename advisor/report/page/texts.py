"""Sentences of the page, chosen by what is true of the case: ``catalog/report/page_texts.csv`` says which stands when."""

from __future__ import annotations

from advisor import catalog
from advisor.advice import Advice
from advisor.case.upgrade import HEATER
from advisor.ranking.options import Option, Viewpoint
from advisor.wording.messages import has
from advisor.wording.speak import say, text

ROOMS: dict[Viewpoint, str] = {"homeowner": "page", "inspector": "inspector", "contractor": "quote"}
"""Room of the messages of each reader's page."""
LIKELY_SHARE = 0.5
"""A cause from which its own contractor is named."""


def tags(advice: Advice, options: list[Option]) -> frozenset[str]:
    """Return what is true of a case and of the options shown: the words of the column ``when``."""
    case, record = advice.case, advice.verdict
    families = {o.family for o in options} | {_row(m)["family"] for o in options for m in o.members}
    lines = {line.measure_id for o in options for line in o.bill}
    facts = {
        "always": True,
        "no alarm": not case.occupants.co_alarms,
        "masonry": case.vent.vertical in ("masonry", "lined masonry"),
        "shared": any(one.vent == "with the heater" for one in record.others),
        "flue co": any(h.id == "flue_co" and h.state == "not met" for r in record.runs for h in r.conditions),
        "return leak": _return_leaks(advice),
        "retest": "RETEST" in lines,
        "electric": any(_row(m)["power_v"] for o in options for m in o.members or (o.id,)),
        **_record_facts(advice),
    }
    return frozenset({name for name, true in facts.items() if true} | families)


def _record_facts(advice: Advice) -> dict[str, bool]:
    case, record = advice.case, advice.verdict
    stands = record.stands
    early = any(r.outcome == "early spillage" for r in record.present)
    no_hood = any(case.run[r.index].seen == "no hood" for r in record.present)
    alarmed = {case.occupants.symptoms, case.occupants.alarm_sounded} & {"now", "in the past"}
    return {
        "danger": bool(record.dangers),
        "spills": stands == "failed",
        "vent failed": bool(record.vent_failed_by),
        "vent stopped": not record.vent_failed_by and len(record.stop) > 1 and record.stop[0] == HEATER,
        "other failed": any(one.spilled and one.name not in record.vent_failed_by for one in record.others),
        "drawn": record.leads != "confirmed",
        "confirmed": record.leads == "confirmed" and not no_hood,
        "confirmed no hood": record.leads == "confirmed" and no_hood,
        "not confirmed": stands == "not confirmed",
        "place barred": "not allowed here" in record.states,
        "fine": record.leads == "passed",
        "not fine": not record.all_clear,
        "early": stands == "unproven" and early,
        "unsure": stands == "unproven" and not early,
        "reversed": stands == "failed" and any(case.run[r.index].seen == "reversed" for r in record.failing),
        "emergency": not record.all_clear or bool(alarmed),
    }


def _return_leaks(advice: Advice) -> bool:
    likely = any(c.id == "return_leak" and c.stops_alone > LIKELY_SHARE for c in advice.found.causes)
    return advice.verdict.stands == "failed" and advice.explained and likely


def _row(remedy_id: str) -> catalog.Row:
    return next(r for r in catalog.table("remedies") if r["id"] == remedy_id)


def texts(viewpoint: Viewpoint, section: str, true: frozenset[str]) -> list[str]:
    """Return the sentences of a section whose condition holds, in the order of the catalog."""
    return [
        text(f"{ROOMS[viewpoint]}.{section}.{row['key']}")
        for row in catalog.table("page_texts")
        if row["viewpoint"] == viewpoint and row["section"] == section and row["when"] in true
    ]


def about(option: Option, what: str) -> str:
    """Return what messages ``page.option.<id>.<what>`` say about an option, or about the parts of a bundle.

    Parameters
    ----------
    option : Option
        The option.
    what : str
        ``plain``, ``noise``, ``space`` or ``disruption``; a remedy without such a message changes nothing there.
    """
    ids = [f"page.option.{one}.{what}" for one in option.members or (option.id,)]
    found = list(dict.fromkeys(text(message) for message in ids if has(message)))
    if found:
        return " ".join(found)
    return say(option.title) if what == "plain" else text(f"page.nothing.{what}")
