"""Budgets and simulations as text, frames, Markdown and figures."""

from math import floor, inf, isfinite, log10
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from .budgeting import Budget
    from .simulating import Simulated

__all__ = ["figure_of", "frame_of", "histogram_of", "markdown_of", "rounded", "text_of"]

BAR, PAIR, LINE = "#0072B2", "#8C8C8C", "#000000"  # the first safe for colour-blind readers
NAMES = ["input", "standard", "sensitivity", "degrees_of_freedom", "contribution", "correlation", "share"]


def rounded(value: float, u: float) -> tuple[str, str]:
    """The uncertainty to two digits, and the value to the same place.

    >>> rounded(50000838.1, 92.47), rounded(0.149384, 0.0996)
    (('50000838', '92'), ('0.15', '0.10'))
    """
    if not (u > 0.0 and isfinite(u)):
        return f"{value:.6g}", f"{u:.2g}"
    places = 1 - floor(log10(float(f"{u:.1e}")))  # of the uncertainty as rounded: 0.0996 is 0.10
    if places <= 0:
        return f"{round(value, places):.0f}", f"{round(u, places):.0f}"
    return f"{value:.{places}f}", f"{u:.{places}f}"


def text_of(budget: "Budget") -> str:
    """Value, expanded uncertainty, coverage factor and coverage, degrees of freedom where they are few, and the largest shares."""
    head = f"{budget.name} = " if budget.name else ""
    if budget.combined == 0.0:
        return f"{head}{budget.value:.6g} {budget.unit}".rstrip() + ", no uncertainty"
    value, u = rounded(budget.value, budget.expanded)
    parts = [f"{head}({value} ± {u}) {budget.unit}".rstrip(), f"k = {budget.coverage_factor:.2f}", f"coverage {100.0 * budget.coverage:g} %"]
    if isfinite(budget.degrees_of_freedom):
        how = " (approximate: inputs are correlated)" if budget.is_approximate else ""
        parts.append(f"effective degrees of freedom {budget.degrees_of_freedom:.1f}{how}")
    shares = ", ".join(f"{name} {100.0 * share:.0f} %" for name, share in _shares(budget) if abs(share) >= 0.005)
    return ", ".join(parts) + f"; variance from {shares}"


def _shares(budget: "Budget") -> list[tuple[str, float]]:
    listed = [(c.name, c.share) for c in budget.contributions] + [(f"{p.name} with {p.other}", p.share) for p in budget.pairs]
    return sorted(listed, key=lambda x: -abs(x[1]))


def _rows(budget: "Budget") -> list[tuple[Any, ...]]:
    nan = float("nan")
    rows: list[tuple[Any, ...]] = [(c.name, c.standard, c.sensitivity, c.degrees_of_freedom, c.contribution, nan, c.share) for c in budget.contributions]
    rows += [(f"{p.name} with {p.other}", nan, nan, nan, nan, p.correlation, p.share) for p in budget.pairs]
    return sorted(rows, key=lambda row: -abs(row[-1]))


def frame_of(budget: "Budget") -> "pd.DataFrame":
    """A row for each input and each correlated pair, the largest share first."""
    import pandas as pd

    frame = pd.DataFrame(_rows(budget), columns=NAMES)
    frame.attrs |= {"unit": budget.unit, "combined": budget.combined, "expanded": budget.expanded, "coverage": budget.coverage}
    return frame


def markdown_of(budget: "Budget") -> str:
    """The text, then a table: inputs, then correlated pairs, the largest share first."""

    def cell(x: Any) -> str:
        return x if isinstance(x, str) else "" if x != x else "∞" if x == inf else f"{x:.4g}"

    unit = f" ({budget.unit})" if budget.unit else ""
    heads = ["input", "standard uncertainty", "sensitivity", "degrees of freedom", f"contribution{unit}", "correlation", "share of variance"]
    rows = [[*map(cell, row[:-1]), f"{100.0 * row[-1]:.1f} %"] for row in _rows(budget)]
    if all(c.standard == 1.0 for c in budget.contributions):  # sources of error, each in its own standard uncertainty: nothing to tell in two columns
        told = [i for i, head in enumerate(heads) if i not in (1, 2) and any(row[i] not in ("", "∞") for row in rows)]
        heads, rows = [heads[i] for i in told], [[row[i] for i in told] for row in rows]
    lines = [" | ".join(heads), " | ".join([":---", *["---:"] * (len(heads) - 1)]), *map(" | ".join, rows)]
    total = f"combined standard uncertainty {budget.combined:.4g} {budget.unit}".rstrip()
    return f"{text_of(budget).partition(';')[0]}; {total}\n\n" + "\n".join(f"| {line} |" for line in lines) + "\n"


