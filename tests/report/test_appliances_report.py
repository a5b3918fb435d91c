"""Every output reads one verdict of the vent: ranking, text, pages, workbook, JSON."""

from __future__ import annotations

import functools
import json
import re
import subprocess
from pathlib import Path

import pytest
from conftest import demo_advice
from shared_vents import AFTER, ALONE, FURNACE, ITS_OWN, SPILLS, TOGETHER, apart, house, written

from advisor import advice as advice_module
from advisor.advice import Advice
from advisor.case.model import Case
from advisor.ranking import ranked as ranked_module
from advisor.remedies import all_remedies
from advisor.report.data.as_json import as_dict
from advisor.report.data.workbook import VERDICT, write_workbook
from advisor.report.page.build import render_page
from advisor.report.text.matrix import as_markdown, as_text
from advisor.report.view.appliances import appliance_rows

FEW = ("leave_as_found", "like_for_like", "change_termination", "power_direct_vent")
RECORDS: dict[str, Case] = {
    "vent": house(ALONE, TOGETHER, ITS_OWN | SPILLS),
    "own": house(ALONE, ITS_OWN | SPILLS | {"firing": []}, appliances=[apart()]),
    "heater": house(ALONE | SPILLS, ITS_OWN),
    "both pass": house(ALONE, TOGETHER, ITS_OWN),
    "retest": house(ALONE | SPILLS, ITS_OWN | SPILLS, ALONE | AFTER, TOGETHER | AFTER),
}


