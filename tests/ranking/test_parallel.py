"""Two processes give the same options as one."""

from __future__ import annotations

import numpy as np
import pytest
from conftest import ROOT

from advisor.advice import setting_of
from advisor.case.read import read_case
from advisor.ensemble.state import differs
from advisor.ranking import parallel, worked
from advisor.ranking.worked import work_out, work_out_all
from advisor.remedies import all_remedies


def test_two_processes_give_the_same_options(monkeypatch):
    case = read_case(ROOT / "demo" / "stored_insulation.toml")
    monkeypatch.setattr(worked, "two_cores", lambda _: True)
    found = work_out_all(setting_of(case, "homeowner", 512, 1), all_remedies())
    setting = setting_of(case, "homeowner", 512, 1)
    for remedy, together in zip(all_remedies(), found, strict=True):
        alone = work_out(setting, remedy)
        assert together.figures == alone.figures
        assert together.outcomes.keys() == alone.outcomes.keys()
        assert all(np.array_equal(together.outcomes[name], spills) for name, spills in alone.outcomes.items())
        assert not differs(together.state, alone.state).any()


def test_working_out_changes_nothing_in_the_setting():
    setting = setting_of(read_case(ROOT / "demo" / "sound_house.toml"), "homeowner", 128, 1)
    work_out(setting, all_remedies()[0])  # what all share is worked out once and kept
    before = dict(vars(setting))
    for remedy in all_remedies():
        work_out(setting, remedy)
    assert vars(setting).keys() - before.keys() <= {"as_found", "larger", "exposure", "everyday"}
    assert all(vars(setting)[name] is value for name, value in before.items())
    with pytest.raises(TypeError):
        setting.stresses["calm"] = setting.question


def test_a_dead_child_is_replaced(monkeypatch):
    case = read_case(ROOT / "demo" / "sound_house.toml")
    monkeypatch.setattr(worked, "two_cores", lambda _: True)
    monkeypatch.setattr(parallel, "_receive", lambda child: child[0].join() if child[1].recv() is None else None)
    setting = setting_of(case, "homeowner", 128, 1)
    assert len(work_out_all(setting, all_remedies())) == len(all_remedies())
