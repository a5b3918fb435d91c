"""Drawings as inline SVG: the house's air, and the options' cost beside the risk that is left.

Colours stand as plain attributes, for print, and as classes, by which the page's styles change them in the dark. Nothing
rests on colour alone: direction is an arrow, danger a word and a shape.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape

from advisor.ranking.air_balance import AirBalance
from advisor.report.units_text import Units

INK, SOFT, PAPER, AIR, DANGER, FINE = "#1d2528", "#5a6468", "#f4f1ea", "#1f5f78", "#9a2b1a", "#2c6140"
_CLASS = {INK: "ink", SOFT: "soft", PAPER: "paper", AIR: "air", DANGER: "danger", FINE: "fine"}
Width = Callable[[float], float]
"""Stroke of an arrow for a flow in cfm."""
SHOWN_DEVICES = 4
LONGEST_NAME = 17
FONT = "system-ui, 'Helvetica Neue', Arial, sans-serif"


def _text(
    x: float, y: float, words: str, size: float = 12, colour: str = INK, anchor: str = "start", bold: bool = False
) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" fill="{colour}" class="f-{_CLASS[colour]}" '
        f'text-anchor="{anchor}"{weight}>{escape(words)}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float, colour: str = INK, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="{colour}" class="s-{_CLASS[colour]}" '
        f'stroke-width="{width:.1f}"{dashes}/>'
    )


def _arrow(x1: float, y1: float, x2: float, y2: float, width: float, colour: str = AIR, dash: str = "") -> str:
    """Line with a head at its second end."""
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    head = 5.0 + 1.1 * width
    bx, by = x2 - ux * head, y2 - uy * head
    half = 0.55 * head
    points = f"{x2:.1f},{y2:.1f} {bx - uy * half:.1f},{by + ux * half:.1f} {bx + uy * half:.1f},{by - ux * half:.1f}"
    return (
        _line(x1, y1, round(bx, 1), round(by, 1), width, colour, dash)
        + f'<polygon points="{points}" fill="{colour}" class="f-{_CLASS[colour]}"/>'
    )


def _short(words: str, longest: int = LONGEST_NAME) -> str:
    return words if len(words) <= longest else words[: longest - 1].rstrip() + "…"


def _open(identifier: str, width: int, height: int, title: str, desc: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="{identifier}-t {identifier}-d" font-family="{FONT}">'
        f'<title id="{identifier}-t">{escape(title)}</title><desc id="{identifier}-d">{escape(desc)}</desc>'
    )


VENT_WORDS = {
    "up": "up the vent",
    "spills": "up the vent, too little",
    "down": "down the vent",
    "fan": "out by its fan",
    "sealed": "sealed: no room air",
    "none": "nothing burns",
}


def balance_words(balance: AirBalance, units: Units) -> str:
    """Return the drawing in words."""
    out = [f"{f.name} {units.flow(f.cfm)}" for f in balance.flows if f.kind == "device"]
    leaks = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "leak")
    openings = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "opening")
    supply = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "supply")
    parts = [
        f"Out: {', '.join(out)}." if out else "No fan runs.",
        f"In: {units.flow(leaks)} through leaks"
        + (f", {units.flow(openings)} through openings" if openings >= 1.0 else "")
        + (f", {units.flow(supply)} by supply fans" if supply >= 1.0 else "")
        + ".",
        f"{vent_sentence(balance, units)} The heater's room stands "
        f"{below_words(balance.zone_depressurization_pa, units)}.",
    ]
    return " ".join(parts)


def below_words(pascals: float, units: Units) -> str:
    """Return a depressurization in words."""
    if abs(pascals) < 0.05:
        return "level with outdoors"
    return f"{units.pressure(abs(pascals))} {'below' if pascals > 0 else 'above'} outdoors"


def vent_sentence(balance: AirBalance, units: Units) -> str:
    """Return which way the vent flows, in one sentence."""
    flow = units.flow(abs(balance.vent_cfm))
    return {
        "up": f"The vent carries {flow} up and out: no gas comes into the room.",
        "spills": f"The vent carries only {flow} up: part of the burned gas comes into the room.",
        "down": f"Outdoor air comes down the vent, {flow}: all the burned gas comes into the room.",
        "fan": f"A fan in the heater blows {flow} outdoors.",
        "sealed": "The heater is sealed: it takes no air from the room and gives no gas to it.",
        "none": "Nothing burns here: there is no gas that could come into the room.",
    }[balance.vent_way]


def house_drawing(balance: AirBalance, units: Units, identifier: str, title: str) -> str:
    """Return the house's air balance as an SVG with title and description.

    Parameters
    ----------
    balance : AirBalance
        Flows to draw.
    units : Units
        Reader's units.
    identifier : str
        Unique in the page.
    title : str
        Heading of the drawing, plain text.
    """
    most = max(balance.out_cfm, balance.in_cfm, 1.0)

    def width(cfm: float) -> float:
        return 1.5 + 6.5 * math.sqrt(min(abs(cfm) / most, 1.0))

    body = [_open(identifier, 400, 330, title, balance_words(balance, units))]
    # house: roof, walls; the heater's space in its lower right
    body.append(
        f'<path d="M132 122 L217 62 L302 122 V282 H132 Z" fill="{PAPER}" class="f-paper s-ink" stroke="{INK}" '
        'stroke-width="2" stroke-linejoin="round"/>'
    )
    body.append(f'<path d="M218 282 V186 H302" fill="none" class="s-ink" stroke="{INK}" stroke-width="1.5"/>')
    body.append(_text(142, 142, "house", 12, SOFT))
    body.append(_text(142, 158, _pa(balance.house_depressurization_pa, units), 12, INK, bold=True))
    body.append(_text(142, 172, _pa_word(balance.house_depressurization_pa), 11, SOFT))
    body += [_text(223, 200, "heater's", 11, SOFT), _text(223, 212, "room", 11, SOFT)]
    body += _heater_and_vent(balance, units, width)
    body += _devices(balance, units, width)
    body += _inflows(balance, units, width)
    body += _link(balance, units, width)
    body.append("</svg>")
    return "".join(body)


def _pa(pascals: float, units: Units) -> str:
    return units.pressure(abs(pascals))


def _pa_word(pascals: float) -> str:
    return "below outdoors" if pascals >= 0.05 else "above outdoors" if pascals <= -0.05 else "as outdoors"


def _heater_and_vent(balance: AirBalance, units: Units, width: Width) -> list[str]:
    way, x = balance.vent_way, 274.0
    body = [
        f'<rect x="262" y="234" width="24" height="44" rx="4" fill="none" class="s-ink" stroke="{INK}" '
        'stroke-width="1.5"/>'
    ]
    flow = units.flow(abs(balance.vent_cfm))
    if way in ("up", "spills", "down"):
        bad = way != "up"
        colour = DANGER if bad else FINE
        body.append(
            f'<path d="M268 226 V48 M280 226 V48 M262 234 L268 226 M286 234 L280 226" fill="none" class="s-ink" '
            f'stroke="{INK}" stroke-width="1.2"/>'
        )
        ends = (52, 214) if way == "down" else (218, 40)
        body.append(_arrow(x, ends[0], x, ends[1], min(width(balance.vent_cfm), 6.0), colour))
        if bad:
            body.append(_arrow(262, 244, 230, 234, 2.0, DANGER, "3 2"))
            body.append(_text(254, 256, "gas", 11, DANGER, "end", bold=True))
        words = {"up": "up: good", "spills": "too weak: spills", "down": "DOWN: spills"}[way]
        body.append(_text(288, 44, flow, 12, colour, bold=True))
        body.append(_text(288, 58, words, 12, colour, bold=True))
    elif way == "fan":
        body.append(_arrow(286, 246, 336, 246, min(width(balance.vent_cfm), 6.0), FINE))
        body.append(_text(340, 243, flow, 12, FINE, bold=True))
        body.append(_text(340, 257, "its fan", 11, FINE))
    elif way == "sealed":
        body += [_arrow(286, 242, 336, 242, 2.5, FINE), _arrow(336, 256, 290, 256, 2.5, AIR)]
        body.append(_text(340, 253, "sealed", 12, FINE, bold=True))
    else:
        body.append(f'<path d="M276 242 L268 258 H275 L272 270 L281 253 H274 Z" fill="{FINE}" class="f-fine"/>')
        body.append(_text(310, 253, "nothing", 12, FINE, bold=True))
        body.append(_text(310, 267, "burns", 12, FINE, bold=True))
    return body


def _devices(balance: AirBalance, units: Units, width: Width) -> list[str]:
    found = sorted((f for f in balance.flows if f.kind in ("device", "more exhaust")), key=lambda f: -f.cfm)
    body = []
    shown = found if len(found) <= SHOWN_DEVICES else found[: SHOWN_DEVICES - 1]
    rows = [(_short(f.name or "one more fan"), f.cfm) for f in shown]
    if len(found) > len(shown):
        rest = found[len(shown) :]
        rows.append((f"{len(rest)} more", sum(f.cfm for f in rest)))
    y = 134.0
    for name, cfm in rows:
        body.append(_text(4, y, name, 12, INK))
        body.append(_text(4, y + 14, f"{units.flow(cfm)} out", 12, AIR, bold=True))
        body.append(_arrow(140, y + 10, 98, y + 10, width(cfm)))
        y += 38
    return body


def _inflows(balance: AirBalance, units: Units, width: Width) -> list[str]:
    def total(kinds: Iterable[str], place: str, sign: float) -> float:
        return sum(max(sign * f.cfm, 0.0) for f in balance.flows if f.kind in kinds and f.place == place)

    body = []
    leaks, out = total(("leak",), "house", -1.0), total(("leak", "duct leak"), "house", 1.0)
    if leaks >= 0.5:
        body.append(_arrow(172, 318, 172, 270, width(leaks)))
        body.append(_text(160, 306, f"{units.flow(leaks)} in", 12, AIR, "end", bold=True))
        body.append(_text(160, 320, "through leaks", 12, INK, "end"))
    if out >= 0.5:
        body.append(_arrow(172, 104, 158, 78, width(out)))
        body.append(_text(150, 70, f"{units.flow(out)} out", 12, AIR, "end", bold=True))
        body.append(_text(150, 84, "leaks above", 12, INK, "end"))
    supply = total(("supply", "opening"), "house", -1.0)
    if supply >= 0.5:
        body.append(_arrow(210, 318, 210, 270, width(supply)))
        body.append(_text(222, 306, f"{units.flow(supply)} in", 12, AIR, bold=True))
        body.append(_text(222, 320, "fresh-air supply", 12, INK))
    openings, back = total(("opening", "supply"), "zone", -1.0), total(("opening",), "zone", 1.0)
    small = total(("leak",), "zone", -1.0)
    y = 206.0
    ways = [(openings, "air opening"), (small, "leaks")]
    if balance.vent_way in ("fan", "sealed", "none"):  # the lower place is taken by the heater's own pipes
        ways = [(openings + small, "openings, leaks" if openings >= 0.5 else "leaks")]
    for flow, words in ways:
        if flow >= 0.5:
            body.append(_text(316, y - 22, words, 12, INK))
            body.append(_text(316, y - 8, f"{units.flow(flow)} in", 12, AIR, bold=True))
            body.append(_arrow(352, y, 294, y, width(flow)))
            y += 60
    if back >= 0.5:
        body.append(_arrow(296, 220, 350, 220, width(back)))
        body.append(_text(354, 224, f"{units.flow(back)} out", 11, AIR))
    return body


def _link(balance: AirBalance, units: Units, width: Width) -> list[str]:
    cfm, carried = balance.link_cfm, balance.return_cfm
    body = []
    if abs(cfm) >= 0.5:
        ends = (200, 240) if cfm > 0 else (240, 200)
        body.append(_arrow(ends[0], 268, ends[1], 268, width(cfm)))
        body.append(_text(212, 254, units.flow(abs(cfm)), 12, AIR, "end", bold=True))
    if carried >= 0.5:
        body.append(_arrow(240, 222, 200, 222, width(carried)))
        body.append(_text(212, 211, units.flow(carried), 12, AIR, "end", bold=True))
        body.append(_text(212, 197, "duct leak", 12, INK, "end"))
    return body


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the chart: a title, its cost, and what risk is left.

    ``worst`` and ``hardest`` are shares of situations that spill in the worst case and under the hardest stress.
    """

    label: str
    low_usd: float
    typical_usd: float
    high_usd: float
    score: float
    worst: float
    hardest: float
    cost_words: str
    risk_words: str
    as_found: bool = False


