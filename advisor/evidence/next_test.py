"""Which test comes next: every candidate is simulated in the fitting situations, its answers weigh them anew.

A test is worth what it takes off the expected cost of a wrong choice. Nothing here knows rules such as "a window tells
pressure from vent": that comes out of the physics.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.case.model import listed as known
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.respond import Response, respond, zone_pressure_pa
from advisor.ensemble.state import Array, Condition, State
from advisor.evidence.decision import Choice, best_share, decide, decision_table, expected_regret_usd, outcomes
from advisor.evidence.enough import lacks_worst_case, void_runs
from advisor.evidence.observations import draft_deviation_pa, number, pressure_deviation_pa
from advisor.evidence.posterior import Posterior
from advisor.facts.carbon_monoxide import ambient_stop_ppm
from advisor.facts.leakage import cfm50, measured_cfm50
from advisor.facts.place import barred_by_place
from advisor.facts.record import Verdict, verdict_of
from advisor.findings import Finding, Words, finding, listed, quantity, share


@dataclass(frozen=True, slots=True)
class _TestRow:
    """What a test takes, whether it repeats the worst case, and whether a burner fires in it (``next_tests``)."""

    id: str
    minutes: float
    repeats_worst_case: bool
    fires: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """One possible answer of a test.

    Parameters
    ----------
    words : Finding
        What would be seen.
    probability : float
        How likely it is.
    choice_id : str
        The option that would then be chosen.
    choice_title : Finding
        Its title.
    choice_best : float
        How likely that option is then the cheapest one that works.
    """

    words: Words
    probability: float
    choice_id: str
    choice_title: Words
    choice_best: float


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test, and what its answer is worth.

    Parameters
    ----------
    id : str
        Row of ``catalog/evidence/next_tests.csv``.
    title, caution : Finding
        What is done, and what to take care of.
    minutes : float
        Effort.
    value_usd : float
        What it takes off the expected cost of a wrong choice, and what the better chance of the best option is worth.
    value_usd_per_min : float
        The same for each minute.
    best_before, best_after : float
        Probability of choosing the cheapest option that works, without and with the test.
    changes_choice : bool
        Is there an answer that changes the choice?
    required : bool
        True for what the record needs before anything is decided, whatever it is worth in dollars.
    stop_ppm : float or None
        Room CO above which the test stops; None where the heater is not fired.
    answers : tuple of Answer
        Likeliest first.
    words : Finding
        The test with what its answers would change, in one sentence.
    """

    id: str
    title: Words
    caution: Words
    minutes: float
    value_usd: float
    value_usd_per_min: float
    best_before: float
    best_after: float
    changes_choice: bool
    required: bool
    stop_ppm: float | None
    answers: tuple[Answer, ...]
    words: Words


@dataclass(frozen=True)
class _Scene:
    """What all candidates share."""

    case: Case
    state: State
    question: Question
    found: Response

    @property
    def worst(self) -> Condition:
        """The worst case."""
        return self.question.condition


DRAFTS = finding("evidence.seen.drafts")
JUDGED_BY = ("smoke", "instrument")
"""A test that is to decide is judged by smoke and by the reading of the draft: both must err for the answer to be wrong."""
Answers = list[tuple[Finding, Array]]
"""An answer and its chance in every situation; the chances of one test sum to 1."""


Between = Callable[[float | None, float | None], Finding]
"""From the ends of a bin, None where it is open, to what would be seen."""


def _setting(key: str) -> float:
    return catalog.number("next_tests_settings", key)


def _wrong() -> float:
    """Return the chance that a deciding test is misread, or that the model errs."""
    tester = number(f"misread_{JUDGED_BY[0]}") * number(f"misread_{JUDGED_BY[1]}")
    return tester + number("misread_independent") + number("model_error")


