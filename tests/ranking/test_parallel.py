"""Two processes give the same options as one."""

from __future__ import annotations

from conftest import ROOT

from advisor.advice import setting_of
from advisor.case.read import read_case
from advisor.ranking import parallel
from advisor.ranking.worked import work_out
from advisor.remedies import all_remedies


def test_two_processes_give_the_same_options(monkeypatch):
    case = read_case(ROOT / "demo" / "stored_insulation.toml")
    monkeypatch.setattr(parallel, "two_cores", lambda _: True)
    together = setting_of(case, "homeowner", 512, 1)
    found = parallel.work_out_all(together, all_remedies())
    alone = setting_of(case, "homeowner", 512, 1)
    assert found == [work_out(alone, r) for r in all_remedies()]
    assert together.outcomes.keys() == alone.outcomes.keys()
    assert together.states.keys() == alone.states.keys()


def test_a_dead_child_is_replaced(monkeypatch):
    case = read_case(ROOT / "demo" / "sound_house.toml")
    monkeypatch.setattr(parallel, "two_cores", lambda _: True)
    monkeypatch.setattr(parallel, "_receive", lambda child: child[0].join() if child[1].recv() is None else None)
    setting = setting_of(case, "homeowner", 128, 1)
    assert len(parallel.work_out_all(setting, all_remedies())) == len(all_remedies())
