"""Pages, prints, drawings and workbook agree with the verdict of the record, whatever the simulation says.

The yardstick is `advisor.facts.record`, which simulates nothing; the flips are those of a test record that a house can have.
"""

from __future__ import annotations

import dataclasses
import functools
import re
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from conftest import DEMOS, ROOT, said
from test_page import Page, table_with

from advisor import advice as advice_module
from advisor.advice import Advice, setting_of
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.ensemble.respond import respond
from advisor.evidence.coherence import Explanation
from advisor.ranking import ranked as ranked_module
from advisor.ranking.drawn_situation import AS_NEAR_PA, LEAST_WEIGHT, drawn_situation
from advisor.ranking.options import VIEWPOINTS
from advisor.remedies import all_remedies
from advisor.report.data.workbook import RECORD, SOURCES, VERDICT, write_workbook
from advisor.report.page.build import render_page
from advisor.report.page.drawings import DANGER, FINE, UNKNOWN
from advisor.report.page.quote import quoted
from advisor.report.text.matrix import as_markdown, as_text
from advisor.report.text.score import score_text
from advisor.report.view.choices import in_short
from advisor.report.view.present import grade_words, money_caution, not_enough_words, room_air
from advisor.wording import verdict as words

pytestmark = pytest.mark.xdist_group("verdict")  # share the advice on one worker

FEW = ("leave_as_found", "like_for_like", "clear_intake", "power_direct_vent")
"""Enough to have options that are barred, that keep the vent and that do not: working out all would only be slower."""
SPILLS = {"seen": "spilling", "method": "hand", "seconds_after_lit": 300.0, "seconds_to_draft": None, "draft_pa": None}
FLIPS: dict[str, dict[str, Any]] = {
    "as it stands": {},
    "seen": SPILLS,
    "method": {"method": "hand"},
    "seconds": {"seen": "drafting", "seconds_after_lit": 600.0, "seconds_to_draft": 400.0},
    "co 80": {"ambient_co_ppm": 80.0},
    "symptoms": {},
    "unwritten": {"interior_doors": None},
    "good pass": {"seen": "drafting", "seconds_after_lit": 300.0, "seconds_to_draft": 8.0},
}


def flipped(name: str, flip: str) -> Case:
    """Return a demo with its first run changed; 'good pass' keeps no other run."""
    case = read_case(ROOT / "demo" / f"{name}.toml").model_dump()
    case["run"][0] |= FLIPS[flip]
    if flip == "good pass":
        case["run"] = case["run"][:1]
    if flip == "symptoms":
        case["occupants"]["symptoms"] = "now"
    case["title"], case["note"] = "A house", ""
    return Case.model_validate(case)


