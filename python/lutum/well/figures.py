"""Figures of a well: curves carry numbers, and the numbers are told beside them. Every function returns a matplotlib Figure."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from lutum import si
from lutum._drawing import BLACK, BLUE, GREEN, GREY, ORANGE, PURPLE, SKY, VERMILION, depth_down, sheet, style
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor, set_of

from .circulating import Circulation, head_of
from .fluid import Fluid
from .window import Window

if TYPE_CHECKING:
    from .geometry import Well

__all__ = ["equivalent_densities", "hole_cleaning", "loss_by_yield_stress", "margin_spread", "pressure_budget", "rate_sweep", "trip_speeds"]

COLOURS = (BLUE, GREEN, VERMILION, PURPLE, ORANGE, SKY, GREY)
DASHES = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (8, 2, 2, 2)))
ADVISORY = "advisory: the well's own programme and licensed practice decide"
FREE = "the highest speed asked for"  # what a trip schedule says where the window leaves room
UNTOLD = {  # why there is no concentration, by the finding
    "a bed": "a bed is expected:\nhow much is not known", "not lifted": "not lifted:\nthe cuttings gather", "packed": "packed:\nthe cuttings gather",
}  # fmt: skip
PARTS = {
    "surface_loss": "surface lines", "string_loss": "string", "tool_loss": "motor and tools", "bit_loss": "bit", "annulus_loss": "annulus",
    "cuttings_weight": "weight of cuttings", "back_pressure": "back pressure",
}  # fmt: skip


class _Line(NamedTuple):
    label: str
    x: Any
    y: Any
    colour: str = BLACK
    dash: Any = "-"
    width: float = 1.6

    def above(self, depth: float) -> "_Line":
        """As deep as that, so that its number stands where it is seen."""
        x, y = np.asarray(self.x, float), np.asarray(self.y, float)
        if not y[-1] > depth:
            return self
        kept = y < depth
        return self._replace(x=np.append(x[kept], np.interp(depth, y, x)), y=np.append(y[kept], depth))


def equivalent_densities(circulations: "Circulation | Mapping[str, Circulation]", window: Window | None = None, title: str | None = None) -> Figure:
    """Equivalent density against true vertical depth inside its window: pore, collapse and fracture, the fluid at rest, and each circulation.

    The shoe is a thin line; above it the casing stands between the fluid and the rock, so the window is pale there. Where joints lie together
    at the lower end of a piece of pipe, the curve goes through the ends of whole pieces.
    """
    named = {"circulating": circulations} if isinstance(circulations, Circulation) else dict(circulations)
    first = next(iter(named.values()))
    home = first.units
    if any(c.records is not None for c in named.values()):
        raise ValueError("this figure is of single records; circulate one fluid at one rate for each curve")
    length, density = factor("length", home), factor("density", home)
    shoe = _shoe(first)
    with style():
        figure, axes = sheet(7.4, 6.4)
        ax = axes[0, 0]
        lines: list[_Line] = []
        if window is not None:
            depth = window.true_vertical_depth / length
            for label, x, dash in (("pore pressure", window.pore_density, DASHES[2]), ("collapse", window.collapse_density, DASHES[1]),
                                   ("fracture", window.fracture_density, "-")):  # fmt: skip
                if np.isfinite(x).any():
                    lines.append(_Line(label, x / density, depth, BLACK, dash, 1.3))
            lower = np.fmax(window.pore_density, window.collapse_density) / density
            for deep, alpha in ((True, 0.9), (False, 0.35)):
                part = depth >= shoe / length if deep else depth <= shoe / length
                at = np.unique(np.append(depth[part], np.clip(shoe / length, depth[0], depth[-1])))
                ax.fill_betweenx(at, np.interp(at, depth, lower), np.interp(at, depth, window.fracture_density / density), color="#EEF3EE", alpha=alpha, linewidth=0)
        z = first.rows.bottom_true_vertical_depth / length
        resting: dict[tuple[float, float], int] = {}  # one line for each fluid at rest, clean
        for number, (label, circulation) in enumerate(named.items()):
            ends, down = _whole(circulation.rows.part), circulation.rows.bottom_true_vertical_depth / length
            lines.append(_Line(label, circulation.results["equivalent_density"][ends] / density, down[ends], COLOURS[number % len(COLOURS)]))
            resting.setdefault((float(circulation.inputs["density"]), float(circulation.inputs["back_pressure"])), len(lines))
        for (mud, back), curve in resting.items():
            down = first.rows.bottom_true_vertical_depth[_whole(first.rows.part)]
            still = mud + back / head_of(down)
            lines.append(_Line("at rest" if len(resting) == 1 else f"at rest, the fluid of {curve}", still / density, down / length, GREY, DASHES[1], 1.2))
        _numbered(ax, [line.above(float(z[-1])) for line in lines], depth_like=True)
        if shoe > 0.0:
            ax.axhline(shoe / length, color=GREY, linewidth=0.8)
            ax.text(0.995, shoe / length, "shoe", transform=ax.get_yaxis_transform(), ha="right", va="bottom", color=GREY, fontsize=7.5)
        ax.set_ylim(1.02 * float(np.max(z)), 0.0)
        ax.set_xlim(*_span(lines, 0.1 * float(np.max(z))))
        depth_down(ax, home.unit("length"), "true vertical depth")
        ax.set_xlabel(f"equivalent density ({home.unit('density')})\n{ADVISORY}")
        ax.set_title(title or "Equivalent density in its window")
    return figure


def pressure_budget(circulation: Circulation, title: str | None = None) -> Figure:
    """Where the pump's pressure goes, in the order of the flow: each part as a bar that begins where the one before it ends."""
    if circulation.records is not None:
        raise ValueError("this figure is of a single record; circulate one fluid at one rate")
    home, budget = circulation.units, circulation.budget().iloc[0]
    total, unit = budget["pump_pressure"], home.unit("pressure")
    parts = {label: float(budget[name]) for name, label in PARTS.items() if abs(budget[name]) > 1e-6 * abs(total)}
    decimals = max(0, 3 - int(np.floor(np.log10(abs(total))))) if total else 1  # four digits of the whole, of every part the same
    with style():
        figure, axes = sheet(7.4, 0.9 + 0.42 * len(parts))
        ax = axes[0, 0]
        left = 0.0
        for place, (label, x) in enumerate(parts.items()):
            ax.barh(place, x, left=left, height=0.62, color=BLUE if x >= 0 else ORANGE)
            ax.plot([left + x, left + x], [place, place + 1 if place + 1 < len(parts) else place], color=GREY, linewidth=0.7)
            share = f"{x:.{decimals}f} {unit}, {100 * x / total:.0f} %"
            if x > 0.24 * total:  # room inside the bar
                ax.text(left + 0.5 * x, place, share, va="center", ha="center", fontsize=8, color="white")
            elif left + max(x, 0.0) < 0.72 * total:
                ax.text(left + max(x, 0.0), place, f"  {share}", va="center", ha="left", fontsize=8)
            else:
                ax.text(left + min(x, 0.0), place, f"{share}  ", va="center", ha="right", fontsize=8)
            left += x
        ax.set_yticks(range(len(parts)), list(parts))
        ax.invert_yaxis()
        ax.grid(axis="y", visible=False)
        ax.set_xlim(0.0, 1.02 * max(total, left))
        ax.set_xlabel(f"pressure lost so far, from the pump on ({unit})\n{ADVISORY}")
        ax.set_title(title or f"Pressure budget: {total:.{decimals}f} {unit} at the pump")
    return figure