def _drafts(scene: _Scene, condition: Condition) -> Answers:
    drafts = scene.question.under(condition).spills(scene.state) < 0.5
    wrong = _wrong()
    chance = np.where(drafts, 1.0 - wrong, wrong)
    return [(DRAFTS, chance), (finding("evidence.seen.spills"), 1.0 - chance)]


def _worst_case(scene: _Scene) -> Answers:
    return _drafts(scene, scene.worst)


def _natural(scene: _Scene) -> Answers:
    quiet = replace(conditions.idle_house(scene.worst), interior_doors_shut=False, zone_door="open")
    return _drafts(scene, quiet)


def _window(scene: _Scene) -> Answers:
    return _drafts(scene, replace(scene.worst, window_m2=_setting("window_area_ft2") * units.M2_PER_FT2))


def _zone_door(scene: _Scene) -> Answers:
    return _drafts(scene, replace(scene.worst, zone_door="open"))


def _clear(scene: _Scene) -> Answers:
    return _drafts(scene, replace(scene.worst, intake="cleared"))


def _doors(scene: _Scene) -> Answers:
    return _drafts(scene, replace(scene.worst, interior_doors_shut=False))


def _handler(scene: _Scene) -> Answers:
    return _drafts(scene, replace(scene.worst, air_handler="off"))


def _cold(scene: _Scene) -> Answers:
    cold = units.kelvin_from_fahrenheit(_setting("cold_weather_f"))
    return _drafts(scene, replace(scene.worst, outdoor_k=cold))


def _strongest(state: State) -> list[int]:
    running = [i for i, d in enumerate(state.devices) if d.counts_in_worst_case]
    running.sort(key=lambda i: -float(state.house.device_m3_s[i].mean()))
    return running[: int(_setting("fans_tried"))]


def _fans(scene: _Scene) -> Answers:
    """First device, from the strongest down, that makes it draft once it alone is off; or none."""
    tried, n = _strongest(scene.state), scene.state.samples
    kind = np.full(n, len(tried))
    for position in reversed(range(len(tried))):
        on = tuple(a and i != tried[position] for i, a in enumerate(scene.worst.devices_on))
        off = scene.question.under(replace(scene.worst, devices_on=on))
        kind = np.where(off.spills(scene.state) < 0.5, position, kind)
    words = [finding("evidence.seen.drafts_once_off", device=scene.state.devices[i].name) for i in tried]
    words.append(finding("evidence.seen.none_alone"))
    wrong = _wrong()
    return [(w, np.where(kind == k, 1.0 - wrong, wrong / len(tried))) for k, w in enumerate(words)]


def _binned(values: Array, deviation: Array, words: Between) -> Answers:
    """Answers of a reading in three bins that the situations fill alike, blurred by its error."""
    from scipy.special import ndtr

    low, high = (float(v) for v in np.quantile(values, (1.0 / 3.0, 2.0 / 3.0)))
    if high - low < 1e-9:
        return [(words(None, None), np.ones_like(values))]
    below = ndtr((low - values) / deviation)
    under = ndtr((high - values) / deviation)
    return [(words(None, low), below), (words(low, high), under - below), (words(high, None), 1.0 - under)]


def _between(what: str, unit: str) -> Between:
    def words(low: float | None, high: float | None) -> Finding:
        if low is None and high is None:
            return finding(f"evidence.seen.{what}_as_expected")
        if low is None:
            return finding(f"evidence.seen.{what}_under", high=quantity(high, unit))
        if high is None:
            return finding(f"evidence.seen.{what}_over", low=quantity(low, unit))
        return finding(f"evidence.seen.{what}_between", low=quantity(low, unit), high=quantity(high, unit))

    return words


def _zone_pressure(scene: _Scene) -> Answers:
    idle = zone_pressure_pa(scene.state, conditions.idle_house(scene.worst))
    net = idle + scene.found.zone_depressurization_pa
    # a reading with its baseline, in calm air
    run = scene.case.run[0].model_copy(update={"wind_mph": None, "baseline_depressurization_pa": 0.0})
    return _binned(net, pressure_deviation_pa(run, net), _between("fans", "pa"))


