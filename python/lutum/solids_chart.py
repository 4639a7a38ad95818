"""Solids chart of a water-base mud: density against suspended solids, for any salt, oil and density of the solids.

Every number comes from ``solids.gravity_split`` and its neighbours; nothing is balanced here a second time.

>>> from lutum import solids_chart
>>> chart = solids_chart.Chart("field", chloride=79000.0, oil_fraction=6.0)
>>> chart.table().columns.tolist()[:3]
['line', 'suspended_solids_fraction', 'mud_density']
"""

from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING, Any

import numpy as np

import lutum

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

__all__ = ["LEVELS", "Chart"]

LEVELS = (2.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0)  # low-gravity solids of the lines, per cent of the mud
NO_LOW, NO_HIGH = "no low-gravity solids", "no high-gravity solids"
POINT = 0.0018  # a point of type as a share of the axes, nearly
READINGS = ("mud_density", "water_fraction", "oil_fraction", "chloride")


class Chart:
    """A solids chart for one liquid and two declared densities of solids.

    ``units`` is ``"field"``, ``"metric"``, ``"si"`` or a set of ``lutum.unit_set``; numbers are in its units. The salt is sodium
    chloride by ``chloride``; give ``brine_density`` instead for any other brine. ``oil_fraction`` is of the whole mud.
    """

    def __init__(
        self,
        units: Any = "field",
        *,
        chloride: float = 0.0,
        oil_fraction: float = 0.0,
        brine_density: float | None = None,
        oil_density: float | None = None,
        low_gravity_density: float | None = None,
        high_gravity_density: float | None = None,
        temperature: float | None = None,
    ) -> None:
        self.units = lutum.unit_set(units) if isinstance(units, str) else units
        split = self.units.solids.gravity_split
        usual = {v.name: v.default for v in split.inputs}
        self.chloride = chloride if brine_density is None else None
        if brine_density is None:
            at = {} if temperature is None else {"temperature": temperature}
            brine_density = float(self.units.brine.sodium_chloride(chloride, **at).density)
        elif chloride:
            raise ValueError(f"give chloride = {chloride:g} or brine_density = {brine_density:g}, not both: one brine has one density")
        self.temperature = temperature
        self.liquid = {
            "brine_density": brine_density,
            "oil_fraction": oil_fraction,
            "oil_density": usual["oil_density"] if oil_density is None else oil_density,
            "low_gravity_density": usual["low_gravity_density"] if low_gravity_density is None else low_gravity_density,
            "high_gravity_density": usual["high_gravity_density"] if high_gravity_density is None else high_gravity_density,
        }
        self.density_unit, self.fraction_unit = self.units.unit("density"), self.units.unit("volume_fraction")
        self.whole = float(lutum.units.convert(1.0, "m3/m3", self.fraction_unit))
        if split.judge(brine_density, self.whole / 2, **self.liquid) == "no_contrast":
            raise ValueError(
                f"low_gravity_density = {self.liquid['low_gravity_density']:g} and high_gravity_density = "
                f"{self.liquid['high_gravity_density']:g} {self.density_unit} lie too close for a chart: "
                "take solids.split_with_third_reading"
            )

    def at(self, suspended_solids_fraction: Any, mud_density: Any) -> Any:
        """What the chart reads at a place: the result of ``solids.gravity_split`` with the liquid of the chart."""
        room = self.whole - np.asarray(suspended_solids_fraction, float) - self.liquid["oil_fraction"]
        return self.units.solids.gravity_split(mud_density=mud_density, brine_fraction=room, **self.liquid)

    def density(self, suspended_solids_fraction: Any, low_gravity_fraction: Any) -> Any:
        """Mud density where the chart reads so much low-gravity solids: the split is a straight line in the mud density."""
        all_solids = np.asarray(suspended_solids_fraction, float)
        ends = self.at(all_solids, self.liquid["brine_density"])
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(all_solids > 0.0, low_gravity_fraction / all_solids, 0.0)
        return ends.clean_mud_density + (ends.unweighted_mud_density - ends.clean_mud_density) * share

    def table(self, levels: Sequence[float] = LEVELS, most_solids: float = 50.0, steps: int = 51) -> "pd.DataFrame":
        """The chart as rows: lines of equal low-gravity solids, and the limits of the possible.

        ``levels`` and ``most_solids`` are in per cent of the mud whatever the units are.
        """
        import pandas as pd

        percent = self.whole / 100.0
        grid = np.linspace(0.0, min(most_solids * percent, self.whole - self.liquid["oil_fraction"]), steps)
        lines = [(NO_LOW, grid, np.zeros(steps))]
        lines += [(f"{c:g} % low-gravity solids", *_from(grid, c * percent)) for c in levels]
        lines += [(NO_HIGH, grid, grid)]
        parts = []
        for name, solids, low in lines:
            density = self.density(solids, low)
            read = self.at(solids, density)
            parts.append(
                pd.DataFrame(
                    {
                        "line": name,
                        "suspended_solids_fraction": solids,
                        "mud_density": density,
                        "low_gravity_fraction": read.low_gravity_fraction,
                        "high_gravity_fraction": read.high_gravity_fraction,
                        "low_gravity_concentration": read.low_gravity_concentration,
                        "high_gravity_concentration": read.high_gravity_concentration,
                    }
                )
            )
        return pd.concat(parts, ignore_index=True)

    def place(self, points: "pd.DataFrame") -> "pd.DataFrame":
        """Measured muds with their place on the chart, one row for each row given.

        ``points`` has the retort readings mud_density, water_fraction, oil_fraction and chloride, or mud_density and
        suspended_solids_fraction from any other retort calculation, perhaps with its low_gravity_fraction.
        ``low_gravity_fraction`` is of the mud's own liquid, ``low_gravity_read`` what the lines of this chart say there, and
        ``verdict`` why a point has no place or an impossible one.
        """
        import pandas as pd

        retort = self.units.solids.water_base_retort
        if set(READINGS) <= set(points.columns):
            own = {name: self.liquid[name] for name in ("oil_density", "low_gravity_density", "high_gravity_density")}
            at = {} if self.temperature is None else {"temperature": self.temperature}
            given = {name: points[name] for name in READINGS}
            found = retort(**given, **own, **at)
            solids, low = found.suspended_solids_fraction, found.low_gravity_fraction
            verdict = retort.judge(**given, **own, **at)
        elif {"mud_density", "suspended_solids_fraction"} <= set(points.columns):
            solids = points["suspended_solids_fraction"]
            low, verdict = points.get("low_gravity_fraction"), None
        else:
            raise ValueError(
                f"points has the columns {', '.join(map(str, points.columns))}; give {', '.join(READINGS)}, "
                "or mud_density and suspended_solids_fraction"
            )
        density, solids = points["mud_density"].to_numpy(float), np.asarray(solids, float)
        read = self.at(solids, density)
        if verdict is None:
            room = self.whole - solids - self.liquid["oil_fraction"]
            verdict = self.units.solids.gravity_split.judge(mud_density=density, brine_fraction=room, **self.liquid)
        return pd.DataFrame(
            {
                "suspended_solids_fraction": solids,
                "mud_density": density,
                "low_gravity_fraction": np.asarray(read.low_gravity_fraction if low is None else low, float),
                "low_gravity_read": np.asarray(read.low_gravity_fraction, float),
                "verdict": np.asarray(verdict),
            },
            index=points.index,
        )

    def assumes(self) -> str:
        """The liquid and the solids of the chart in words, as they stand on the figure."""
        d, f, a = self.density_unit, self.fraction_unit, self.liquid
        if self.chloride is None:
            brine = f"Brine of {a['brine_density']:.4g} {d}"
        elif self.chloride:
            brine = f"Sodium chloride brine, {self.chloride:,.0f} {self.units.unit('ion_concentration')} chloride, {a['brine_density']:.4g} {d}"
        else:
            brine = f"Fresh water of {a['brine_density']:.4g} {d}"
        oil = f"oil {a['oil_fraction']:g} {f} of the mud at {a['oil_density']:.4g} {d}" if a["oil_fraction"] else "no oil"
        return (
            f"{brine}, {oil}.\nLow-gravity solids {a['low_gravity_density']:.4g}, high-gravity solids {a['high_gravity_density']:.4g} {d}. "
            "Suspended solids only: dissolved salt is brine. Gas-free mud. Balance of volume and mass."
        )

    def figure(
        self,
        points: "pd.DataFrame | None" = None,
        *,
        levels: Sequence[float] = LEVELS,
        most_solids: float = 50.0,
        highest_density: float | None = None,
        rule_of_thumb: bool = False,
    ) -> "Figure":
        """The chart as a figure, with measured muds put on it; ``figure.savefig(...)`` keeps it.

        ``rule_of_thumb`` adds the most solids of ``solids.maximum_low_gravity``, which is a habit for fresh-water muds.
        """
        from ._drawing import BLACK, BLUE, PALE, VERMILION, sheet, style

        top = float(lutum.units.convert(2280.0, "kg/m3", self.density_unit)) if highest_density is None else highest_density
        right = float(self.table((), most_solids)["suspended_solids_fraction"].max())
        low_end = float(self.density(0.0, 0.0))
        table = self.table(levels, most_solids)
        limits = {name: table[table["line"] == name] for name in (NO_LOW, NO_HIGH)}
        grid = limits[NO_LOW]["suspended_solids_fraction"].to_numpy()
        with style():
            figure, axes = sheet(8.6, 6.8)
            ax = axes[0, 0]
            ax.set(xlim=(0.0, right), ylim=(low_end - 0.03 * (top - low_end), top))
            ax.fill_between(grid, limits[NO_LOW]["mud_density"], top, color=PALE, alpha=0.45, linewidth=0.0)
            ax.fill_between(grid, limits[NO_HIGH]["mud_density"], ax.get_ylim()[0], color=PALE, alpha=0.45, linewidth=0.0)
            for level in levels:
                line = table[table["line"] == f"{level:g} % low-gravity solids"]
                x, y = line["suspended_solids_fraction"].to_numpy(), line["mud_density"].to_numpy()
                ax.plot(x, y, color=BLUE, linewidth=0.9, zorder=2)
                _label_end(ax, x, y, f"{level:g}", BLUE)
            for name, line in limits.items():
                x, y = line["suspended_solids_fraction"].to_numpy(), line["mud_density"].to_numpy()
                ax.plot(x, y, color=BLACK, linewidth=1.6, zorder=3)
                _along(ax, x, y, name, above=name == NO_LOW)
            _label_end(ax, grid, limits[NO_LOW]["mud_density"].to_numpy(), "0", BLUE)
            if rule_of_thumb:
                self._draw_rule(ax, top)
            told = self._draw_points(ax, points, (BLACK, VERMILION)) if points is not None else ""
            ax.set_xlabel(f"suspended solids ({self.fraction_unit} of the mud)")
            ax.set_ylabel(f"mud density ({self.density_unit})")
            ax.text(1.0, 1.055, f"blue numbers: low-gravity solids, {_percent(self.fraction_unit)} of the mud", transform=ax.transAxes, ha="right",
                    fontsize=8.0, color=BLUE)  # fmt: skip
            figure.suptitle("Solids chart: mud density against suspended solids", x=0.01, ha="left", fontsize=11)
            words = "\n".join(fill(line, 150) for line in (self.assumes() + told).splitlines())
            figure.supxlabel(words, x=0.01, ha="left", fontsize=7.5, color="#555555")
        return figure

    def _draw_rule(self, ax: Any, top: float) -> None:
        """The most solids of the rule of thumb, where it has a meaning for this liquid and these solids."""
        from ._drawing import VERMILION

        density = np.linspace(ax.get_ylim()[0], top, 200)
        same = {name: self.liquid[name] for name in ("brine_density", "low_gravity_density", "high_gravity_density")}
        rule = self.units.solids.maximum_low_gravity(mud_density=density, **same)
        most = np.where(np.isnan(rule.maximum_low_gravity_fraction), np.nan, rule.maximum_solids_fraction)  # refused where it has no meaning
        known = np.isfinite(most)
        if known.any():
            ax.plot(most[known], density[known], color=VERMILION, linewidth=1.2, linestyle=(0, (5, 2)), zorder=3)
            _along(ax, most[known], density[known], "rule of thumb: most solids, fresh-water mud", above=False, colour=VERMILION, boxed=True)

    def _draw_points(self, ax: Any, points: "pd.DataFrame", colours: tuple[str, str]) -> str:
        """Measured muds; returns what is to be said of them below the chart."""
        placed = self.place(points)
        known = placed[["suspended_solids_fraction", "mud_density"]].notna().all(axis=1).to_numpy()
        (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
        x, y = placed["suspended_solids_fraction"].to_numpy(), placed["mud_density"].to_numpy()
        with np.errstate(invalid="ignore"):
            inside = known & (x >= left) & (x <= right) & (y >= low) & (y <= high)
        own, read = placed["low_gravity_fraction"].to_numpy(), placed["low_gravity_read"].to_numpy()
        other = inside & (np.abs(own - read) > 0.005 * self.whole)
        possible = (own >= 0.0) & (own <= x)
        for chosen, face in ((inside & ~other, colours[0]), (other, "white")):
            for sound, edge in ((possible, colours[0]), (~possible, colours[1])):
                mine = chosen & sound
                ax.plot(x[mine], y[mine], "o", markersize=5.5, markerfacecolor=edge if face != "white" else face, markeredgecolor=edge,
                        markeredgewidth=1.1, zorder=5)  # fmt: skip
        if inside.sum() <= 15:
            marks = [((x[i] - left) / (right - left), (y[i] - low) / (high - low)) for i in np.flatnonzero(inside)]
            labels: list[tuple[float, float]] = []
            for i, mark in zip(np.flatnonzero(inside), marks):
                spots = ((6, -9), (6, 5), (-6, 5), (-6, -9))
                dx, dy = next((spot for spot in spots if _free(_middle(mark, *spot), labels, marks)), spots[0])
                labels.append(_middle(mark, dx, dy))
                ax.annotate(f"{100.0 * own[i] / self.whole:.1f}", (x[i], y[i]), xytext=(dx, dy), textcoords="offset points", fontsize=7.5,
                            ha="left" if dx > 0 else "right", color=colours[0] if possible[i] else colours[1], zorder=6,
                            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.6})  # fmt: skip
        told = "\nPoints: measured muds" + (", the number is low-gravity solids in % of the mud" if inside.sum() <= 15 else "") + "."
        if other.any():
            told += " Hollow: the mud's own salt or oil differs from the chart's, so its number holds and the lines do not."
        if (inside & ~possible).any():
            told += " Orange: not a possible mud of these solids."
        if len(placed) > inside.sum():
            told += f"\nNot shown: {int((~known).sum())} without a place (see place()), {int((known & ~inside).sum())} outside the axes."
        return told

    def __repr__(self) -> str:
        return f"<solids chart ({self.density_unit}): {self.assumes().splitlines()[0]}>"


