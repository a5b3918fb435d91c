"""Chart of the ranked options as inline SVG: what each costs, beside the share that is left to spill."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.findings import finding, listed, quantity
from advisor.report.page.svg import AIR, CLASS, DANGER, INK, PAPER, SOFT, UNKNOWN, Width, lettering, line, opened, short
from advisor.report.view.figures import whole
from advisor.wording.speak import say, text

LONGEST_LABEL = 58


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the chart: a title, its cost, and what risk is left.

    ``worst`` and ``hardest`` are modelled shares of situations that spill in the worst case and under the hardest stress;
    ``seen`` stands in their place where the record says what the house does, or that nobody knows; ``danger`` marks it.
    """

    label: str
    low_usd: float
    typical_usd: float
    high_usd: float
    worst: float
    hardest: float
    cost_words: str
    risk_words: str
    as_found: bool = False
    seen: str = ""
    danger: bool = False


def _ticks(most: float) -> list[float]:
    step = 10.0 ** math.floor(math.log10(max(most, 1.0)))
    for factor in (0.2, 0.5, 1.0, 2.0, 5.0):
        if most / (step * factor) <= 4.0:
            step *= factor
            break
    return [step * i for i in range(int(most / step) + 2)]


def _tick_words(amount_usd: float) -> str:
    thousands = amount_usd >= 1000.0
    message = "page.chart.thousands" if thousands else "page.chart.dollars"
    return text(message, amount=quantity(amount_usd / 1000.0 if thousands else amount_usd, "number"))


def options_chart(rows: list[Row], identifier: str, title: str) -> str:
    """Return cost and remaining risk, one line an option, with the range of each.

    Parameters
    ----------
    rows : list of Row
        From the top; the house as found may be among them.
    identifier : str
        Unique in the page.
    title : str
        Heading, plain text.
    """
    most = max((r.high_usd for r in rows), default=1.0)
    ticks = _ticks(most)
    top, lane = 40, 44
    height = top + lane * len(rows) + 10
    left, right = (10.0, 196.0), (232.0, 376.0)

    def cost_x(usd: float) -> float:
        return left[0] + (left[1] - left[0]) * usd / ticks[-1]

    def risk_x(share: float) -> float:
        return right[0] + (right[1] - right[0]) * min(max(share, 0.0), 1.0)

    told = [finding("page.chart.row", label=r.label, cost=r.cost_words, risk=r.risk_words) for r in rows]
    desc = say(listed([*told, finding("page.chart.all_modelled")], "space"))
    body = [opened(identifier, 400, height, title, desc)]
    body.append(lettering(left[0], 14, text("page.chart.cost"), 12, INK, bold=True))
    body.append(lettering(right[0], 14, text("page.chart.share"), 12, INK, bold=True))
    for tick in ticks:
        body.append(line(cost_x(tick), 34, cost_x(tick), height - 4, 0.6, SOFT, "1 3"))
        body.append(lettering(cost_x(tick), 30, _tick_words(tick), 10.5, SOFT, "middle" if tick else "start"))
    for share in (0.0, 0.5, 1.0):
        body.append(line(risk_x(share), 34, risk_x(share), height - 4, 0.6, SOFT, "1 3"))
        body.append(lettering(risk_x(share), 30, whole(100.0 * share), 10.5, SOFT, "middle"))
    for i, row in enumerate(rows):
        body += _chart_row(row, top + lane * i, left[0], cost_x, risk_x)
    body.append("</svg>")
    return "".join(body)


def _chart_row(row: Row, y: float, left: float, cost_x: Width, risk_x: Width) -> list[str]:
    colour = DANGER if row.danger else UNKNOWN if row.seen else INK
    mid = y + 26
    body = [lettering(left, y + 12, short(row.label, LONGEST_LABEL), 12, colour, bold=row.as_found)]
    if row.high_usd > 0.0:
        body.append(line(cost_x(row.low_usd), mid, cost_x(row.high_usd), mid, 5.0, AIR))
        tick = cost_x(row.typical_usd)
        body.append(line(tick, mid - 7, tick, mid + 7, 2.5, INK))
    else:
        body.append(lettering(left, mid + 4, text("page.chart.no_cost"), 11, SOFT))
    if row.seen:
        return [*body, lettering(risk_x(0.0), mid + 4, row.seen, 12, colour, bold=True)]
    end = risk_x(max(row.hardest, row.worst))
    body.append(line(risk_x(row.worst), mid, end, mid, 2.0, colour))
    body.append(
        f'<path d="M{end - 5:.1f} {mid} L{end:.1f} {mid - 5} L{end + 5:.1f} {mid} L{end:.1f} {mid + 5} Z" fill="{PAPER}" '
        f'class="f-paper s-{CLASS[colour]}" stroke="{colour}" stroke-width="1.5"/>'
    )
    worst = risk_x(row.worst)
    body.append(f'<circle cx="{worst:.1f}" cy="{mid}" r="4.5" fill="{colour}" class="f-{CLASS[colour]}"/>')
    return body
