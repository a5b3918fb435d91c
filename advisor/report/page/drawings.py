"""Drawing of the house's air as inline SVG.

What was read and seen stands above what is modelled, and the vent does what the record says.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.findings import quantity
from advisor.ranking.air_balance import AirBalance
from advisor.report.page.svg import (
    AIR,
    CLASS,
    DANGER,
    FINE,
    INK,
    PAPER,
    SOFT,
    UNKNOWN,
    Width,
    arrow,
    lettering,
    opened,
    short,
)
from advisor.report.view.air_words import balance_words, read_words, side_of
from advisor.report.view.figures import flow, pressure, whole
from advisor.wording.speak import text

SHOWN_DEVICES = 4
LONGEST_NAME, LONGEST_IN_ROOM = 17, 13
HEAD_HEIGHT = 36
"""Lines above the drawing: the reading, and the word that the rest is modelled."""


def house_drawing(balance: AirBalance, identifier: str, title: str) -> str:
    """Return the house's air balance as an SVG with title and description.

    Parameters
    ----------
    balance : AirBalance
        Flows to draw.
    identifier : str
        Unique in the page.
    title : str
        Heading of the drawing, plain text.
    """
    most = max(balance.out_cfm, balance.in_cfm, 1.0)

    def width(cfm: float) -> float:
        return 1.5 + 6.5 * math.sqrt(min(abs(cfm) / most, 1.0))

    body = [opened(identifier, 400, 330 + HEAD_HEIGHT, title, balance_words(balance))]
    body += _head(balance)
    body.append(f'<g transform="translate(0 {HEAD_HEIGHT})">')
    # house: roof, walls; the heater's space in its lower right
    body.append(
        f'<path d="M132 122 L217 62 L302 122 V282 H132 Z" fill="{PAPER}" class="f-paper s-ink" stroke="{INK}" '
        'stroke-width="2" stroke-linejoin="round"/>'
    )
    body.append(f'<path d="M218 282 V186 H302" fill="none" class="s-ink" stroke="{INK}" stroke-width="1.5"/>')
    body.append(lettering(142, 142, "house", 12, SOFT))
    body.append(lettering(142, 158, _pa(balance.house_depressurization_pa, units), 12, INK, bold=True))
    body.append(lettering(142, 172, _pa_word(balance.house_depressurization_pa), 11, SOFT))
    body += [lettering(223, 200, "heater's", 11, SOFT), lettering(223, 212, "room", 11, SOFT)]
    body.append(
        f'<rect x="262" y="234" width="24" height="44" rx="4" fill="none" class="s-ink" stroke="{INK}" '
        'stroke-width="1.5"/>'
    )
    body += _vent(balance, width)
    body += _devices(balance, width)
    body += _devices_in_room(balance, width)
    body += _house_leaks(balance, width)
    body += _room_leaks(balance, width)
    body += _link(balance, width)
    body.append("</g></svg>")
    return "".join(body)


def _head(balance: AirBalance) -> list[str]:
    """Lines above the drawing: what was read first, then that the rest is modelled."""
    if balance.stage == "after the work":
        return [lettering(4, 14, "modelled: nobody has tested it yet", 12, INK, bold=True)]
    read = read_words(balance)
    first = f"read: {read}, in the heater's room" if read else "read: no pressure in the heater's room"
    return [
        lettering(4, 14, first, 12, INK, bold=True),
        lettering(4, 30, "all flows and other pressures here are modelled", 12, SOFT),
    ]


def _pa(pascals: float, units: Units) -> str:
    return units.pressure(abs(pascals))


def _pa_word(pascals: float) -> str:
    return "below outdoors" if pascals >= 0.05 else "above outdoors" if pascals <= -0.05 else "as outdoors"


def _vent(balance: AirBalance, width: Width) -> list[str]:
    if balance.shows == "unknown":
        return _unknown_vent(balance)
    colour = DANGER if balance.shows == "spills" else FINE if balance.calm else INK
    if balance.vent_way in ("up", "spills", "down"):
        return _hooded_vent(balance, width, colour)
    return _hoodless(balance, width, colour)


def _pipe(colour: str, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="M268 226 V48 M280 226 V48 M262 234 L268 226 M286 234 L280 226" fill="none" class="s-{CLASS[colour]}" '
        f'stroke="{colour}" stroke-width="1.2"{dashes}/>'
    )


def _spilled_gas() -> list[str]:
    return [arrow(262, 244, 230, 234, 2.0, DANGER, "3 2"), lettering(254, 256, "gas", 11, DANGER, "end", bold=True)]


def _unknown_vent(balance: AirBalance) -> list[str]:
    body = [_pipe(UNKNOWN, "5 3"), lettering(274, 152, "?", 20, UNKNOWN, "middle", bold=True)]
    if balance.seen == "spills":
        body += [*_spilled_gas(), lettering(288, 44, "seen to spill", 12, DANGER, bold=True)]
        return [*body, lettering(288, 58, "not explained", 12, UNKNOWN, bold=True)]
    if balance.seen == "drafts":
        body.append(lettering(288, 44, "drafted in its test", 12, INK, bold=True))
        return [*body, lettering(288, 58, "not explained", 12, UNKNOWN, bold=True)]
    body.append(lettering(288, 44, "up or down:", 12, UNKNOWN, bold=True))
    return [*body, lettering(288, 58, "not known", 12, UNKNOWN, bold=True)]


def _hooded_vent(balance: AirBalance, width: Width, colour: str) -> list[str]:
    x, way = 274.0, balance.vent_way
    ends = (52, 214) if way == "down" else (218, 40)
    body = [_pipe(INK), arrow(x, ends[0], x, ends[1], min(width(balance.vent_cfm), 6.0), colour)]
    if balance.shows == "spills":
        body += _spilled_gas()
    seen = balance.seen if balance.stage == "as it is now" else "modelled"
    words = {
        ("spills", "spills"): "seen to spill",
        ("drafts", "drafts"): "it drafted",
        ("spills", "modelled"): "still spills",
        ("drafts", "modelled"): "goes up",
    }.get((balance.shows, seen), balance.shows)
    way_word = {"up": "up", "spills": "too weak", "down": "DOWN"}[way]
    body.append(lettering(288, 44, f"{flow(abs(balance.vent_cfm))} {way_word}", 12, colour, bold=True))
    return [*body, lettering(288, 58, words, 12, colour, bold=True)]


def _hoodless(balance: AirBalance, width: Width, colour: str) -> list[str]:
    way, fails = balance.vent_way, balance.shows == "spills"
    if way == "fan":
        flow = flow(abs(balance.vent_cfm)) if abs(balance.vent_cfm) >= 0.5 else "gas out"
        return [
            arrow(286, 246, 336, 246, min(width(balance.vent_cfm), 6.0), colour),
            lettering(340, 243, flow, 12, colour, bold=True),
            lettering(340, 257, "too weak" if fails else "its fan", 11, colour),
        ]
    if way == "sealed":
        arrows = [arrow(286, 242, 336, 242, 2.5, colour), arrow(336, 256, 290, 256, 2.5, AIR)]
        return [*arrows, lettering(340, 253, "too weak" if fails else "sealed", 12, colour, bold=True)]
    return [
        f'<path d="M276 242 L268 258 H275 L272 270 L281 253 H274 Z" fill="{colour}" class="f-{CLASS[colour]}"/>',
        lettering(310, 253, "nothing", 12, colour, bold=True),
        lettering(310, 267, "burns", 12, colour, bold=True),
    ]


def _devices(balance: AirBalance, width: Width) -> list[str]:
    found = [f for f in balance.flows if f.kind in ("device", "more exhaust") and f.place == "house"]
    found.sort(key=lambda f: -f.cfm)
    body = []
    shown = found if len(found) <= SHOWN_DEVICES else found[: SHOWN_DEVICES - 1]
    rows = [(short(f.name or "one more fan"), f.cfm) for f in shown]
    if len(found) > len(shown):
        rest = found[len(shown) :]
        rows.append((f"{len(rest)} more", sum(f.cfm for f in rest)))
    y = 134.0
    for name, cfm in rows:
        body.append(lettering(4, y, name, 12, INK))
        body.append(lettering(4, y + 14, f"{flow(cfm)} out", 12, AIR, bold=True))
        body.append(arrow(140, y + 10, 98, y + 10, width(cfm)))
        y += 38
    return body


def _devices_in_room(balance: AirBalance, width: Width) -> list[str]:
    """Devices that stand in the heater's room: they pull on it directly, so the arrow starts in it."""
    found = [f for f in balance.flows if f.kind == "device" and f.place == "zone"]
    if not found:
        return []
    cfm = sum(f.cfm for f in found)
    name = short(found[0].name, LONGEST_IN_ROOM) if len(found) == 1 else f"{len(found)} devices here"
    return [
        arrow(290, 210, 318, 148, min(width(cfm), 5.0)),
        lettering(316, 124, name, 12, INK),
        lettering(316, 138, f"{flow(cfm)} out", 12, AIR, bold=True),
    ]