def _ticks(most: float) -> list[float]:
    step = 10.0 ** math.floor(math.log10(max(most, 1.0)))
    for factor in (0.2, 0.5, 1.0, 2.0, 5.0):
        if most / (step * factor) <= 4.0:
            step *= factor
            break
    return [step * i for i in range(int(most / step) + 2)]


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

    desc = " ".join(f"{r.label}: {r.cost_words}, {r.risk_words}." for r in rows)
    body = [_open(identifier, 400, height, title, desc)]
    body.append(_text(left[0], 14, "What it costs to put in", 12, INK, bold=True))
    body.append(_text(right[0], 14, "Spills in … of 100", 12, INK, bold=True))
    for tick in ticks:
        body.append(_line(cost_x(tick), 34, cost_x(tick), height - 4, 0.6, SOFT, "1 3"))
        words = f"${tick / 1000:g}k" if tick >= 1000 else f"${tick:g}"
        body.append(_text(cost_x(tick), 30, words, 10.5, SOFT, "middle" if tick else "start"))
    for share in (0.0, 0.5, 1.0):
        body.append(_line(risk_x(share), 34, risk_x(share), height - 4, 0.6, SOFT, "1 3"))
        body.append(_text(risk_x(share), 30, f"{100 * share:.0f}", 10.5, SOFT, "middle"))
    for i, row in enumerate(rows):
        y = top + lane * i
        colour = DANGER if row.as_found else INK
        body.append(_text(left[0], y + 12, _short(row.label, 58), 12, colour, bold=row.as_found))
        mid = y + 26
        if row.high_usd > 0.0:
            body.append(_line(cost_x(row.low_usd), mid, cost_x(row.high_usd), mid, 5.0, AIR))
            tick = cost_x(row.typical_usd)
            body.append(_line(tick, mid - 7, tick, mid + 7, 2.5, INK))
        else:
            body.append(_text(left[0], mid + 4, "no cost", 11, SOFT))
        end = risk_x(max(row.hardest, row.worst))
        body.append(_line(risk_x(row.worst), mid, end, mid, 2.0, colour))
        x = end
        body.append(
            f'<path d="M{x - 5:.1f} {mid} L{x:.1f} {mid - 5} L{x + 5:.1f} {mid} L{x:.1f} {mid + 5} Z" fill="{PAPER}" '
            f'class="f-paper s-{_CLASS[colour]}" stroke="{colour}" stroke-width="1.5"/>'
        )
        body.append(
            f'<circle cx="{risk_x(row.worst):.1f}" cy="{mid}" r="4.5" fill="{colour}" class="f-{_CLASS[colour]}"/>'
        )
    body.append("</svg>")
    return "".join(body)
