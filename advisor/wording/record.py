"""What the record shows, in sentences: run by run, and what is still to be written down or done again."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.case.model import Case
from advisor.facts.record import Outcome, RunVerdict, Verdict
from advisor.facts.run_conditions import Held, rows

READINGS = (
    ("outdoor_temp_f", "outdoor temperature"),
    ("wind_mph", "wind"),
    ("seconds_after_lit", "seconds after the burner lit"),
    ("zone_depressurization_pa", "zone pressure against outdoors"),
    ("baseline_depressurization_pa", "baseline pressure with everything off"),
    ("flue_co_ppm", "flue CO"),
    ("ambient_co_ppm", "CO in the room"),
)
SHOWS: dict[Outcome, str] = {
    "failure": "a failure: the heater spills",
    "pass": "a worst-case pass on that day, by the {limit:g} s line of {scheme}",
    "unproven": "no proof of safety",
    "early spillage": "spillage {when:g} s after the burner lit, before the {limit:g} s of {scheme} were over: no verdict yet",
    "covered for the test": "spillage with the air opening covered for the test: it shows what a blocked opening does",
    "unclear": "shows nothing by itself: the hood could not be judged",
}


@dataclass(frozen=True, slots=True)
class Audit:
    """What one run shows, in words.

    Parameters
    ----------
    label : str
        The run's label.
    worst_case : bool
        Was every condition of the worst case met and written down?
    shows : str
        What the run shows, in one sentence without its end.
    shortfalls : tuple of str
        Conditions that were not met.
    unwritten : tuple of str
        Conditions that nobody wrote down, where that spoils a pass.
    missing : tuple of str
        Readings that were not written down.
    redo : tuple of str
        What to write down or do again so that the run can prove a pass.
    """

    label: str
    worst_case: bool
    shows: str
    shortfalls: tuple[str, ...]
    unwritten: tuple[str, ...]
    missing: tuple[str, ...]
    redo: tuple[str, ...]


def _number(value: float | None) -> str:
    return "an unknown number of" if value is None else f"{value:.0f}" if value >= 10 else f"{value:g}"


def _filled(words: str, held: Held) -> str:
    names = ", ".join(f"'{n}'" for n in held.names)
    return words.format(names=names, value=_number(held.value), limit=_number(held.limit))


def condition_words(held: Held) -> str:
    """Return what is short of a condition, in words."""
    if held.state == "not met":
        return _filled(rows()[held.id]["not_met"], held)
    return f"not written down: {unwritten_words(held)}"


def asked_words(held: Held) -> str:
    """Return what a condition asks for, in words."""
    return _filled(rows()[held.id]["asks"], held)


def unwritten_words(held: Held) -> str:
    """Return what nobody wrote down."""
    return _filled(rows()[held.id]["not_written"], held)


def redo_words(held: Held) -> str:
    """Return what to write down or do again."""
    return _filled(rows()[held.id]["redo"], held)


def _errs_words(verdict: RunVerdict) -> str:
    if verdict.outcome != "failure":
        return ""
    if verdict.hardened:
        return f", though {'; '.join(condition_words(h) for h in verdict.hardened)}: that makes the draft harder"
    if verdict.eased:
        return "; the test was easier than a worst case, which is likely to be as bad or worse"
    return ""


def _shows(case: Case, verdict: RunVerdict) -> str:
    run = case.run[verdict.index]
    words = SHOWS[verdict.outcome].format(
        limit=verdict.limit.limit_s, scheme=verdict.limit.scheme, when=run.seconds_after_lit or 0.0
    )
    if verdict.outcome == "failure":
        return (
            f"{words} (judged by the {verdict.limit.limit_s:g} s line of {verdict.limit.scheme}){_errs_words(verdict)}"
        )
    if verdict.outcome == "unproven":
        told = [h for h in verdict.spoiling if h.state == "not met"]
        why = condition_words(told[0]) if told else "too little of the test was written down"
        return f"{words}, void, to be repeated on a calm day: {why}" if verdict.void else f"{words}: {why}"
    if verdict.outcome == "pass" and run.seen == "no hood":
        return "no draft hood is left to spill, and CO in the room was read and is low"
    return words


def audits(case: Case, verdict: Verdict) -> tuple[Audit, ...]:
    """Return what every run of a case shows, in words."""
    found = []
    for one in verdict.runs:
        run = case.run[one.index]
        short = tuple(condition_words(h) for h in one.conditions if h.state == "not met")
        # a failure needs no valid worst case: what was not written down takes nothing from it
        open_ = () if one.outcome == "failure" else tuple(h for h in one.spoiling if h.state == "not written down")
        missing = tuple(words for key, words in READINGS if getattr(run, key) is None)
        redo = tuple(dict.fromkeys(redo_words(h) for h in one.spoiling))
        unwritten = tuple(unwritten_words(h) for h in open_)
        found.append(Audit(one.label, not one.spoiling, _shows(case, one), short, unwritten, missing, redo))
    return tuple(found)