def rate_sweep(table: pd.DataFrame, pump_pressure: float | None = None, title: str | None = None) -> Figure:
    """A sweep of rates (``well.sweep``): the parts of the pump's pressure one upon the other, and below them the margins or the equivalent density."""
    units, rate = table.attrs["units"], table["flow_rate"].to_numpy()
    with style():
        figure, axes = sheet(7.4, 6.6, 2, 1, sharex=True)
        ax = axes[0, 0]
        parts = [name for name in PARTS if np.abs(table[name]).max() > 1e-6 * table["pump_pressure"].abs().max()]
        lines, sum_so_far = [], np.zeros(len(rate))
        for number, name in enumerate(parts):
            above = sum_so_far + table[name].to_numpy()
            ax.fill_between(rate, sum_so_far, above, color=COLOURS[number], alpha=0.16, linewidth=0)
            lines.append(_Line(("" if number == 0 else "+ ") + PARTS[name], rate, above, COLOURS[number]))
            sum_so_far = above
        _numbered(ax, lines)
        if pump_pressure is not None:
            ax.axhline(pump_pressure, color=BLACK, linewidth=1.0, linestyle=DASHES[2])
            ax.text(rate[0], pump_pressure, "limit of the pump", va="bottom", fontsize=7.5)
        ax.set_ylabel(f"pressure at the pump ({units['pump_pressure']})")
        ax.set_ylim(0.0)
        ax.set_title(title or "Rates: where the pump's pressure goes, and what it leaves in the hole")
        low = axes[1, 0]
        if "to_fracture" in table:
            lines = [_Line("to the fracture side", rate, table["to_fracture"], BLUE), _Line("to the lower side, pumps off", rate, table["to_lower_limit"], GREEN, DASHES[1])]
            low.axhline(0.0, color=BLACK, linewidth=1.0)
            low.set_ylabel(f"least margin ({units['to_fracture']})")
        else:
            lines = [_Line("circulating", rate, table["bottom_equivalent_density"], BLUE), _Line("pumps off", rate, table["resting_equivalent_density"], GREEN, DASHES[1])]
            low.set_ylabel(f"equivalent density at the bottom ({units['bottom_equivalent_density']})")
        _numbered(low, lines)
        low.set_xlabel(f"flow rate ({units['flow_rate']})\n{ADVISORY}")
    return figure


