"""A code edition is one folder of data: its rows stand in the place of those of the tables, with their own clause."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import catalog
from advisor.errors import InputError

HEAD = "key,low,typical,high,unit,status,source,ref,note\n"
# an edition of the test's own: 60 ft3 for each 1,000 Btu/h instead of the published 50 (NFPA 54-2012 9.3.2.1)
ROWS = "standard_volume_ft3_per_kbtu_h,60,60,60,ft3/(kBtu/h),memory,nfpa54-2012,EXAMPLE-2030 9.3.2.1,an example\n"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("edition")
    for name in ("advisor", "catalog"):
        shutil.copytree(ROOT / name, where / name, ignore=shutil.ignore_patterns("__pycache__"))
    folder = where / "catalog" / "codes" / "editions" / "example-2030"
    folder.mkdir(parents=True)
    (folder / "rules_combustion_air.csv").write_text(HEAD + ROWS, encoding="utf-8")
    return where


def check(where: Path, *args: str) -> subprocess.CompletedProcess[str]:
    case = str(ROOT / "demo" / "sound_house.toml")
    command = (sys.executable, "-m", "advisor.cli", "check", case, "--samples", "64", *args)
    env = {**os.environ, "PYTHONPATH": str(where), "COLUMNS": "160"}
    return subprocess.run(command, capture_output=True, text=True, cwd=where, env=env, timeout=120)


def test_an_edition_replaces_a_rule_with_its_clause_and_status(copy: Path) -> None:
    """By hand: 40,000 Btu/h need 50 x 40 = 2,000 ft3, by the example's rule 60 x 40 = 2,400 ft3."""
    plain, newer = check(copy), check(copy, "--edition", "example-2030")
    assert plain.returncode == newer.returncode == 0, newer.stderr
    assert "2,000 ft3" in plain.stdout
    assert "EXAMPLE-2030" not in plain.stdout
    line = next(text for text in newer.stdout.split("\n- ") if "EXAMPLE-2030 9.3.2.1; memory" in text)
    assert "2,400 ft3" in " ".join(line.split())
    assert "confirmed in the locally adopted code" in " ".join(line.split())


def test_an_unknown_edition_or_rule_is_told(copy: Path) -> None:
    wrong = check(copy, "--edition", "example-2031")
    assert wrong.returncode == 2
    assert "did you mean 'example-2030'" in wrong.stderr
    path = copy / "catalog" / "codes" / "editions" / "example-2030" / "rules_combustion_air.csv"
    before = path.read_text(encoding="utf-8")
    path.write_text(before.replace("standard_volume_ft3_per_kbtu_h", "standard_volum"), encoding="utf-8")
    slip = check(copy, "--edition", "example-2030")
    path.write_text(before, encoding="utf-8")
    assert slip.returncode == 2
    assert "no rule 'standard_volum'" in slip.stderr


def test_without_an_edition_the_tables_stand() -> None:
    with catalog.in_edition(""):
        assert catalog.number("rules_combustion_air", "standard_volume_ft3_per_kbtu_h") == 50.0
    with pytest.raises(InputError, match=r"none is added yet|no such code edition"), catalog.in_edition("nfpa54-2099"):
        pass
