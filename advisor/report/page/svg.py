"""What every drawing is made of: text, lines, arrows, colours.

Colours stand as plain attributes, for print, and as classes, by which the page's styles change them in the dark. Nothing
rests on colour alone: direction is an arrow, danger a word and a shape.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape

INK, SOFT, PAPER, AIR, DANGER, FINE = "#1d2528", "#5a6468", "#f4f1ea", "#1f5f78", "#9a2b1a", "#2c6140"
UNKNOWN = "#6a4f86"
"""What nobody knows: neither calm nor alarming, and used for nothing else."""
CLASS = {INK: "ink", SOFT: "soft", PAPER: "paper", AIR: "air", DANGER: "danger", FINE: "fine", UNKNOWN: "unknown"}
Width = Callable[[float], float]
"""Stroke of an arrow for a flow in cfm."""
FONT = "system-ui, 'Helvetica Neue', Arial, sans-serif"


def lettering(
    x: float, y: float, words: str, size: float = 12, colour: str = INK, anchor: str = "start", bold: bool = False
) -> str:
    """Return one line of text; the place is where it starts, or ends, or has its middle."""
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" fill="{colour}" class="f-{CLASS[colour]}" '
        f'text-anchor="{anchor}"{weight}>{escape(words)}</text>'
    )


def line(x1: float, y1: float, x2: float, y2: float, width: float, colour: str = INK, dash: str = "") -> str:
    """Return a straight line."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="{colour}" class="s-{CLASS[colour]}" '
        f'stroke-width="{width:.1f}"{dashes}/>'
    )


def arrow(x1: float, y1: float, x2: float, y2: float, width: float, colour: str = AIR, dash: str = "") -> str:
    """Line with a head at its second end."""
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    head = 5.0 + 1.1 * width
    bx, by = x2 - ux * head, y2 - uy * head
    half = 0.55 * head
    points = f"{x2:.1f},{y2:.1f} {bx - uy * half:.1f},{by + ux * half:.1f} {bx + uy * half:.1f},{by - ux * half:.1f}"
    return (
        line(x1, y1, round(bx, 1), round(by, 1), width, colour, dash)
        + f'<polygon points="{points}" fill="{colour}" class="f-{CLASS[colour]}"/>'
    )


def short(words: str, longest: int) -> str:
    """Return words cut to a length, so that they stay inside the drawing."""
    return words if len(words) <= longest else words[: longest - 1].rstrip() + "…"


def opened(identifier: str, width: int, height: int, title: str, desc: str) -> str:
    """Return the start of a drawing, with its title and description for those who do not see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="{identifier}-t {identifier}-d" font-family="{FONT}">'
        f'<title id="{identifier}-t">{escape(title)}</title><desc id="{identifier}-d">{escape(desc)}</desc>'
    )


def two_lines(x: float, y: float, words: str, size: float, colour: str, bold: bool = False) -> list[str]:
    """Return words broken in the middle, on two lines."""
    parts = words.split()
    half = (len(parts) + 1) // 2
    lines = (" ".join(parts[:half]), " ".join(parts[half:]))
    return [
        lettering(x, y + i * (size + 2 if bold else size + 1), w, size, colour, bold=bold) for i, w in enumerate(lines)
    ]