def trip_speeds(schedules: Mapping[str, pd.DataFrame], title: str | None = None) -> Figure:
    """Trip schedules by name (``well.trip_schedule``): the highest speed against bit depth; an open dot where the speed asked for, not the
    window, is the limit."""
    units = next(iter(schedules.values())).attrs["units"]
    for label, s in schedules.items():
        if s.attrs["units"] != units:
            raise ValueError(f"schedule {label!r} is in other units than the first; make both of wells in one unit set (well.to)")
    with style():
        figure, axes = sheet(7.4, 5.2)
        ax = axes[0, 0]
        lines = []
        for n, (label, s) in enumerate(schedules.items()):
            colour, asked = COLOURS[n % len(COLOURS)], (s["stopped_by"] == FREE).to_numpy()
            lines.append(_Line(label, s["pipe_velocity"], s["bit_depth"], colour, DASHES[n % len(DASHES)]))
            none = (s["pipe_velocity"] == 0.0).to_numpy()
            ax.plot(s["pipe_velocity"][none], s["bit_depth"][none], "x", color=colour, markersize=7, zorder=5)
            for here, face in ((~asked & ~none, colour), (asked, "white")):
                ax.plot(s["pipe_velocity"][here], s["bit_depth"][here], "o", color=colour, markerfacecolor=face, markersize=4, zorder=4)
        _numbered(ax, lines, depth_like=True)
        fastest = max(float(s["pipe_velocity"].max()) for s in schedules.values())
        deep = np.concatenate([s["bit_depth"].to_numpy(float) for s in schedules.values()])
        ax.set_xlim(-0.02 * fastest, 1.04 * fastest)
        spare = 0.04 * float(np.ptp(deep)) or 1.0
        ax.set_ylim(float(deep.max()) + spare, float(deep.min()) - spare)
        depth_down(ax, units["bit_depth"], "measured depth of the bit")
        ax.set_xlabel(f"highest pipe speed ({units['pipe_velocity']}); open dots: {FREE}; crosses: no speed is left\n{ADVISORY}")
        ax.set_title(title or "Trip speeds that keep the window")
    return figure