def _from(grid: Any, low: float) -> tuple[Any, Any]:
    """The part of the grid with at least so many solids, beginning exactly there, and the low-gravity solids along it."""
    solids = np.concatenate([[low], grid[grid > low]]) if low <= grid[-1] else grid[:0]
    return solids, np.full(len(solids), low)


def _percent(unit: str) -> str:
    return "%" if unit == "%" else "in %"


def _middle(mark: tuple[float, float], dx: float, dy: float) -> tuple[float, float]:
    """The middle of a label that begins so many points beside its mark, in shares of the axes."""
    return mark[0] + (dx + (9 if dx > 0 else -9)) * POINT, mark[1] + (dy + 3) * POINT


def _free(spot: tuple[float, float], labels: list[tuple[float, float]], marks: list[tuple[float, float]]) -> bool:
    """Whether a label there stays clear of the labels and marks there are."""
    x, y = spot
    clear = all(abs(x - a) > 0.045 or abs(y - b) > 0.022 for a, b in labels)
    return clear and all(abs(x - a) > 0.025 or abs(y - b) > 0.018 for a, b in marks)


def _label_end(ax: Any, x: Any, y: Any, text: str, colour: str) -> None:
    """A number where a line leaves the axes: above the top, or right of the right side."""
    if len(x) == 0:
        return
    right, top = ax.get_xlim()[1], ax.get_ylim()[1]
    if y[-1] > top:
        ax.annotate(text, (float(np.interp(top, y, x)), top), xytext=(0, 3), textcoords="offset points", ha="center", va="bottom",
                    fontsize=8.0, color=colour, annotation_clip=False)  # fmt: skip
    else:
        ax.annotate(text, (right, float(y[-1])), xytext=(4, 0), textcoords="offset points", ha="left", va="center",
                    fontsize=8.0, color=colour, annotation_clip=False)  # fmt: skip


def _along(ax: Any, x: Any, y: Any, text: str, above: bool, colour: str = "#000000", share: float = 0.5, boxed: bool = False) -> None:
    """Words along a line, at a share of the part that is seen."""
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    seen = (x >= left) & (x <= right) & (y >= low) & (y <= high)
    if seen.sum() < 2:
        return
    xs, ys = x[seen], y[seen]
    at = xs[0] + share * (xs[-1] - xs[0])
    angle = np.degrees(np.arctan2(ys[-1] - ys[0], xs[-1] - xs[0]))  # in data units: matplotlib turns it with the axes
    room = 0.008 * (high - low)
    ax.text(at, float(np.interp(at, xs, ys)) + (room if above else -room), text, ha="center", va="bottom" if above else "top", rotation=angle,
            rotation_mode="anchor", transform_rotates_text=True, fontsize=8.0, color=colour, zorder=6,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.4} if boxed else None)  # fmt: skip
