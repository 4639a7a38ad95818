"""Figures of flow curves. Every function returns a matplotlib Figure; `figure.savefig(...)` keeps it."""

from collections.abc import Mapping, Sequence
from numbers import Real
from textwrap import fill
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, NullFormatter

from lutum import _core
from lutum._drawing import BLACK, BLUE, GREEN, GREY, ORANGE, PURPLE, SKY, VERMILION, apart, sheet, style

from .comparing import Comparison
from .curve import FlowCurve
from .fitting import Ramps
from .many import fit_many
from .models import factor, factors, parameters_of, set_of
from .readings import at_temperature, in_rpm
from .showing import in_words, rates_of_readings
from .telling import WORTH

__all__ = ["flow_curves_by_depth", "rheogram"]

COLOURS = (BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY, GREY, "#8B6B00", "#6A51A3", "#7A1E48")  # black is for readings
MOST_BANDS = 3  # more would hide each other
POINTS = 240
LINE = 0.042  # of the height of the axes, between two labels
ROOM = 1.4  # how far above curves and readings a band is followed: beyond, it would press the readings flat


def rheogram(curves: Any, *, log: bool = False, level: float | None = 0.95, readings: bool = True, title: str | None = None) -> Figure:
    """Stress against rate: readings, curves and their confidence bands.

    ``curves``: a ``FlowCurve``, a list of them, {label: curve}, a comparison or two ramps. A curve is full between the rates it was
    fitted to and dashed beyond. A reading that was not used is open, a suspect one ringed. ``level`` of the band, None for no band; with more
    than three curves none is drawn.
    """
    named = _named(curves)
    home = next(iter(named.values())).units
    shown = {label: curve.to(home) for label, curve in named.items()}
    low, high = _rate_span(list(shown.values()), log)
    grid = _rates(low, high, list(shown.values()))
    with style():
        figure, axes = sheet(7.4, 4.8)
        ax = axes[0, 0]
        ends, colours, bands = [], [], []
        for number, curve in enumerate(shown.values()):
            colour = COLOURS[number % len(COLOURS)]
            stress = np.asarray(curve.stress(grid), float)
            first, last = curve.rates_used
            inside = (grid >= first) & (grid <= last) if np.isfinite(first) else np.ones(len(grid), bool)
            ax.plot(grid, np.where(inside, stress, np.nan), color=colour, linewidth=1.8 if len(shown) < 5 else 1.2, zorder=3)
            ax.plot(grid, stress, color=colour, linewidth=0.9, linestyle=(0, (4, 3)), zorder=2)
            if level is not None and len(shown) <= MOST_BANDS:
                band = curve.band(grid, level)
                if np.isfinite(band.low).any():
                    ax.fill_between(grid, band.low, band.high, color=colour, alpha=0.18, linewidth=0.0, zorder=1)
                    bands.append(float(np.nanmax(band.high)))
            ends.append(float(stress[-1]))
            colours.append(colour)
        tops = _draw_readings(ax, list(shown.values()), colours) if readings else []
        _limits(ax, grid, shown, tops, max(bands, default=0.0), log)
        _end_labels(ax, high, ends, list(shown), colours)
        ax.set_xlabel(f"shear rate ({home.unit('shear_rate')})")
        ax.set_ylabel(f"shear stress ({home.unit('stress')})")
        words = _title(list(shown.values()), level) if title is None else title
        figure.suptitle(words, x=0.01, ha="left", fontsize=10)
    return figure


def _named(curves: Any) -> dict[str, FlowCurve]:
    """Curves by their label."""
    if isinstance(curves, FlowCurve):
        curves = [curves]
    if isinstance(curves, Ramps):
        curves = {"up": curves.up, "down": curves.down}
    if isinstance(curves, Comparison):
        curves = {in_words(model): curve for model, curve in curves.curves.items()}
    if isinstance(curves, Mapping):
        named = dict(curves)
    else:
        given: Sequence[FlowCurve] = list(curves)
        listed = [curve.to(given[0].units) for curve in given]
        alike = len({c.model for c in listed}) == 1
        labels = [in_words(c.model) if len(listed) == 1 or not alike else _condition(c, i) for i, c in enumerate(listed)]
        named = {label if labels.count(label) == 1 else f"{label}, {i + 1}": c for i, (label, c) in enumerate(zip(labels, listed))}
    drawable = {label: c for label, c in named.items() if np.isfinite(list(c.parameters.values())).all()}
    if not drawable:
        raise ValueError("there is no curve to draw: " + "; ".join(f"{label}: {c.sentence}" for label, c in named.items()))
    doubtful = {label: c.status == "fallback" or not WORTH[c.status].curve for label, c in drawable.items()}
    return {label + (f" ({c.status.replace('_', ' ')})" if doubtful[label] else ""): c for label, c in drawable.items()}