def _draft(scene: _Scene) -> Answers:
    draft = scene.found.draft_pa
    return _binned(draft, draft_deviation_pa(draft), _between("draft", "pa"))


def _mirror(scene: _Scene) -> Answers:
    blocked = scene.state.vent.blocked > _setting("mirror_sees_from_blocked")
    seen = np.where(blocked, 1.0 - _setting("mirror_misses"), _setting("mirror_false_alarm"))
    return [(finding("evidence.seen.blockage"), seen), (finding("evidence.seen.clear"), 1.0 - seen)]


def _leakage(scene: _Scene) -> Answers:
    state = scene.state
    flow = cfm50(scene.case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    spread = np.full(flow.shape, np.log(_setting("leakage_gsd")))

    def words(low: float | None, high: float | None) -> Finding:
        ends = tuple(None if v is None else float(np.exp(v)) for v in (low, high))
        return _between("leakage", "cfm")(*ends)

    return _binned(np.log(flow), spread, words)


CANDIDATES: dict[str, Callable[[_Scene], Answers]] = {
    "worst_case": _worst_case,
    "calm_day": _worst_case,
    "natural": _natural,
    "open_window": _window,
    "open_zone_door": _zone_door,
    "fans_one_by_one": _fans,
    "clear_intake": _clear,
    "interior_doors": _doors,
    "air_handler": _handler,
    "zone_pressure": _zone_pressure,
    "draft": _draft,
    "mirror": _mirror,
    "air_leakage": _leakage,
    "cold_weather": _cold,
}


def _possible(name: str, case: Case, state: State) -> bool:
    """Say whether a test can be made here and is not on record already."""
    runs = [r for r in case.run if r.after_work is None]
    exhaust = any(d.counts_in_worst_case for d in state.devices)
    openings = {o.state for o in known(case.opening)}
    tests = {
        "worst_case": lacks_worst_case(case),
        "calm_day": bool(void_runs(case)),
        "natural": not any(not r.devices_on and not r.window_open_ft2 and r.seen != "unclear" for r in runs),
        "open_window": not any((r.window_open_ft2 or 0.0) >= 1.0 for r in runs),
        "open_zone_door": state.has_door and not any(r.zone_door == "open" for r in runs),
        "fans_one_by_one": exhaust,
        "clear_intake": bool(openings - {"open"}) and not any(r.intake == "cleared" for r in runs),
        "interior_doors": case.zone.kind != "open plan" and exhaust,
        "air_handler": case.air_handler.present is True and {r.air_handler for r in runs} != {"on", "off"},
        "zone_pressure": not any(r.zone_depressurization_pa is not None and r.devices_on for r in runs),
        "draft": not any(r.draft_pa is not None for r in runs),
        "mirror": not case.vent.inspected and case.vent.condition == "unknown",
        "air_leakage": measured_cfm50(case) is None,
        "cold_weather": conditions.test_day_f(case) > _setting("cold_weather_f") + 10.0,
    }
    return tests[name]


def next_tests(
    case: Case,
    posterior: Posterior,
    question: Question,
    choices: Sequence[Choice],
    explained: bool = True,
    seed: int = 1,
    record: Verdict | None = None,
) -> tuple[NextTest, ...]:
    """Return the tests that could be made next, the one that pays most for its effort first.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    question : Question
        The worst case.
    choices : sequence of Choice
        The options that could be chosen, those that are possible here only.
    explained : bool
        Can the model show what was seen?
    seed : int
        Chooses the situations that are looked at.
    record : Verdict, optional
        Of the whole record; that of the case's own runs where it is left out.

    Returns
    -------
    tuple of NextTest
        Empty where there is nothing to choose between.
    """
    verdict = record or verdict_of(case)
    if len(choices) < 2 or verdict.dangers or verdict.leads == "confirmed":
        return ()  # nobody tests in a house in danger; after a confirmed repair there is nothing to find out
    state = posterior.some(int(number("next_test_samples")), seed)
    table = decision_table(choices, outcomes(choices, state, question))
    weight = np.full(state.samples, 1.0 / state.samples)
    leave, barred = verdict.may_leave, barred_by_place(case)
    now = decide(table, weight, leave)
    regret, best = expected_regret_usd(table, weight, now), best_share(table, weight, now)
    scene = _Scene(case, state, question, respond(state, question.condition))
    found = []
    for row in catalog.rows_of(_TestRow, "next_tests"):
        if not _possible(row.id, case, state):
            continue
        after_regret = after_best = 0.0
        answers, changed = [], False
        for words, chance in CANDIDATES[row.id](scene):
            likely = float(chance @ weight)
            if likely <= 0.0:
                continue
            then = chance * weight / likely
            # a pass of the worst-case test itself is what allows to leave the heater as it is
            passed = row.id == "worst_case" and words == DRAFTS and not verdict.seen_to_spill and not barred
            chosen = decide(table, then, leave or passed)
            after_regret += likely * expected_regret_usd(table, then, chosen)
            after_best += likely * best_share(table, then, chosen)
            pair = table.choices[chosen]
            if likely >= _setting("least_share"):
                changed = changed or chosen != now
                answers.append(Answer(words, likely, pair.id, pair.title, best_share(table, then, chosen)))
        title = _title(row.id)
        value, minutes = _value_usd(regret - after_regret, after_best - best), _minutes(row, case)
        answers.sort(key=lambda a: -a.probability)
        found.append(
            NextTest(
                id=row.id,
                title=title,
                caution=finding(f"evidence.test.caution.{row.id}"),
                minutes=minutes,
                value_usd=value,
                value_usd_per_min=value / minutes,
                best_before=best,
                best_after=after_best,
                changes_choice=changed,
                required=_required(row.id, case, verdict, explained),
                stop_ppm=ambient_stop_ppm() if row.fires else None,
                answers=tuple(answers),
                words=_sentence(title, minutes, answers, value >= _setting("least_value_usd")),
            )
        )
    return tuple(sorted(found, key=lambda t: (not t.required, -round(t.value_usd_per_min, 6), t.minutes)))


def _title(name: str) -> Finding:
    """Return what is done in a test; for the open window, how wide."""
    title = finding(f"evidence.test.title.{name}")
    if name == "open_window":
        return title.with_values(area=quantity(_setting("window_area_ft2"), "ft2"))
    return title


def _required(name: str, case: Case, verdict: Verdict, explained: bool) -> bool:
    """Return whether the record needs a test before anything is decided."""
    if name == "worst_case":
        return "unproven" in verdict.states or not explained
    if name == "mirror":
        return not verdict.all_clear
    return name == "calm_day"


def _minutes(row: _TestRow, case: Case) -> float:
    """Effort of a test; what repeats the worst case with one change takes the worst case's set-up where there was none."""
    if row.repeats_worst_case and lacks_worst_case(case):
        return row.minutes + catalog.rows_by(_TestRow, "next_tests", "id")["worst_case"].minutes
    return row.minutes


def _value_usd(regret_falls_usd: float, best_rises: float) -> float:
    """Value of a test: what it takes off the cost of a wrong choice, and what choosing the best option is worth."""
    return max(0.0, regret_falls_usd + best_rises * _setting("best_choice_usd"))


def _sentence(title: Finding, minutes: float, answers: list[Answer], pays: bool) -> Finding:
    time = quantity(minutes, "min")
    if not pays or len({a.choice_id for a in answers}) < 2:
        return finding("evidence.test.hardly", title=title, minutes=time)
    parts = (
        finding("evidence.test.answer", seen=a.words, share=share(a.probability), choice=a.choice_title)
        for a in answers
    )
    return finding("evidence.test.answers", title=title, minutes=time, answers=listed(parts, "semicolon"))
