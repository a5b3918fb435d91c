"""Drawings as inline SVG: the house's air, and the options' cost beside the risk that is left.

Colours stand as plain attributes, for print, and as classes, by which the page's styles change them in the dark. Nothing
rests on colour alone: direction is an arrow, danger a word and a shape. What was read and seen stands above what is modelled,
and the vent does what the record says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape

from advisor.ranking.air_balance import AirBalance
from advisor.report.view.air_words import balance_words, read_words
from advisor.report.view.units_text import Units

INK, SOFT, PAPER, AIR, DANGER, FINE = "#1d2528", "#5a6468", "#f4f1ea", "#1f5f78", "#9a2b1a", "#2c6140"
UNKNOWN = "#6a4f86"
"""What nobody knows: neither calm nor alarming, and used for nothing else."""
_CLASS = {INK: "ink", SOFT: "soft", PAPER: "paper", AIR: "air", DANGER: "danger", FINE: "fine", UNKNOWN: "unknown"}
Width = Callable[[float], float]
"""Stroke of an arrow for a flow in cfm."""
SHOWN_DEVICES = 4
LONGEST_NAME, LONGEST_IN_ROOM = 17, 13
HEAD_HEIGHT = 36
"""Lines above the drawing: the reading, and the word that the rest is modelled."""
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

    body = [_open(identifier, 400, 330 + HEAD_HEIGHT, title, balance_words(balance, units))]
    body += _head(balance, units)
    body.append(f'<g transform="translate(0 {HEAD_HEIGHT})">')
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
    body.append(
        f'<rect x="262" y="234" width="24" height="44" rx="4" fill="none" class="s-ink" stroke="{INK}" '
        'stroke-width="1.5"/>'
    )
    body += _vent(balance, units, width)
    body += _devices(balance, units, width)
    body += _devices_in_room(balance, units, width)
    body += _house_leaks(balance, units, width)
    body += _room_leaks(balance, units, width)
    body += _link(balance, units, width)
    body.append("</g></svg>")
    return "".join(body)


def _head(balance: AirBalance, units: Units) -> list[str]:
    """Lines above the drawing: what was read first, then that the rest is modelled."""
    if balance.stage == "after":
        return [_text(4, 14, "modelled: nobody has tested it yet", 12, INK, bold=True)]
    read = read_words(balance, units)
    first = f"read: {read}, in the heater's room" if read else "read: no pressure in the heater's room"
    return [
        _text(4, 14, first, 12, INK, bold=True),
        _text(4, 30, "all flows and other pressures here are modelled", 12, SOFT),
    ]


def _pa(pascals: float, units: Units) -> str:
    return units.pressure(abs(pascals))


def _pa_word(pascals: float) -> str:
    return "below outdoors" if pascals >= 0.05 else "above outdoors" if pascals <= -0.05 else "as outdoors"


def _vent(balance: AirBalance, units: Units, width: Width) -> list[str]:
    if balance.shows == "unknown":
        return _unknown_vent(balance)
    colour = DANGER if balance.shows == "spills" else FINE if balance.calm else INK
    if balance.vent_way in ("up", "spills", "down"):
        return _hooded_vent(balance, units, width, colour)
    return _hoodless(balance, units, width, colour)


def _pipe(colour: str, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="M268 226 V48 M280 226 V48 M262 234 L268 226 M286 234 L280 226" fill="none" class="s-{_CLASS[colour]}" '
        f'stroke="{colour}" stroke-width="1.2"{dashes}/>'
    )


def _spilled_gas() -> list[str]:
    return [_arrow(262, 244, 230, 234, 2.0, DANGER, "3 2"), _text(254, 256, "gas", 11, DANGER, "end", bold=True)]


def _unknown_vent(balance: AirBalance) -> list[str]:
    body = [_pipe(UNKNOWN, "5 3"), _text(274, 152, "?", 20, UNKNOWN, "middle", bold=True)]
    if balance.seen == "spills":
        body += [*_spilled_gas(), _text(288, 44, "seen to spill", 12, DANGER, bold=True)]
        return [*body, _text(288, 58, "not explained", 12, UNKNOWN, bold=True)]
    if balance.seen == "drafts":
        body.append(_text(288, 44, "drafted in its test", 12, INK, bold=True))
        return [*body, _text(288, 58, "not explained", 12, UNKNOWN, bold=True)]
    body.append(_text(288, 44, "up or down:", 12, UNKNOWN, bold=True))
    return [*body, _text(288, 58, "not known", 12, UNKNOWN, bold=True)]


def _hooded_vent(balance: AirBalance, units: Units, width: Width, colour: str) -> list[str]:
    x, way = 274.0, balance.vent_way
    ends = (52, 214) if way == "down" else (218, 40)
    body = [_pipe(INK), _arrow(x, ends[0], x, ends[1], min(width(balance.vent_cfm), 6.0), colour)]
    if balance.shows == "spills":
        body += _spilled_gas()
    seen = balance.seen if balance.stage == "now" else "modelled"
    words = {
        ("spills", "spills"): "seen to spill",
        ("drafts", "drafts"): "it drafted",
        ("spills", "modelled"): "still spills",
        ("drafts", "modelled"): "goes up",
    }.get((balance.shows, seen), balance.shows)
    way_word = {"up": "up", "spills": "too weak", "down": "DOWN"}[way]
    body.append(_text(288, 44, f"{units.flow(abs(balance.vent_cfm))} {way_word}", 12, colour, bold=True))
    return [*body, _text(288, 58, words, 12, colour, bold=True)]


def _hoodless(balance: AirBalance, units: Units, width: Width, colour: str) -> list[str]:
    way, fails = balance.vent_way, balance.shows == "spills"
    if way == "fan":
        flow = units.flow(abs(balance.vent_cfm)) if abs(balance.vent_cfm) >= 0.5 else "gas out"
        return [
            _arrow(286, 246, 336, 246, min(width(balance.vent_cfm), 6.0), colour),
            _text(340, 243, flow, 12, colour, bold=True),
            _text(340, 257, "too weak" if fails else "its fan", 11, colour),
        ]
    if way == "sealed":
        arrows = [_arrow(286, 242, 336, 242, 2.5, colour), _arrow(336, 256, 290, 256, 2.5, AIR)]
        return [*arrows, _text(340, 253, "too weak" if fails else "sealed", 12, colour, bold=True)]
    return [
        f'<path d="M276 242 L268 258 H275 L272 270 L281 253 H274 Z" fill="{colour}" class="f-{_CLASS[colour]}"/>',
        _text(310, 253, "nothing", 12, colour, bold=True),
        _text(310, 267, "burns", 12, colour, bold=True),
    ]


def _devices(balance: AirBalance, units: Units, width: Width) -> list[str]:
    found = [f for f in balance.flows if f.kind in ("device", "more exhaust") and f.place == "house"]
    found.sort(key=lambda f: -f.cfm)
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


def _devices_in_room(balance: AirBalance, units: Units, width: Width) -> list[str]:
    """Devices that stand in the heater's room: they pull on it directly, so the arrow starts in it."""
    found = [f for f in balance.flows if f.kind == "device" and f.place == "zone"]
    if not found:
        return []
    cfm = sum(f.cfm for f in found)
    name = _short(found[0].name, LONGEST_IN_ROOM) if len(found) == 1 else f"{len(found)} devices here"
    return [
        _arrow(290, 210, 318, 148, min(width(cfm), 5.0)),
        _text(316, 124, name, 12, INK),
        _text(316, 138, f"{units.flow(cfm)} out", 12, AIR, bold=True),
    ]