def _condition(curve: FlowCurve, place: int) -> str:
    if curve.temperature is None:
        return f"{in_words(curve.model)}, {place + 1}"
    pressure = f", {curve.pressure:g} {curve.units.unit('pressure')}" if curve.pressure is not None else ""
    return f"{curve.temperature:g} {curve.units.unit('temperature')}{pressure}"


def _rate_span(curves: list[FlowCurve], log: bool) -> tuple[float, float]:
    """A little more than the readings span; for curves without readings a little more than 3 to 1000 1/s."""
    known = [rate for c in curves if c._state.taken is not None for rate in rates_of_readings(c) if np.isfinite(rate) and rate > 0.0]
    unit = factor("shear_rate", curves[0].units)
    low, high = (min(known), max(known)) if known else (3.0 / unit, 1000.0 / unit)
    return (0.6 * low, 1.5 * high) if log else (0.0, 1.08 * high)


def _rates(low: float, high: float, curves: list[FlowCurve]) -> Any:
    """Rates to draw at: equal steps of the logarithm, so that a curve is round near rest too, and where a full line ends."""
    grid = np.geomspace(low or 1e-5 * high, high, POINTS)
    ends = [rate for c in curves for rate in c.rates_used if np.isfinite(rate)]
    return np.unique([*grid, *ends, *([] if low else [0.0])])


def _draw_readings(ax: Any, curves: list[FlowCurve], colours: list[str]) -> list[float]:
    """Readings, black when all curves rest on the same; returns their stresses. Open are those that no curve used."""
    rests = [(c, c._state.taken, colour) for c, colour in zip(curves, colours) if c._state.taken is not None]
    shared = len({repr((taken, c.rate_correction)) for c, taken, _ in rests}) == 1
    used_by_some = {place for c, _, _ in rests for place in c._state.used}
    stresses: list[float] = []
    for curve, taken, own in rests[: 1 if shared else None]:
        assert taken is not None
        colour = BLACK if shared else own
        x = np.asarray(rates_of_readings(curve), float)
        y = np.array(taken.stresses) / factor("stress", curve.units)
        used = np.isin(np.arange(len(x)), list(used_by_some) if shared else curve._state.used)
        stresses += list(y[np.isfinite(y)])
        ax.plot(x[used], y[used], "o", color=colour, markersize=4.5, zorder=5)
        ax.plot(x[~used], y[~used], "o", markerfacecolor="white", markeredgecolor=colour, markersize=4.5, zorder=5)
    for curve, taken, _ in rests if len(rests) <= MOST_BANDS else []:
        if (place := curve._state.suspect) is not None and taken is not None:
            where = (rates_of_readings(curve)[place], taken.stresses[place] / factor("stress", curve.units))
            ax.plot(*where, "o", markerfacecolor="none", markeredgecolor=VERMILION, markeredgewidth=1.4, markersize=11, zorder=6)
            above = curve._state.residuals[place] > 0.0
            ax.annotate("suspect", where, xytext=(0, 10 if above else -17), textcoords="offset points", fontsize=8, color=VERMILION, ha="center")
    return stresses


def _limits(ax: Any, grid: Any, curves: Mapping[str, FlowCurve], stresses: list[float], band: float, log: bool) -> None:
    """Axes that hold curves and readings, and the top of the bands as far as that leaves the readings their room."""
    seen = np.concatenate([np.asarray(c.stress(grid), float) for c in curves.values()] + [np.array(stresses, float)])
    seen = seen[np.isfinite(seen)]
    band = min(band, ROOM * seen.max())
    if log:
        ax.set(xscale="log", yscale="log")
        positive = seen[seen > 0.0]
        ax.set(xlim=(grid[0], grid[-1]), ylim=(0.8 * positive.min(), max(1.25 * positive.max(), 1.05 * band)) if positive.size else (0.1, 10.0))
        plain_log(ax)
    else:
        ax.set(xlim=(0.0, grid[-1]), ylim=(min(0.0, 1.05 * seen.min()), max(1.06 * seen.max(), 1.02 * band) or 1.0))