def hole_cleaning(table: pd.DataFrame, title: str | None = None) -> Figure:
    """Hole cleaning along the well (``well.cleaning``): the velocity there is and the one that is needed, the cuttings that stand, the inclination.

    Beside the body of the pipe, as steps from section to section; the rows of tool joints, where the mud is faster, are left out.
    """
    units = table.attrs["units"]
    body = table[~table["part"].str.endswith(" joints")]
    top, bottom = body["top_measured_depth"].to_numpy(float), body["bottom_measured_depth"].to_numpy(float)
    bottom = np.append(np.where(np.diff(bottom) > 0.0, top[1:], bottom[:-1]), table["bottom_measured_depth"].iloc[-1])  # over the joints between
    depth = np.column_stack([top, bottom]).ravel()
    with style():
        figure, axes = sheet(8.6, 5.6, 1, 3, sharey=True)
        panels = (
            (("velocity of mud and rock", "velocity", BLUE, "-"), ("critical velocity", "critical_velocity", BLACK, DASHES[1]), ("slip velocity", "slip_velocity", GREEN, DASHES[2])),
            (("cuttings by volume", "concentration", VERMILION, "-"),),
            (("inclination", "inclination", GREY, "-"),),
        )  # fmt: skip
        for ax, curves in zip(axes[0], panels):
            lines = [
                _Line(label, np.repeat(body[name].to_numpy(float), 2), depth, colour, dash)
                for label, name, colour, dash in curves if body[name].notna().any()
            ]  # fmt: skip
            _numbered(ax, lines, depth_like=True, beside=False)
            unit = units[curves[0][1]]
            ax.set_xlabel(f"{curves[0][0] if len(curves) == 1 else 'velocity'} ({unit})")
            ax.xaxis.set_major_locator(MaxNLocator(4))
            ax.set_xlim(0.0, 1.08 * max((float(np.nanmax(line.x)) for line in lines), default=1.0) or 1.0)
        blank = body["concentration"].isna().to_numpy()
        found = body["finding"].to_numpy(str)
        why = np.select([np.char.startswith(found, word) for word in UNTOLD], list(UNTOLD.values()), "not known: see reason")
        starts = np.flatnonzero(blank & (np.append(True, (why[1:] != why[:-1]) | ~blank[:-1])))
        for first in starts:
            last = first + int(np.argmin(np.append(blank[first:] & (why[first:] == why[first]), False))) - 1
            axes[0, 1].axhspan(top[first], bottom[last], color="#ECECEC", linewidth=0)
            axes[0, 1].text(0.04, 0.5 * (top[first] + bottom[last]), why[first], transform=axes[0, 1].get_yaxis_transform(), fontsize=7.5, va="center")
        axes[0, 0].set_ylim(float(depth.max()), 0.0)
        depth_down(axes[0, 0], units["bottom_measured_depth"], "measured depth")
        figure.suptitle(title or f"Hole cleaning; {ADVISORY}", x=0.01, ha="left", fontsize=10)
    return figure


def margin_spread(margins: pd.DataFrame, title: str | None = None) -> Figure:
    """How the least margins of many records (``circulation.margins``) spread: the share of the known ones below each value."""
    unit = margins.attrs["units"]["to_fracture"]
    with style():
        figure, axes = sheet(7.4, 4.4)
        ax = axes[0, 0]
        lines = []
        for number, (name, label) in enumerate((("to_fracture", "to the fracture side"), ("to_lower_limit", "to the lower side, pumps off"))):
            x = np.sort(margins[name].dropna().to_numpy())
            if len(x):
                outside = int((x < 0.0).sum())
                lost = len(margins) - len(x)
                told = f"{label}:\n     {outside or 'none'} of {len(x)} below 0" + (f", {lost} not known" if lost else "")
                lines.append(_Line(told, x, 100.0 * (np.arange(len(x)) + 0.5) / len(x), COLOURS[number], DASHES[number]))
        _numbered(ax, lines, shares=(0.7, 0.3))
        ax.axvline(0.0, color=BLACK, linewidth=1.0)
        ax.set(ylim=(0.0, 100.0), ylabel="records with a smaller margin (%)")
        ax.set_xlabel(f"least margin ({unit})\n{ADVISORY}")
        ax.set_title(title or f"What the uncertainty does to the margin: {len(margins)} records")
    return figure


def loss_by_yield_stress(fluid: Fluid, flow_rates: Sequence[float], *, hole_diameter: float, pipe_diameter: float, highest: float, units: Any = None) -> Figure:
    """Friction of an annulus against the yield stress of the fluid at several rates: it rises within laminar and within turbulent flow, and may
    fall between them, where more yield stress makes the flow laminar again."""
    home: UnitSet = set_of(units) if units is not None else fluid.units
    stress = np.linspace(0.0, highest, 240)
    of = fluid.in_si() | {"yield_stress": stress * factor("stress", home)}
    gap = {name: x * factor("diameter", home) for name, x in (("hole_diameter", hole_diameter), ("pipe_diameter", pipe_diameter))}
    with style():
        figure, axes = sheet(7.4, 4.6)
        ax = axes[0, 0]
        some, lines = False, []
        for number, rate in enumerate(flow_rates):
            found = si.hydraulics.annulus_loss(**of, **gap, flow_rate=rate * factor("flow_rate", home))
            y = found.pressure_gradient / factor("pressure_gradient", home)
            lines.append(_Line(f"{rate:g} {home.unit('flow_rate')}", stress, y, COLOURS[number % len(COLOURS)]))
            falls = np.diff(y) < 0.0
            some = some or bool(falls.any())
            ax.plot(stress, np.where(np.append(falls, False) | np.append(False, falls), y, np.nan), color=BLACK, linewidth=3.2, zorder=5)
        _numbered(ax, lines)
        ax.set(xlim=(0.0, highest), ylabel=f"friction of the annulus ({home.unit('pressure_gradient')})")
        ax.set_xlabel(f"yield stress ({home.unit('stress')}){'; thick where more of it costs less' if some else ''}\n{ADVISORY}")
        ax.set_title("More yield stress need not cost more: between turbulent and laminar flow it falls" if some else "What yield stress costs: more of it more, at these rates")
    return figure