def _through(balance: AirBalance, kinds: Iterable[str], place: str, sign: float) -> float:
    """Return what goes out (sign 1) or comes in (sign -1) between a place and outdoors through some kinds of ways, cfm."""
    return sum(max(sign * f.cfm, 0.0) for f in balance.flows if f.kind in kinds and f.place == place)


def _house_leaks(balance: AirBalance, width: Width) -> list[str]:
    body = []
    leaks = _through(balance, ("leak",), "house", -1.0)
    out = _through(balance, ("leak", "duct leak"), "house", 1.0)
    if leaks >= 0.5:
        body.append(arrow(172, 318, 172, 270, width(leaks)))
        body.append(lettering(160, 306, f"{flow(leaks)} in", 12, AIR, "end", bold=True))
        body.append(lettering(160, 320, "through leaks", 12, INK, "end"))
    if out >= 0.5:
        body.append(arrow(172, 104, 158, 78, width(out)))
        body.append(lettering(150, 70, f"{flow(out)} out", 12, AIR, "end", bold=True))
        body.append(lettering(150, 84, "leaks above", 12, INK, "end"))
    supply = _through(balance, ("supply",), "house", -1.0)
    window = _through(balance, ("opening",), "house", -1.0)
    if supply + window >= 0.5:
        named = [w for w, cfm in (("fresh-air supply", supply), ("open to outdoors", window)) if cfm >= 0.5]
        body.append(arrow(210, 318, 210, 270, width(supply + window)))
        body.append(lettering(222, 306, f"{flow(supply + window)} in", 12, AIR, bold=True))
        body.append(lettering(222, 320, ", ".join(named), 12, INK))
    return body


def _room_leaks(balance: AirBalance, width: Width) -> list[str]:
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
            body.append(lettering(316, y - 22, words, 12, INK))
            body.append(lettering(316, y - 8, f"{flow(flow)} in", 12, AIR, bold=True))
            body.append(arrow(352, y, 294, y, width(flow)))
            y += 60
    if back >= 0.5:
        body.append(arrow(296, 220, 350, 220, width(back)))
        body.append(lettering(398, 236, f"{flow(back)} out", 11, AIR, "end"))
    return body


def _link(balance: AirBalance, width: Width) -> list[str]:
    cfm, carried = balance.link_cfm, balance.return_cfm
    body = []
    if abs(cfm) >= 0.5:
        ends = (200, 240) if cfm > 0 else (240, 200)
        body.append(arrow(ends[0], 268, ends[1], 268, width(cfm)))
        body.append(lettering(212, 254, flow(abs(cfm)), 12, AIR, "end", bold=True))
    if carried >= 0.5:
        body.append(arrow(240, 222, 200, 222, width(carried)))
        body.append(lettering(212, 211, flow(carried), 12, AIR, "end", bold=True))
        body.append(lettering(212, 197, "duct leak", 12, INK, "end"))
    return body