def plain_log(ax: Any) -> None:
    """Ticks of log axes as plain numbers at 1, 2 and 5, no more than a decade has room for."""
    for axis, ends in ((ax.xaxis, ax.get_xlim()), (ax.yaxis, ax.get_ylim())):
        decades = np.arange(np.floor(np.log10(ends[0])), np.ceil(np.log10(ends[1])) + 1)
        steps = (1.0, 2.0, 5.0) if np.log10(ends[1] / ends[0]) < 3.2 else (1.0,)
        ticks = [s * 10.0**d for d in decades for s in steps if ends[0] <= s * 10.0**d <= ends[1]]
        axis.set_ticks(ticks)
        axis.set_major_formatter(FuncFormatter(lambda x, _: f"{x:g}"))
        axis.set_minor_formatter(NullFormatter())
        axis.set_tick_params(which="minor", length=0)


def _end_labels(ax: Any, at: float, ends: list[float], labels: list[str], colours: list[str]) -> None:
    """Labels right of the axes, moved apart, each with a short line to the end of its curve."""
    to_axes = ax.transData + ax.transAxes.inverted()
    places = np.clip([to_axes.transform((at, max(end, 1e-12)))[1] for end in ends], 0.0, 1.0)
    for place, label_at, label, colour in zip(places, _within(apart(places, LINE), LINE), labels, colours):
        ax.plot([1.0, 1.02], [place, label_at], transform=ax.transAxes, color=colour, linewidth=0.8, clip_on=False)
        ax.text(1.025, label_at, label, transform=ax.transAxes, color=colour, fontsize=8.5, va="center", ha="left")


def _within(places: Any, gap: float) -> Any:
    """Places that are `gap` apart, pushed into the height of the axes and a line more at either end."""
    order = np.argsort(places, kind="stable")
    rank = np.empty(len(order))
    rank[order] = np.arange(len(order))
    return np.maximum(np.minimum(places, 1.0 + gap - (len(order) - 1 - rank) * gap), rank * gap - gap)


def _title(curves: list[FlowCurve], level: float | None) -> str:
    """What is drawn, and of what temperature when it is the same for all."""
    warm = {c._state.temperature for c in curves}
    heat = f" {at_temperature(next(iter(warm)), curves[0].units)}" if len(warm) == 1 and next(iter(warm)) is not None else ""
    banded = level is not None and len(curves) <= MOST_BANDS and any(c._state.covariance and c.degrees_of_freedom > 0 for c in curves)
    several = "s" if len(curves) > 1 else ""
    return f"Flow curve{several}{heat}" + (f", {100.0 * (level or 0.0):g} % confidence band{several}" if banded else "")