def worked_out(case: Case) -> Advice:
    """Return the advice from few situations and few remedies."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ranked_module, "all_remedies", lambda: [r for r in all_remedies() if r.id in FEW])
        return advice_module.advise(case, "homeowner", 64, 1)


def odd(explanation: Explanation) -> Explanation:
    """Return an explanation whose first observation taken as true does not fit."""
    first = next(o for o in explanation.observations if o.taken_as_true)
    changed = [dataclasses.replace(o, fits=False) if o is first else o for o in explanation.observations]
    return dataclasses.replace(explanation, observations=tuple(changed))


@functools.cache
def advice_for(name: str, flip: str) -> Advice:
    return worked_out(flipped(name, flip))


def after_work(seen: str) -> Case:
    """Return the demo of the blocked duct with a retest in which every condition was met and written down."""
    case = read_case(ROOT / "demo" / "stored_insulation.toml").model_dump()
    sound = read_case(ROOT / "demo" / "sound_house.toml").model_dump()["run"][0]
    sound |= {
        "label": "again",
        "after_work": "clear_intake",
        "zone_door": "worst position",
        "air_handler": "tried both",
    }
    sound |= {"intake": "as found", "zone_depressurization_pa": 1.5}
    case["run"] = [*case["run"], sound if seen == "drafting" else sound | SPILLS]
    case["title"] = "A house"
    return Case.model_validate(case)


@functools.cache
def advice_after(seen: str) -> Advice:
    return worked_out(after_work(seen))


def drawings(html: str) -> list[str]:
    return re.findall(r"<svg.*?</svg>", html, re.DOTALL)


def shown_texts(drawing: str) -> str:
    return " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", drawing))


WHOLE = ("sound_house", "stored_insulation", "shared_furnace_firing")
"""Demos that are flipped in every way: a pass, a failure, neither; the others in the ways that differ for them."""
ALL = [(n, flip) for n in DEMOS for flip in (FLIPS if n in WHOLE else ("as it stands", "co 80", "good pass"))]


@pytest.mark.parametrize(("name", "flip"), ALL)
def test_pages_and_drawings_agree_with_the_record(name: str, flip: str) -> None:
    advice = advice_for(name, flip)
    record = advice.verdict
    if flip in ("co 80", "symptoms"):
        assert record.leads == "danger now"  # 70 ppm is the level at which everybody leaves (ANSI/BPI-1200, ambient CO)
    title, sentence = words.title(record, advice.explained), words.sentence(record, advice.explained)
    for viewpoint in VIEWPOINTS:
        html = render_page(advice, viewpoint)
        text = Page(html).text
        assert text.index(title) < text.index(sentence) < text.index(said(advice.now[0]))
        assert ('class="now fine"' in html) == (record.leads == "passed")
        assert "up: good" not in text
        shown = text.replace(title, "").replace(sentence, "").lower()
        for calm in ("nothing wrong", "no repair is called for", "drafted in its test", "drafted within"):
            assert record.leads == "passed" or calm not in shown, (viewpoint, calm)
        if record.stands == "unproven" and not record.dangers:
            # before the first section of the page's body, hence before any drawing and any option
            assert html.index("A test comes first") < html.index('<section id="')
    before = drawings(render_page(advice, "homeowner"))[0]
    seen = shown_texts(before)
    if record.failed:
        assert "seen to spill" in seen
        assert DANGER in before
    elif record.leads != "passed":
        assert "not known" in seen
        assert UNKNOWN in before
        assert DANGER not in before
    else:
        assert "seen to spill" not in seen
    assert record.leads == "passed" or FINE not in before


@pytest.mark.parametrize(("name", "flip"), ALL)
def test_every_picture_says_that_it_is_modelled_and_reads_first(name: str, flip: str) -> None:
    advice = advice_for(name, flip)
    pictures = drawings(render_page(advice, "homeowner"))
    assert pictures
    for picture in pictures:
        assert "odelled" in shown_texts(picture)
        assert "odelled" in re.findall(r"<desc[^>]*>([^<]*)</desc>", picture)[0]
    read = advice.air_before.read_zone_pa
    if read is not None:
        assert re.findall(r"-?[\d.]+ Pa", shown_texts(pictures[0]))[0] == f"{read:g} Pa"
        assert re.findall(r"-?[\d.]+ Pa", re.findall(r"<desc[^>]*>([^<]*)</desc>", pictures[0])[0])[0] == f"{read:g} Pa"


@pytest.mark.parametrize(("name", "flip"), ALL)
def test_texts_sell_nothing_where_a_test_or_a_danger_comes_first(name: str, flip: str) -> None:
    advice = advice_for(name, flip)
    record, lines = advice.verdict, in_short(advice)
    if record.dangers:
        assert lines[0].startswith("First what stands under what to do now")
    elif record.stands == "unproven":
        assert lines[0].startswith("A test comes first: ")
        assert not [line for line in lines if line.startswith("Ranked first")]
    money = money_caution(advice)
    assert "$0" not in money
    assert not money or record.stands == "failed"
    for option in advice.options:
        if option.id in ("leave_as_found", "like_for_like") and not record.may_leave:
            assert option.rank is None
            assert not_enough_words(option).startswith("barred")
    assert title_of(advice) in as_markdown(advice)
    assert title_of(advice) in score_text(advice)


def title_of(advice: Advice) -> str:
    return words.title(advice.verdict, advice.explained)


def test_what_is_not_explained_names_no_cause_and_puts_the_test_first() -> None:
    plain = advice_for("stored_insulation", "as it stands")
    advice = dataclasses.replace(plain, explanation=odd(plain.explanation))
    assert in_short(advice)[0].startswith("A test comes first: ")
    assert not [line for line in in_short(advice) if "for the case that the heater fails it" in line]
    for viewpoint in VIEWPOINTS:
        html = render_page(advice, viewpoint)
        assert "NOT EXPLAINED" in html
        assert html.index("A test comes first") < html.index('<section id="')
        assert "Likely causes" not in html
        assert "Causes and their probabilities" not in html


# ---- a reading is a floor


@pytest.mark.parametrize("ppm", [12.0, 33.0, 80.0])
def test_no_modelled_co_below_what_was_read(ppm: float) -> None:
    case = flipped("nest_in_the_vent", "as it stands").model_dump()
    case["run"][0]["ambient_co_ppm"] = ppm
    advice = worked_out(Case.model_validate(case))
    lines = room_air(advice)
    assert f"{ppm:g} ppm" in lines[0]
    assert "CO read in the room" in lines[0]
    for line in lines:
        assert all(float(number) >= ppm for number in re.findall(r"([\d.]+) ppm", line)), line
    texts = [Page(render_page(advice, v)).text for v in VIEWPOINTS]
    for text in (*texts, as_text(advice), score_text(advice)):
        assert "none expected" not in text
        assert "no measurable CO" not in text
        assert "little CO" not in text
    page = Page(render_page(advice, "inspector"))
    rows = {row[0]: row[1:] for row in table_with(page, "Quantity")}
    assert rows["CO in the room, as read"][0] == f"{ppm:g} ppm"
    for name, cells in rows.items():
        if "room" in name:
            assert all(float(n) >= ppm for cell in cells for n in re.findall(r"([\d.]+) ppm", cell)), name


def test_zone_pressure_is_said_as_read_before_it_is_modelled() -> None:
    advice = advice_for("hood_and_dryer", "as it stands")
    text = Page(render_page(advice, "inspector")).text
    part = text[text.index("Zone depressurization, ") :]
    assert part.startswith("Zone depressurization, read: 16.5 Pa below outdoors")
    numbers = [float(n) for n in re.findall(r"([\d.]+) Pa", part[: part.index("Risk score")])]
    assert min(numbers) >= 16.5


# ---- which situation is drawn


@pytest.mark.parametrize("name", [n for n in DEMOS if n not in ("sound_house", "shared_furnace_firing")])
def test_drawn_situation_spills_under_the_runs_own_condition_nearest_its_reading(name: str) -> None:
    """Brute force over all situations that fit."""
    setting = setting_of(read_case(ROOT / "demo" / f"{name}.toml"), "homeowner", 128, 1)
    drawn = drawn_situation(setting)
    assert (drawn.seen, drawn.shows) == ("spills", "spills")
    assert drawn.question in setting.own or any(
        dataclasses.replace(t.condition, name="drawn run") == drawn.question.condition for t in setting.own
    )
    response = respond(drawn.state, drawn.question.condition)
    spills = response.spills_beyond(drawn.question.allowed_s) > 0.5
    assert spills[drawn.position]
    weight, case = setting.posterior.weight, setting.job.case
    run = next(r for r in case.run if r.zone_depressurization_pa == drawn.read_zone_pa)
    if run.seen == "reversed":
        spills = spills & (response.ratio_at(drawn.question.allowed_s) <= 0.0)
    gaps = np.abs(response.zone_depressurization_pa - drawn.read_zone_pa)
    assert gaps[drawn.position] <= gaps[spills & (weight > LEAST_WEIGHT * weight.mean())].min() + AS_NEAR_PA


def test_without_a_situation_that_spills_the_vent_is_unknown_and_what_was_seen_stands() -> None:
    setting = setting_of(read_case(ROOT / "demo" / "hood_and_dryer.toml"), "homeowner", 64, 1)
    posterior = dataclasses.replace(setting.posterior, explanation=odd(setting.posterior.explanation))
    drawn = drawn_situation(dataclasses.replace(setting, posterior=posterior))
    assert (drawn.seen, drawn.shows) == ("spills", "unknown")


def test_a_device_in_the_heaters_room_is_drawn_in_the_room() -> None:
    advice = advice_for("lone_heater_brick_chimney", "as it stands")
    assert [f.name for f in advice.air_before.flows if f.kind == "device" and f.place == "zone"] == ["dryer"]
    picture = drawings(render_page(advice, "homeowner"))[0]
    at = float(re.findall(r'<text x="([\d.]+)"[^>]*>dryer</text>', picture)[0])
    assert at > 302  # beside the room's outer wall, not in the column of the house's devices
    assert "dryer (heater&#39;s room)" in picture or "dryer (heater&#x27;s room)" in picture


# ---- after work


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_once_confirmed_nothing_from_before_stands_as_present(viewpoint: str) -> None:
    advice = advice_after("drafting")
    assert advice.verdict.leads == "confirmed"
    html = render_page(advice, viewpoint)  # type: ignore[arg-type]
    page = Page(html)
    assert 'class="now fine"' in html
    assert not drawings(html)
    for old in ("seen to spill", "Likely causes", "Causes and", "To put in", "Bill of work", "As it is now"):
        assert old not in page.text, old
    assert "are history" in page.text
    rows = {row[0]: row[1:] for row in table_with(page, "Must meet")}
    assert rows["seconds to draft"][1:3] == ["8 s", "at most 300 s"]  # cold vent: 5 min, ANSI/BPI-1200
    assert rows["zone below outdoors"][:2] == ["5 Pa", "1.5 Pa"]
    assert " to " in rows["zone below outdoors"][3]
    assert quoted(advice) == []
    assert ("nothing is offered" in page.text) == (viewpoint == "contractor")


def test_not_confirmed_says_so_and_is_never_calm() -> None:
    advice = advice_after("spilling")
    assert advice.verdict.leads == "not confirmed"
    for viewpoint in VIEWPOINTS:
        html = render_page(advice, viewpoint)
        assert 'class="now fine"' not in html
        assert "NOT CONFIRMED AFTER THE WORK" in html
        assert not [d for d in drawings(html) if FINE in d]
        assert "Likely causes" not in html
    assert "seen to spill" in drawings(render_page(advice, "homeowner"))[0]
    assert advice.air_after is None


# ---- grades, quotes, workbook


def test_near_the_limit_and_barred_stand_beside_the_grade(tmp_path: Path) -> None:
    advice = advice_for("stored_insulation", "as it stands")
    first = next(o for o in advice.options if o.rank == 1)
    near = dataclasses.replace(first, near_limit=True, barred_by="unexplained")
    advice = dataclasses.replace(advice, options=(near, *(o for o in advice.options if o is not first)))
    assert "near the limit" in grade_words(near, near.safety)
    assert "not explained" in grade_words(near, near.safety)
    page = Page(render_page(advice, "homeowner"))
    assert "near the limit" in table_with(page, "To put in")[0][1]
    assert "near the limit" in " ".join(as_text(advice, 120).split())
    path = tmp_path / "w.xlsx"
    write_workbook(advice, path)
    assert "near the limit" in str(openpyxl.load_workbook(path)["Matrix"].cell(4, 3).value)


def test_quote_keeps_what_must_be_met_apart_from_the_forecast() -> None:
    page = Page(render_page(advice_for("stored_insulation", "as it stands"), "contractor"))
    rows = {row[0]: row[1:] for row in table_with(page, "Must meet")}
    assert rows["time to draft, cold vent"][0] == "at most 300 s"  # ANSI/BPI-1200: 5 min on a cold vent
    assert rows["CO in the room"][:2] == ["below 9 ppm", "not modelled"]
    assert rows["zone depressurization, worst case"][0] == "no published limit"


@pytest.mark.parametrize(("name", "flip"), [("sound_house", "as it stands"), ("sound_house", "unwritten")])
def test_workbook_holds_the_verdict_and_every_condition(name: str, flip: str, tmp_path: Path) -> None:
    advice = advice_for(name, flip)
    path = tmp_path / "w.xlsx"
    write_workbook(advice, path)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames[0] == VERDICT
    rows = list(book[VERDICT].iter_rows(values_only=True))
    assert title_of(advice) in rows[0][0]
    assert ("states, the leading one first", ", ".join(advice.verdict.states)) in [r[:2] for r in rows]
    held = [r for r in rows if r[2] in ("met", "not met", "not written down", "does not apply")]
    assert len(held) == sum(len(r.conditions) for r in advice.verdict.runs)
    assert any(r[4] == "yes" for r in held) == (flip == "unwritten")


def test_workbook_of_confirmed_work_offers_nothing(tmp_path: Path) -> None:
    path = tmp_path / "w.xlsx"
    write_workbook(advice_after("drafting"), path)
    assert openpyxl.load_workbook(path).sheetnames == [VERDICT, RECORD, SOURCES]
