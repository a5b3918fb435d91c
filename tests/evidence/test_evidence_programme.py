"""The prior of hidden faults against a published field programme (`mn-airport-study`)."""

from __future__ import annotations

import pytest
from evidence_programme import number, simulate


def test_failures_split_as_in_the_field_programme(capsys: pytest.CaptureFixture[str]) -> None:
    found = simulate(600, 3)
    with capsys.disabled():
        print(
            f"\nprogramme: {found.fails:.3f} fail, {found.natural:.3f} with everything off; of the failures pressure "
            f"{found.pressure:.2f}, vent {found.vent:.2f}; cured by the vent alone {found.vent_alone:.2f}; "
            f"over 3 Pa {found.over(3.0):.3f}"
        )
    # mn-airport-study: about 20 % failed, half by depressurization and half by vent defects
    tolerance = number("programme_pressure_tolerance")
    half = number("programme_pressure_share")
    assert abs(found.pressure - half) <= tolerance
    assert abs(found.vent - half) <= tolerance
    factor, share = number("programme_fail_factor"), number("programme_fail_share")
    assert share / factor <= found.fails <= share * factor
    # mn-airport-study: 12 % exceeded their guide; which guide is not stated, the ladders lie between 2 and 5 Pa
    assert found.over(5.0) < number("programme_over_guide_share") < found.over(2.0)