def figure_of(budget: "Budget") -> "Figure":
    """Shares of the variance as horizontal bars with their numbers; what is there by correlation is grey."""
    import matplotlib
    from matplotlib.figure import Figure

    shares = [(name, share) for name, share in _shares(budget) if abs(share) >= 0.0005]
    inputs = {c.name for c in budget.contributions}
    with matplotlib.rc_context({"font.size": 9.0, "axes.titlesize": 10.0, "axes.titlelocation": "left"}):
        figure = Figure(figsize=(7.0, 1.0 + 0.3 * max(len(shares), 1)), layout="constrained")
        axes = figure.subplots()
        axes.barh([n for n, _ in shares], [100.0 * s for _, s in shares], color=[BAR if n in inputs else PAIR for n, _ in shares], height=0.6)
        axes.invert_yaxis()
        for place, (_, share) in enumerate(shares):
            axes.annotate(
                f"{100.0 * share:.1f} %", (100.0 * share, place), xytext=(4 if share >= 0 else -4, 0), textcoords="offset points",
                va="center", ha="left" if share >= 0 else "right",
            )  # fmt: skip
        if any(s < 0 for _, s in shares):
            axes.axvline(0.0, color=LINE, linewidth=0.8)
        axes.margins(x=0.15)
        axes.spines[["top", "right", "left"]].set_visible(False)
        axes.tick_params(axis="y", length=0)
        axes.set_xlabel("share of the variance (%)")
        figure.suptitle(text_of(budget).partition(";")[0].partition(", effective")[0], x=0.01, ha="left", fontsize=10.0)
    return figure


def histogram_of(drawn: "Simulated", budget: "Budget | None" = None) -> "Figure":
    """The values drawn, with the coverage interval; of a budget its normal curve and interval beside them."""
    import matplotlib
    import numpy as np
    from matplotlib.figure import Figure

    with matplotlib.rc_context({"font.size": 9.0, "axes.titlesize": 10.0, "axes.titlelocation": "left"}):
        figure = Figure(figsize=(7.0, 3.2), layout="constrained")
        axes = figure.subplots()
        low, high = np.quantile(drawn.values, [0.0005, 0.9995]) if drawn.values.size else (0.0, 1.0)
        axes.hist(drawn.values, bins=120, range=(low, high), density=True, histtype="stepfilled", color=BAR, alpha=0.35)
        for end in drawn.interval:
            axes.axvline(end, color=BAR, linewidth=1.2)
        axes.plot([], [], color=BAR, label=f"{100.0 * drawn.coverage:g} % {drawn.interval_kind} interval of the draws")
        if budget is not None and budget.combined > 0.0:
            x = np.linspace(min(low, budget.value - 3.0 * budget.combined), max(high, budget.value + 3.0 * budget.combined), 400)
            axes.plot(x, np.exp(-0.5 * ((x - budget.value) / budget.combined) ** 2) / (budget.combined * np.sqrt(2.0 * np.pi)), color=LINE, linewidth=1.0)
            for end in budget.interval:
                axes.axvline(end, color=LINE, linewidth=1.0, linestyle="--")
            axes.plot([], [], color=LINE, linestyle="--", label=f"{100.0 * budget.coverage:g} % interval of the budget")
        axes.spines[["top", "right", "left"]].set_visible(False)
        axes.set_yticks([])
        unit = drawn.unit or (budget.unit if budget is not None else "")
        axes.set_xlabel(f"{drawn.name} ({unit})" if unit else drawn.name)
        axes.legend(frameon=False, loc="upper center", bbox_to_anchor=(0.5, 1.2), ncols=2)
    return figure
