"""Drawing of the house's air as inline SVG.

What was read and seen stands above what is modelled, and the vent does what the record says.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.findings import finding, listed, quantity
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
    two_lines,
)
from advisor.report.view.air_words import balance_words, read_words, side_of
from advisor.report.view.figures import flow, pressure, whole
from advisor.wording.speak import say, text

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
    body.append(lettering(142, 142, text("drawings.house"), 12, SOFT))
    body.append(lettering(142, 158, pressure(abs(balance.house_depressurization_pa)), 12, INK, bold=True))
    body.append(lettering(142, 172, text(f"drawings.stands.{side_of(balance.house_depressurization_pa)}"), 11, SOFT))
    body += two_lines(223, 200, text("drawings.heaters_room"), 11, SOFT)
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
    if balance.stage == "after":
        return [lettering(4, 14, text("drawings.untested"), 12, INK, bold=True)]
    read = read_words(balance)
    first = text("drawings.read", read=read) if read else text("drawings.not_read")
    return [
        lettering(4, 14, first, 12, INK, bold=True),
        lettering(4, 30, text("drawings.rest_modelled"), 12, SOFT),
    ]


def _out(cfm: float) -> str:
    return text("drawings.out", flow=quantity(cfm, "cfm"))


def _in(cfm: float) -> str:
    return text("drawings.in", flow=quantity(cfm, "cfm"))


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
    return [
        arrow(262, 244, 230, 234, 2.0, DANGER, "3 2"),
        lettering(254, 256, text("drawings.gas"), 11, DANGER, "end", bold=True),
    ]


def _unknown_vent(balance: AirBalance) -> list[str]:
    body = [_pipe(UNKNOWN, "5 3"), lettering(274, 152, "?", 20, UNKNOWN, "middle", bold=True)]
    if balance.seen == "spills":
        body += [*_spilled_gas(), lettering(288, 44, text("drawings.seen_to_spill"), 12, DANGER, bold=True)]
        return [*body, lettering(288, 58, text("drawings.not_explained"), 12, UNKNOWN, bold=True)]
    if balance.seen == "drafts":
        body.append(lettering(288, 44, text("drawings.drafted"), 12, INK, bold=True))
        return [*body, lettering(288, 58, text("drawings.not_explained"), 12, UNKNOWN, bold=True)]
    body.append(lettering(288, 44, text("drawings.up_or_down"), 12, UNKNOWN, bold=True))
    return [*body, lettering(288, 58, text("drawings.not_known"), 12, UNKNOWN, bold=True)]


def _hooded_vent(balance: AirBalance, width: Width, colour: str) -> list[str]:
    x, way = 274.0, balance.vent_way
    ends = (52, 214) if way == "down" else (218, 40)
    body = [_pipe(INK), arrow(x, ends[0], x, ends[1], min(width(balance.vent_cfm), 6.0), colour)]
    if balance.shows == "spills":
        body += _spilled_gas()
    seen = balance.seen if balance.stage == "now" else "modelled"
    carried = text(f"drawings.carries.{way}", flow=quantity(abs(balance.vent_cfm), "cfm"))
    body.append(lettering(288, 44, carried, 12, colour, bold=True))
    words = text(f"drawings.shows.{balance.shows}.{seen}")
    return [*body, lettering(288, 58, words, 12, colour, bold=True)]


def _hoodless(balance: AirBalance, width: Width, colour: str) -> list[str]:
    way, fails = balance.vent_way, balance.shows == "spills"
    if way == "fan":
        carried = flow(abs(balance.vent_cfm)) if abs(balance.vent_cfm) >= 0.5 else text("drawings.gas_out")
        return [
            arrow(286, 246, 336, 246, min(width(balance.vent_cfm), 6.0), colour),
            lettering(340, 243, carried, 12, colour, bold=True),
            lettering(340, 257, text("drawings.too_weak" if fails else "drawings.its_fan"), 11, colour),
        ]
    if way == "sealed":
        arrows = [arrow(286, 242, 336, 242, 2.5, colour), arrow(336, 256, 290, 256, 2.5, AIR)]
        return [
            *arrows,
            lettering(340, 253, text("drawings.too_weak" if fails else "drawings.sealed"), 12, colour, bold=True),
        ]
    return [
        f'<path d="M276 242 L268 258 H275 L272 270 L281 253 H274 Z" fill="{colour}" class="f-{CLASS[colour]}"/>',
        *two_lines(310, 253, text("drawings.nothing_burns"), 12, colour, bold=True),
    ]


def _devices(balance: AirBalance, width: Width) -> list[str]:
    found = [f for f in balance.flows if f.kind in ("device", "more exhaust") and f.place == "house"]
    found.sort(key=lambda f: -f.cfm)
    body = []
    shown = found if len(found) <= SHOWN_DEVICES else found[: SHOWN_DEVICES - 1]
    rows = [(short(f.name or text("view.air.kind.more_exhaust"), LONGEST_NAME), f.cfm) for f in shown]
    if len(found) > len(shown):
        rest = found[len(shown) :]
        rows.append((text("drawings.more", count=whole(len(rest))), sum(f.cfm for f in rest)))
    y = 134.0
    for name, cfm in rows:
        body.append(lettering(4, y, name, 12, INK))
        body.append(lettering(4, y + 14, _out(cfm), 12, AIR, bold=True))
        body.append(arrow(140, y + 10, 98, y + 10, width(cfm)))
        y += 38
    return body


def _devices_in_room(balance: AirBalance, width: Width) -> list[str]:
    """Devices that stand in the heater's room: they pull on it directly, so the arrow starts in it."""
    found = [f for f in balance.flows if f.kind == "device" and f.place == "zone"]
    if not found:
        return []
    cfm = sum(f.cfm for f in found)
    name = (
        short(found[0].name, LONGEST_IN_ROOM)
        if len(found) == 1
        else text("drawings.devices_here", number=whole(len(found)))
    )
    return [
        arrow(290, 210, 318, 148, min(width(cfm), 5.0)),
        lettering(316, 124, name, 12, INK),
        lettering(316, 138, _out(cfm), 12, AIR, bold=True),
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
        body.append(lettering(160, 306, _in(leaks), 12, AIR, "end", bold=True))
        body.append(lettering(160, 320, text("drawings.through_leaks"), 12, INK, "end"))
    if out >= 0.5:
        body.append(arrow(172, 104, 158, 78, width(out)))
        body.append(lettering(150, 70, _out(out), 12, AIR, "end", bold=True))
        body.append(lettering(150, 84, text("drawings.leaks_above"), 12, INK, "end"))
    supply = _through(balance, ("supply",), "house", -1.0)
    window = _through(balance, ("opening",), "house", -1.0)
    if supply + window >= 0.5:
        ways = [f"drawings.{name}" for name, cfm in (("supply", supply), ("open", window)) if cfm >= 0.5]
        body.append(arrow(210, 318, 210, 270, width(supply + window)))
        body.append(lettering(222, 306, _in(supply + window), 12, AIR, bold=True))
        body.append(lettering(222, 320, say(listed(finding(way) for way in ways)), 12, INK))
    return body


def _room_leaks(balance: AirBalance, width: Width) -> list[str]:
    body = []
    openings = _through(balance, ("opening", "supply"), "zone", -1.0)
    back = _through(balance, ("opening",), "zone", 1.0)
    small = _through(balance, ("leak",), "zone", -1.0)
    y = 206.0
    ways = [(openings, "air_opening"), (small, "leaks")]
    if balance.vent_way in ("fan", "sealed", "none"):  # the lower place is taken by the heater's own pipes
        ways = [(openings + small, "openings_leaks" if openings >= 0.5 else "leaks")]
    for cfm, name in ways:
        if cfm >= 0.5:
            body.append(lettering(316, y - 22, text(f"drawings.{name}"), 12, INK))
            body.append(lettering(316, y - 8, _in(cfm), 12, AIR, bold=True))
            body.append(arrow(352, y, 294, y, width(cfm)))
            y += 60
    if back >= 0.5:
        body.append(arrow(296, 220, 350, 220, width(back)))
        body.append(lettering(398, 236, _out(back), 11, AIR, "end"))
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
        body.append(lettering(212, 197, text("drawings.duct_leak"), 12, INK, "end"))
    return body