def _shoe(circulation: Circulation) -> float:
    """True vertical depth of the last cased row's bottom, 0 where there is none."""
    cased = circulation.rows.kind != "open_hole"
    return float(circulation.rows.bottom_true_vertical_depth[cased][-1]) if cased.any() else 0.0


def _span(lines: Sequence[_Line], above: float) -> tuple[float, float]:
    """From the least to the greatest x of the curves at depths below ``above``: pressure held at the surface is no density there."""
    deep = [np.asarray(line.x, float)[np.asarray(line.y, float) >= above] for line in lines]
    x = np.concatenate([x[np.isfinite(x)] for x in deep])
    edge = 0.04 * float(np.ptp(x)) + 1e-9
    return float(x.min()) - edge, float(x.max()) + edge


def _whole(part: Any) -> Any:
    """Rows that end a whole piece of pipe: not its body where the joints follow as a row of their own."""
    return np.append(part[1:] != part[:-1] + " joints", True)


def _numbered(ax: Any, lines: Sequence[_Line], depth_like: bool = False, beside: bool = True, shares: Sequence[float] | None = None) -> None:
    """The curves with a number each, and what the numbers are told right of the axes or, not ``beside``, above them.

    ``shares``: where on the curve its number stands, as a share of its way along the axis it runs with; of its points if they are given.
    """
    for line in lines:
        ax.plot(line.x, line.y, color=line.colour, linestyle=line.dash, linewidth=line.width, zorder=3)
    wanted = np.linspace(0.86, 0.62, max(len(lines), 1)) if depth_like else np.linspace(0.97, 0.74, max(len(lines), 1))
    for number, (line, share) in enumerate(zip(lines, wanted if shares is None else shares), 1):
        x, y = np.asarray(line.x, float), np.asarray(line.y, float)
        known = np.isfinite(x) & np.isfinite(y)
        x, y = x[known], y[known]
        if not len(x):
            continue
        if shares is None:
            along = y if depth_like else x
            order = np.argsort(along, kind="stable")
            place = along[0] + share * (along[-1] - along[0])
            if known.all():
                at = tuple(float(np.interp(place, along[order], v[order])) for v in (x, y))
            else:  # never in a gap
                near = int(np.abs(along - place).argmin())
                at = float(x[near]), float(y[near])
        else:
            at = tuple(float(v[int(share * (len(v) - 1))]) for v in (x, y))
        ax.text(*at, str(number), fontsize=7, ha="center", va="center", color=line.colour, zorder=6, bbox=_circle(line.colour))
    if beside:
        height = ax.get_position().height * ax.figure.get_size_inches()[1]
        place, step = 0.96, 0.24 / max(height, 1.0)  # inches a line
        for number, line in enumerate(lines, 1):
            ax.text(1.03, place, str(number), transform=ax.transAxes, fontsize=7, ha="center", va="center", color=line.colour, bbox=_circle(line.colour))
            first, *more = line.label.split("\n")
            ax.text(1.055, place, first, transform=ax.transAxes, fontsize=8, va="center")
            for text in more:
                place -= 0.75 * step
                ax.text(1.055, place, text.strip(), transform=ax.transAxes, fontsize=8, va="center")
            place -= step
    else:
        ax.set_title("\n".join(f"{number}  {line.label}" for number, line in enumerate(lines, 1)), fontsize=8)


def _circle(colour: str) -> dict[str, Any]:
    return {"boxstyle": "circle,pad=0.18", "facecolor": "white", "edgecolor": colour, "linewidth": 0.8}
