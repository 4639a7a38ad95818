"""What the figures share: a palette safe for colour-blind readers, depth downward, direct labels that do not overlap."""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Any

import matplotlib
import numpy as np
from matplotlib.figure import Figure

# Okabe and Ito, "Color Universal Design", 2008; from memory
BLACK, ORANGE, SKY, GREEN = "#000000", "#E69F00", "#56B4E9", "#009E73"
BLUE, VERMILION, PURPLE = "#0072B2", "#D55E00", "#CC79A7"
GREY, PALE = "#8C8C8C", "#D9D9D9"
SECTION_COLOURS = (BLUE, ORANGE, GREEN, PURPLE, SKY, VERMILION)
SECTION_MARKS = ("o", "s", "D", "^", "v", "P")
EVENT_MARKS = {
    "losses": (BLUE, "v"), "influx": (VERMILION, "^"), "tight hole": (ORANGE, "s"), "pack-off": (PURPLE, "D"), "stuck pipe": (BLACK, "X"),
}  # fmt: skip
SPARE_MARKS = ((GREEN, "P"), (SKY, "*"), (GREY, "h"))

STYLE: dict[Any, Any] = {
    "font.size": 9.0, "axes.titlesize": 10.0, "axes.titlelocation": "left", "axes.labelsize": 9.0, "xtick.labelsize": 8.0,
    "ytick.labelsize": 8.0, "axes.spines.top": False, "axes.spines.right": False, "axes.grid": True, "grid.color": "#E6E6E6",
    "grid.linewidth": 0.6, "axes.axisbelow": True, "figure.dpi": 110.0, "savefig.dpi": 110.0, "legend.frameon": False,
}  # fmt: skip


def style() -> AbstractContextManager[None]:
    """The look of all figures, for a `with` statement; nothing outside is changed."""
    return matplotlib.rc_context(STYLE)


def sheet(width: float, height: float, rows: int = 1, columns: int = 1, **kwargs: Any) -> tuple[Figure, Any]:
    """A figure with its axes as an array, laid out so that labels have room. Sizes in inches."""
    figure = Figure(figsize=(width, height), layout="constrained")
    return figure, figure.subplots(rows, columns, squeeze=False, **kwargs)


def apart(places: Sequence[float], gap: float) -> Any:
    """The places moved as little as needed to lie at least `gap` from each other, in the same order."""
    order = np.argsort(places, kind="stable")
    moved = np.asarray(places, float)[order]
    for _ in range(200):
        close = gap - np.diff(moved)
        worst = close > 1e-9 * abs(gap)
        if not worst.any():
            break
        push = np.where(worst, close / 2.0, 0.0)
        moved[:-1] -= push
        moved[1:] += push
    found = np.empty_like(moved)
    found[order] = moved
    return found


def side_labels(
    axes: Any, places: Sequence[float], texts: Sequence[str], colours: Any = GREY, size: float = 7.5, gap: float = 0.032
) -> None:
    """Labels right of the axes at heights in data units, moved apart, with a short line to the place each belongs to."""
    top, bottom = sorted(axes.get_ylim())
    found = apart(places, gap * (bottom - top))
    chosen = [colours] * len(texts) if isinstance(colours, str) else list(colours)
    across = axes.get_yaxis_transform()
    for place, label, text, colour in zip(places, found, texts, chosen):
        axes.plot([1.0, 1.015], [place, label], transform=across, color=colour, linewidth=0.7, clip_on=False)
        axes.text(1.02, label, text, transform=across, color=colour, fontsize=size, va="center", ha="left")


def depth_down(axes: Any, unit: str, label: str = "depth below mean sea level") -> None:
    """Depth on the vertical axis, growing downward."""
    axes.set_ylabel(f"{label} ({unit})")
    if not axes.yaxis_inverted():
        axes.invert_yaxis()


def jitter(count: int, width: float, key: int = 0) -> Any:
    """Fixed sideways offsets that keep points of a strip from hiding each other."""
    return width * (((np.arange(count) * 0.6180339887 + 0.37 * key) % 1.0) - 0.5)


def event_mark(kind: str, kinds: Sequence[str]) -> tuple[str, str]:
    """Colour and marker of a kind of event, the same in every figure."""
    if kind in EVENT_MARKS:
        return EVENT_MARKS[kind]
    others = [k for k in kinds if k not in EVENT_MARKS]
    return SPARE_MARKS[others.index(kind) % len(SPARE_MARKS)]
