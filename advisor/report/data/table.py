"""Output: the columns of the matrix as a table. Csv and workbook are made from this one row model: a new column is a field."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from advisor.advice import Advice
from advisor.ensemble.conditions import STRESSES
from advisor.ranking.options import Option
from advisor.ranking.stresses import stress
from advisor.report.data.fields import Dollars, Record, Share, Whole, rounded
from advisor.report.view.labels import named
from advisor.report.view.present import grade_words
from advisor.wording.speak import say, text

Form = Literal["text", "number", "share", "money"]


def column(form: Form = "text", sheet: float = 0.0, live: str = "") -> Any:
    """Return what the views need of a column.

    Parameters
    ----------
    form : Form
        How a spreadsheet shows it.
    sheet : float
        Width on the workbook's sheet; 0 leaves it to the csv alone.
    live : str
        Letter of the total of the bill of work that it is linked to.
    """
    return Field(json_schema_extra={"form": form, "sheet": sheet, "live": live})


EACH_STRESS = "spillage"
"""Field of the row that is a column for each stress."""


class OptionRow(Record):
    """One option in one row; the heading of a column is the message ``column.<name>``."""

    rank: int | None = column("number", 6)
    id: str = column()
    option: str = column("text", 44)
    family: str = column()
    eligible: bool = column()
    safety: str = column()
    grade: str = column("text", 26)
    near_limit: bool = column()
    barred_by: str = column()
    spillage_worst_case: Share | None = column("share", 10)
    spillage: dict[str, Share] = column("share")  # a column for each stress, spillage_<id>
    spillage_hardest_stress: Share | None = column("share", 10)
    installed_low_usd: Dollars | None = column("money", 12, "I")
    installed_typical_usd: Dollars | None = column("money", 12, "J")
    installed_high_usd: Dollars | None = column("money", 12, "K")
    yearly_usd: Dollars | None = column("money", 12)
    risk_score: Whole | None = column("number", 12)
    value: Annotated[float, BeforeValidator(rounded(3))] | None = column("number")
    needs: str = column("text", 40)
    reasons: str = column()
    why_or_how_far: str = column("text", 60)


@dataclass(frozen=True, slots=True)
class Column:
    """A column as a view needs it: name, heading in the reader's language, form, width on a sheet, total it is linked to."""

    name: str
    heading: str
    form: Form
    sheet: float
    live: str


def columns() -> tuple[Column, ...]:
    """Return the columns in order."""
    found = []
    for name, field in OptionRow.model_fields.items():
        extra: Any = field.json_schema_extra
        heads = (
            {f"{name}_{one}": text("column.under_stress", stress=stress(one, "stress_name")) for one in STRESSES}
            if name == EACH_STRESS
            else {name: text(f"column.{name}")}
        )
        found += [Column(one, head, extra["form"], extra["sheet"], extra["live"]) for one, head in heads.items()]
    return tuple(found)


def cells(row: OptionRow) -> dict[str, Any]:
    """Return the cells of a row by column."""
    found: dict[str, Any] = {}
    for name, value in row.model_dump().items():
        found |= {f"{name}_{one}": share for one, share in value.items()} if name == EACH_STRESS else {name: value}
    return found


def row_of(option: Option) -> OptionRow:
    """Return the row of an option. Where it is not possible here, it has neither shares nor prices that mean anything."""
    reasons = [say(reason) for reason in option.reasons]
    holds = [say(option.holds_until.words)] if option.holds_until else []
    spillage = option.spillage
    return OptionRow(
        rank=option.rank,
        id=option.id,
        option=say(option.title),
        family=option.family,
        eligible=option.eligible,
        safety=option.safety,
        grade=grade_words(option, named("grade", option.safety)) if option.eligible else text("column.not_possible"),
        near_limit=option.near_limit,
        barred_by=option.barred_by,
        spillage_worst_case=spillage.worst_case,
        spillage=spillage.by_stress,
        spillage_hardest_stress=max(spillage.stresses),
        installed_low_usd=option.installed_cost_usd.low,
        installed_typical_usd=option.installed_cost_usd.typical,
        installed_high_usd=option.installed_cost_usd.high,
        yearly_usd=option.yearly_cost_usd.typical,
        risk_score=option.risk_score,
        value=option.value,
        needs=say(option.needs),
        reasons="; ".join(reasons),
        why_or_how_far="; ".join([*reasons, *holds]),
    )


def as_csv(advice: Advice) -> str:
    """Return one row an option, for a spreadsheet; columns have their names as heading."""
    import pandas as pd

    rows = [cells(row_of(option)) for option in advice.options]
    frame = pd.DataFrame(rows, columns=[column.name for column in columns()]).astype({"rank": "Int64"})
    return str(frame.to_csv(index=False))