def _through(balance: AirBalance, kinds: Iterable[str], place: str, sign: float) -> float:
    """Return what goes out (sign 1) or comes in (sign -1) between a place and outdoors through some kinds of ways, cfm."""
    return sum(max(sign * f.cfm, 0.0) for f in balance.flows if f.kind in kinds and f.place == place)


def _house_leaks(balance: AirBalance, units: Units, width: Width) -> list[str]:
    body = []
    leaks = _through(balance, ("leak",), "house", -1.0)
    out = _through(balance, ("leak", "duct leak"), "house", 1.0)
    if leaks >= 0.5:
        body.append(_arrow(172, 318, 172, 270, width(leaks)))
        body.append(_text(160, 306, f"{units.flow(leaks)} in", 12, AIR, "end", bold=True))
        body.append(_text(160, 320, "through leaks", 12, INK, "end"))
    if out >= 0.5:
        body.append(_arrow(172, 104, 158, 78, width(out)))
        body.append(_text(150, 70, f"{units.flow(out)} out", 12, AIR, "end", bold=True))
        body.append(_text(150, 84, "leaks above", 12, INK, "end"))
    supply = _through(balance, ("supply",), "house", -1.0)
    window = _through(balance, ("opening",), "house", -1.0)
    if supply + window >= 0.5:
        named = [w for w, cfm in (("fresh-air supply", supply), ("open to outdoors", window)) if cfm >= 0.5]
        body.append(_arrow(210, 318, 210, 270, width(supply + window)))
        body.append(_text(222, 306, f"{units.flow(supply + window)} in", 12, AIR, bold=True))
        body.append(_text(222, 320, ", ".join(named), 12, INK))
    return body