def flow_curves_by_depth(
    source: Any, *, depth: str | None = None, by: str | None = None, model: str = "yield_power_law", units: Any = None, log: bool = True, most: int = 9
) -> Figure:
    """Flow curves of many checks, coloured by depth, a panel for each hole section (or each value of another column).

    ``source``: an offset study, or a frame with dial readings (reading_600, ...) in the units of ``units``. ``depth`` and ``by`` name
    columns; of a study they are the depth below sea and the section where it is aligned, else the measured depth and the well. Checks
    without a curve are counted in the titles. Panels beyond ``most`` are left out, and the title says so.
    """
    frame, home, depth, by, depth_unit = _of_source(source, depth, by, units)
    fits = fit_many(frame, model, units=home)
    places = frame[depth].to_numpy(float)
    names = [p.name for p in parameters_of(model)]
    drawn = fits["status"].map(lambda status: WORTH[status].curve).to_numpy(bool) & np.isfinite(fits[names].to_numpy(float)).all(axis=1) & np.isfinite(places)
    if not drawn.any():
        raise ValueError(f"none of the {len(frame)} checks has both a flow curve and a {depth.replace('_', ' ')}")
    groups = [None] if by is None else [g for g in pd.unique(frame[by].astype(object)) if g == g]
    if by is not None and isinstance(frame[by].dtype, pd.CategoricalDtype):
        groups = [g for g in frame[by].cat.categories if g in set(groups)]
    kept = groups[:most]
    low, high = _speeds_span(frame, home)
    grid = np.geomspace(low, high, 60)
    scale = factors(model, home)
    states = _core.flow_curve_states(model, fits[names].to_numpy(float) * scale, grid * factor("shear_rate", home))
    stress = states[0] / factor("stress", home)
    shades = Normalize(float(places[drawn].min()), float(places[drawn].max()))
    columns = 2 if len(kept) == 4 else min(3, len(kept))
    rows = -(-len(kept) // columns)
    with style():
        width, height = (6.4, 4.4) if len(kept) == 1 else (1.6 + 2.9 * columns, 0.9 + 2.7 * rows)
        figure, axes = sheet(width, height, rows, columns, sharex=True, sharey=True)
        for ax in axes.flat[len(kept) :]:
            ax.set_axis_off()
        for ax, group in zip(axes.flat, kept):
            mine = np.ones(len(frame), bool) if group is None else (frame[by] == group).to_numpy()
            order = np.flatnonzero(mine & drawn)
            order = order[np.argsort(places[order], kind="stable")]
            lines = LineCollection([np.column_stack([grid, stress[i]]) for i in order], cmap=DEEPER, norm=shades, linewidths=0.9, alpha=0.85)
            lines.set_array(places[order])
            ax.add_collection(lines)
            without = int((mine & ~drawn).sum())
            head = "" if group is None else f"{_group(group, str(by), _unit(source, by))}: "
            ax.set_title(f"{head}{len(order)} curve{'s' if len(order) != 1 else ''}" + (f", {without} without" if without else ""), fontsize=9)
        inside = stress[drawn]
        top, bottom = np.nanmax(inside), np.nanmin(inside[inside > 0.0]) if log else 0.0
        first = axes.flat[0]
        if log:
            for ax in axes.flat:
                ax.set(xscale="log", yscale="log")
            first.set(xlim=(0.9 * low, 1.1 * high), ylim=(0.85 * bottom, 1.15 * top))
            for ax in axes.flat[: len(kept)]:
                plain_log(ax)
        else:
            first.set(xlim=(0.0, 1.04 * high), ylim=(min(bottom, 0.0), 1.05 * top))
        for place, ax in enumerate(axes.flat[: len(kept)]):
            if place + columns >= len(kept):
                ax.set_xlabel(f"shear rate ({home.unit('shear_rate')})")
                ax.tick_params(labelbottom=True)
            if place % columns == 0:
                ax.set_ylabel(f"shear stress ({home.unit('stress')})")
        bar = figure.colorbar(ScalarMappable(shades, DEEPER), ax=axes, aspect=30, pad=0.02, label=f"{depth_in_words(depth)} ({depth_unit})")
        bar.ax.invert_yaxis()
        more = f"; {len(groups) - len(kept)} more panels not shown" if len(groups) > len(kept) else ""
        words = f"Flow curves by depth, {in_words(model)} at the temperature of the readings{more}"
        figure.suptitle(fill(words, int((13 if len(kept) == 1 else 11) * width)), x=0.01, ha="left", fontsize=10)
    return figure


# Light to dark, shallow to deep: read alike in colour and in grey, and never as pale as the paper.
DEEPER = LinearSegmentedColormap.from_list("deeper", ["#E0B84C", "#B57A4A", "#7A4A73", "#33306B", "#0B0F2E"])


def depth_in_words(column: str) -> str:
    return "depth below mean sea level" if column == "below_sea" else column.replace("_", " ")


def _of_source(source: Any, depth: str | None, by: str | None, units: Any) -> tuple[pd.DataFrame, Any, str, str | None, str]:
    """Frame, unit set, depth column, panel column and the unit of depth."""
    if isinstance(source, pd.DataFrame):
        depth = depth or "measured_depth"
        for name in (depth, by):
            if name is not None and name not in source.columns:
                raise ValueError(f"no column {name!r}; the frame has {', '.join(map(str, source.columns))}")
        home = set_of(units)
        return source, home, depth, by, home.unit("length")
    aligned = "below_sea" in source
    depth = depth or ("below_sea" if aligned else "measured_depth")
    by = by or ("section" if "section" in source else str(source.well.name))
    frame = source.data.copy(deep=False)
    for name in (depth, by):
        if name not in frame.columns:
            frame[name] = source[name]
    return frame, set_of(source.unit_set), depth, by, source.unit(depth)


def _group(group: Any, column: str, unit: str) -> str:
    """A panel's value in words; a number says what it is the number of."""
    return f"{column.replace('_', ' ')} {group:g} {unit}".rstrip() if isinstance(group, Real) else str(group)


def _unit(source: Any, column: str | None) -> str:
    return "" if isinstance(source, pd.DataFrame) or column is None else str(source.unit(column))


def _speeds_span(frame: pd.DataFrame, home: Any) -> tuple[float, float]:
    """Rates of the slowest and the fastest speed there is a column for."""
    from lutum.records.columns import dial_speed

    speeds = [s for c in frame.columns if (s := dial_speed(str(c))) is not None and frame[c].notna().any()]
    per_rpm = float(in_rpm().rheology.viscometer(speed=[1.0], reading=[1.0]).shear_rate[0]) / factor("shear_rate", home)
    return min(speeds) * per_rpm, max(speeds) * per_rpm