@functools.cache
def advice_for(name: str) -> Advice:
    """Return the advice from few situations and few remedies."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ranked_module, "all_remedies", lambda: [r for r in all_remedies() if r.id in FEW])
        return advice_module.advise(RECORDS[name], "homeowner", 64, 1)


def flat(words: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", words).replace("&#39;", "'").split())


def option(name: str, option_id: str):  # type: ignore[no-untyped-def]
    return next(o for o in advice_for(name).options if o.id == option_id)


def test_a_failed_vent_leaves_nothing_as_found_and_holds_the_rest_down() -> None:
    for option_id in ("leave_as_found", "like_for_like"):
        found = option("vent", option_id)
        assert (found.safety, found.rank, found.barred_by) == ("not enough", None, "vent failed")
        assert option("both pass", option_id).rank is not None
    kept = option("vent", "change_termination")
    assert (kept.safety, kept.barred_by, kept.holds_until) == ("as tested", "other spilled", None)
    sealed = option("vent", "power_direct_vent")
    assert (sealed.safety, sealed.barred_by) == ("robust", "")
    assert not advice_for("vent").found.nothing_wrong
    assert advice_for("both pass").found.nothing_wrong
    assert option("vent", "leave_as_found").risk_score > option("both pass", "leave_as_found").risk_score


def test_no_test_of_the_heater_alone_lifts_a_failed_vent() -> None:
    for test in advice_for("vent").next_tests:
        assert all(answer.choice_id != "leave_as_found" for answer in test.answers)


def test_drawing_and_chart_are_not_calm() -> None:
    before = advice_for("vent").air_before
    assert (before.seen, before.calm) == ("unknown", False)
    assert advice_for("both pass").air_before.calm


@pytest.mark.parametrize("viewpoint", ["homeowner", "contractor", "inspector"])
def test_every_page_names_what_is_not_to_be_used(viewpoint: str) -> None:
    page = flat(render_page(advice_for("vent"), viewpoint))  # type: ignore[arg-type]
    assert "do not use the heater and 'furnace' until" in page
    assert "80,000 Btu/h the heater's 1 run failed" in page
    assert "No repair is called for" not in page
    heater = flat(render_page(advice_for("heater"), viewpoint))  # type: ignore[arg-type]
    assert "do not use it, nor 'furnace' on the same vent" in heater
    assert "takes it off the vent leaves 'furnace' on the vent that failed" in heater
    own = flat(render_page(advice_for("own"), viewpoint))  # type: ignore[arg-type]
    assert "does not cover 'furnace', seen to spill: that needs its own contractor" in own
    assert "Nothing wrong" not in own
    assert "No repair is called for" not in own


def test_page_is_calm_only_where_the_whole_house_is() -> None:
    def calm(name: str) -> bool:
        return 'class="now fine"' in render_page(advice_for(name), "homeowner")

    assert calm("both pass")
    assert not any(calm(name) for name in ("vent", "own", "heater", "retest"))


def test_letter_of_the_inspector() -> None:
    page = flat(render_page(advice_for("vent"), "inspector"))
    assert "combustion products of another appliance on the vent of the water heater spilled" in page
    assert "A licensed heating contractor for the vent and every appliance on it" in page
    assert "Run 'furnace: furnace, all firing'" in page or "furnace: furnace, all firing" in page
    own = flat(render_page(advice_for("own"), "inspector"))
    assert "an appliance with another vent spilled beyond the time allowed" in own
    heater = flat(render_page(advice_for("heater"), "inspector"))
    assert "Every other appliance on the vent of the water heater should likewise not be used" in heater


def test_a_repair_is_not_confirmed_while_the_furnace_stands_failed() -> None:
    advice = advice_for("retest")
    assert advice.verdict.leads == "not confirmed"
    assert next(r.verdict for r in advice.retests) == "heater alone"
    shown = flat(as_text(advice))
    assert "CONFIRMED AFTER THE WORK" not in shown.replace("NOT CONFIRMED AFTER THE WORK", "")
    assert "confirmed on that day" not in shown


@pytest.mark.parametrize("said", [as_text, as_markdown])
def test_texts_list_the_appliances(said) -> None:  # type: ignore[no-untyped-def]
    shown = flat(said(advice_for("vent")))
    assert "furnace (furnace, 80,000 Btu/h, vent: the heater's; 1 run): failed" in shown
    assert "Gas of 'furnace' was seen to spill on the same vent, and that is not simulated" in shown
    assert "stays safe as long as" not in shown


def test_json_holds_the_whole_record() -> None:
    data = as_dict(advice_for("vent"))
    verdict = data["verdict"]
    assert verdict["leads"] == "vent failed"
    assert verdict["stop"] == ["heater", "furnace"]
    assert verdict["vent_failed_by"] == ["furnace"]
    (furnace,) = verdict["others"]
    assert (furnace["state"], furnace["runs"][0]["outcome"]) == ("failed", "failure")
    assert furnace["audits"][0]["shows"]["text"].startswith("a failure: furnace spills")
    assert [run["label"] for run in data["case"]["run"]] == [
        "heater alone",
        "heater, all firing",
        "furnace, all firing",
    ]
    assert data["beside_options"]
    assert data["found"]["exposure"]["others"] == ["furnace"]
    assert json.dumps(data)


def test_workbook_holds_every_run(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path = tmp_path / "vent.xlsx"
    write_workbook(advice_for("vent"), path)
    cells = [c for row in load_workbook(path)[VERDICT].iter_rows(values_only=True) for c in row if c]
    assert "furnace (furnace, 80,000 Btu/h, vent: the heater's; 1 run): failed" in cells
    assert "furnace: furnace, all firing" in cells
    assert any("do not use the heater and 'furnace'" in str(c) for c in cells)


def test_exposure_counts_what_shares_a_failed_vent() -> None:
    """A furnace of twice the input adds twice the gas: all that is modelled of it is linear in the source."""
    shared, own = advice_for("heater").found.exposure, advice_for("own").found.exposure
    assert shared.others == ("furnace",)
    assert own.others == ()
    alone = advice_module.advise(house(ALONE | SPILLS, appliances=[FURNACE | {"place": "garage"}]), "homeowner", 64, 1)
    assert alone.found.exposure.others == ()
    for name in ("co_source_g_h", "zone_peak_ppm", "water_kg_firing"):
        with_it, without = getattr(shared, name).p50, getattr(alone.found.exposure, name).p50
        assert with_it == pytest.approx(3.0 * without, rel=1e-6), name


def test_rows_say_what_is_not_known() -> None:
    bare = house(ALONE, appliances=[{"name": "old thing", "kind": "boiler", "vent": "own"}])
    from advisor.facts.record import verdict_of

    assert appliance_rows(verdict_of(bare).others) == [
        ["old thing", "boiler", "input not known", "its own", "no run", "not tested"]
    ]


def test_a_lone_heater_shows_none_of_it() -> None:
    advice = demo_advice("hood_and_dryer", samples=256)
    assert advice.verdict.others == ()
    assert advice.beside_options == ()
    assert advice.found.exposure.others == ()
    assert "Other appliances" not in as_text(advice)
    assert "Other appliances" not in render_page(advice, "homeowner")


def test_rank_and_report_through_the_command(command: str, tmp_path: Path) -> None:
    path = written(RECORDS["own"], tmp_path / "own.toml")
    ranked = subprocess.run(
        [command, "rank", str(path), "--samples", "64"], capture_output=True, text=True, check=False
    )
    assert ranked.returncode == 0, ranked.stderr
    assert "'furnace' was seen to spill on a vent that the heater does not use" in flat(ranked.stdout)