def _room_leaks(balance: AirBalance, units: Units, width: Width) -> list[str]:
    body = []
    openings = _through(balance, ("opening", "supply"), "zone", -1.0)
    back = _through(balance, ("opening",), "zone", 1.0)
    small = _through(balance, ("leak",), "zone", -1.0)
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
        body.append(_text(398, 236, f"{units.flow(back)} out", 11, AIR, "end"))
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

    ``worst`` and ``hardest`` are modelled shares of situations that spill in the worst case and under the hardest stress;
    ``seen`` stands in their place where the record says what the house does, or that nobody knows; ``danger`` marks it.
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
    seen: str = ""
    danger: bool = False


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

    shares = " ".join(f"{r.label}: {r.cost_words}, {r.risk_words}." for r in rows)
    desc = f"{shares} All shares are modelled."
    body = [_open(identifier, 400, height, title, desc)]
    body.append(_text(left[0], 14, "What it costs to put in", 12, INK, bold=True))
    body.append(_text(right[0], 14, "Modelled: … of 100 spill", 12, INK, bold=True))
    for tick in ticks:
        body.append(_line(cost_x(tick), 34, cost_x(tick), height - 4, 0.6, SOFT, "1 3"))
        words = f"${tick / 1000:g}k" if tick >= 1000 else f"${tick:g}"
        body.append(_text(cost_x(tick), 30, words, 10.5, SOFT, "middle" if tick else "start"))
    for share in (0.0, 0.5, 1.0):
        body.append(_line(risk_x(share), 34, risk_x(share), height - 4, 0.6, SOFT, "1 3"))
        body.append(_text(risk_x(share), 30, f"{100 * share:.0f}", 10.5, SOFT, "middle"))
    for i, row in enumerate(rows):
        body += _chart_row(row, top + lane * i, left[0], cost_x, risk_x)
    body.append("</svg>")
    return "".join(body)


def _chart_row(row: Row, y: float, left: float, cost_x: Width, risk_x: Width) -> list[str]:
    colour = DANGER if row.danger else UNKNOWN if row.seen else INK
    mid = y + 26
    body = [_text(left, y + 12, _short(row.label, 58), 12, colour, bold=row.as_found)]
    if row.high_usd > 0.0:
        body.append(_line(cost_x(row.low_usd), mid, cost_x(row.high_usd), mid, 5.0, AIR))
        tick = cost_x(row.typical_usd)
        body.append(_line(tick, mid - 7, tick, mid + 7, 2.5, INK))
    else:
        body.append(_text(left, mid + 4, "no cost", 11, SOFT))
    if row.seen:
        return [*body, _text(risk_x(0.0), mid + 4, row.seen, 12, colour, bold=True)]
    end = risk_x(max(row.hardest, row.worst))
    body.append(_line(risk_x(row.worst), mid, end, mid, 2.0, colour))
    body.append(
        f'<path d="M{end - 5:.1f} {mid} L{end:.1f} {mid - 5} L{end + 5:.1f} {mid} L{end:.1f} {mid + 5} Z" fill="{PAPER}" '
        f'class="f-paper s-{_CLASS[colour]}" stroke="{colour}" stroke-width="1.5"/>'
    )
    worst = risk_x(row.worst)
    body.append(f'<circle cx="{worst:.1f}" cy="{mid}" r="4.5" fill="{colour}" class="f-{_CLASS[colour]}"/>')
    return body
