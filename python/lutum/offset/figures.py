"""Figures of an offset study. Every function returns a matplotlib Figure; `figure.savefig(...)` keeps it.

Depth grows downward and is true vertical depth below mean sea level, every axis has its unit.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from lutum._drawing import (
    BLACK,
    BLUE,
    GREY,
    ORANGE,
    PALE,
    SECTION_COLOURS,
    SECTION_MARKS,
    VERMILION,
    depth_down,
    event_mark,
    jitter,
    sheet,
    side_labels,
    style,
)  # fmt: skip

from .heat_maps import completeness as completeness
from .heat_maps import findings as findings
from .study import Study, each, in_words
from .trouble import BEFORE, WITHOUT, state
from .windows import HABIT, Windows


def titled(name: str, unit: str) -> str:
    """An axis label with its unit."""
    plain = in_words(name)
    return f"{plain} ({unit})" if unit else plain


def bands(table: pd.DataFrame, by: str = "formation") -> Figure:
    """Bands of `lutum.offset.bands`: P10 to P90 as a bar, P50 as a dot, with the wells and rows behind; one panel a column."""
    low, middle, high = (c for c in table if str(c).startswith("P") and str(c)[1:].replace(".", "").isdigit())
    groups = [g for g in dict.fromkeys(table[by]) if (table[by] == g).any()]
    columns = list(dict.fromkeys(table["column"]))
    with style():
        figure, axes = sheet(2.2 + 2.5 * len(columns), 1.2 + 0.45 * len(groups), 1, len(columns), sharey=True)
        for ax, name in zip(axes[0], columns):
            mine = table[table["column"] == name].set_index(by)
            for place, group in enumerate(groups):
                row = mine.loc[group] if group in mine.index else None
                if row is None or not np.isfinite(row[middle]):
                    continue
                ax.plot([row[low], row[high]], [place, place], color=BLUE, linewidth=5.0, alpha=0.45, solid_capstyle="butt")
                ax.plot(row[middle], place, "o", color=BLUE, markersize=5)
                ax.annotate(f"{row['wells']:.0f} wells, {row['rows']:.0f} rows", (row[middle], place), xytext=(0, 6), textcoords="offset points",
                            ha="center", fontsize=6.5, color=GREY)  # fmt: skip
            ax.set_xlabel(titled(name, mine["unit"].iloc[0]))
            low_end, high_end = np.nanmin(mine[low]), np.nanmax(mine[high])
            room = 0.22 * max(high_end - low_end, 1e-9)  # for the words above the outermost bars
            ax.set_xlim(low_end - room, high_end + room)
        ax = axes[0, 0]
        labels = ["not known" if g != g else f"{g:g}" if isinstance(g, float) else str(g) for g in groups]
        ax.set(yticks=range(len(groups)), yticklabels=labels, ylim=(len(groups) - 0.5, -0.7))
        figure.suptitle(
            f"{low}, {middle} and {high} of the offset wells, every well the same weight", x=0.01, ha="left", fontsize=10
        )
    return figure


def low_gravity(study: Study, programme: Windows | None = None, column: str = "water_base_retort.low_gravity_fraction") -> Figure:
    """Low-gravity solids by true depth with their standard uncertainty; the proposed limit as a line.

    Filled are rows followed by trouble: with a programme, of the kinds its limit was held against.
    """
    name, unit = study.column(column), study.unit(column)
    length = study.unit("below_sea")
    kinds: tuple[str, ...] = next((tuple(r.kinds) for r in _rows_of(programme, name)), ())
    trouble = state(study, kinds).to_numpy(object) == BEFORE if "trouble_before" in study else np.zeros(len(study), bool)
    with style():
        figure, axes = sheet(7.2, 6.2)
        ax = axes[0, 0]
        places, texts, colours = [], [], []
        for number, section in enumerate(study["section"].cat.categories):
            mine = (
                (study["section"] == section).to_numpy()
                & study.data[name].notna().to_numpy()
                & study["below_sea"].notna().to_numpy()
            )
            if not mine.any():
                continue
            colour, mark = SECTION_COLOURS[number % 6], SECTION_MARKS[number % 6]
            depth, value = study["below_sea"].to_numpy(float), study.data[name].to_numpy(float)
            spread = study.uncertainty[name].to_numpy(float) if name in study.uncertainty else np.zeros(len(study))
            ax.errorbar(
                value[mine], depth[mine], xerr=spread[mine], fmt="none", ecolor=colour, alpha=0.13, linewidth=1.0, zorder=1
            )
            for chosen, face, z in ((mine & ~trouble, "white", 2), (mine & trouble, colour, 3)):
                ax.plot(
                    value[chosen],
                    depth[chosen],
                    mark,
                    markersize=4.0,
                    markerfacecolor=face,
                    markeredgecolor=colour,
                    markeredgewidth=0.8,
                    zorder=z,
                )
            text = f"{section} hole"
            limit = _bound(programme, str(section), name)
            if limit is not None and programme is not None:
                ends = np.nanpercentile(depth[mine], [2, 98])
                ax.plot([limit, limit], ends, color=BLACK, linewidth=2.0, zorder=4)
                rests_on = next(r.rests_on for r in _rows_of(programme, name) if r.section == section)
                text += f"\nat most {limit:g} {unit}" + ("\n(habit alone)" if rests_on == HABIT else "")
            places.append(float(np.median(depth[mine])))
            texts.append(text)
            colours.append(colour)
        ax.set_xlabel(titled(name, unit) + ", bar: one standard uncertainty")
        depth_down(ax, length)
        side_labels(ax, places, texts, colours, size=8.5, gap=0.08)
        ax.set_title(
            f"Low-gravity solids: filled marks were followed by {' or '.join(kinds) or 'trouble'}"
            + (";\nblack lines are the proposed limits" if programme else "")
        )
    return figure


def _rows_of(programme: Windows | None, name: str) -> list[Any]:
    """The rows of the programme's table for a property."""
    if programme is None:
        return []
    return list(each(programme.table[programme.table["property"] == name.rpartition(".")[2]]))


def _bound(programme: Windows | None, section: str, name: str, side: str = "upper") -> float | None:
    if programme is None:
        return None
    table = programme.table
    row = table[(table["section"] == section) & (table["property"] == name.rpartition(".")[2])]
    return float(row[side].iloc[0]) if len(row) and np.isfinite(row[side].iloc[0]) else None


def flow(study: Study, programme: Windows | None = None, pairs: Sequence[tuple[str, str]] = (
    ("viscometer.plastic_viscosity", "viscometer.yield_point"), ("viscometer.gel_strength_10_s", "viscometer.gel_strength_10_min"),
)) -> Figure:  # fmt: skip
    """Flow readings two by two, a column of panels a hole section; rows before trouble in orange, the proposed window as a box."""
    said = state(study).to_numpy(object) if "trouble_before" in study else np.full(len(study), WITHOUT, object)
    sections = [s for s in study["section"].cat.categories if (study["section"] == s).any()]
    with style():
        figure, axes = sheet(
            2.6 * len(sections) + 0.6, 2.7 * len(pairs) + 0.5, len(pairs), len(sections), sharex="row", sharey="row"
        )
        for number, (row, (across, up)) in enumerate(zip(axes, pairs)):
            x, y = study[across].to_numpy(float), study[up].to_numpy(float)
            for ax, section in zip(row, sections):
                mine = (study["section"] == section).to_numpy() & np.isfinite(x) & np.isfinite(y)
                for chosen, colour, z, size in ((mine & (said != BEFORE), GREY, 2, 9), (mine & (said == BEFORE), ORANGE, 3, 16)):
                    shift = jitter(int(chosen.sum()), 0.6), jitter(int(chosen.sum()), 0.6, 3)
                    ax.scatter(
                        x[chosen] + shift[0],
                        y[chosen] + shift[1],
                        s=size,
                        color=colour,
                        alpha=0.75,
                        linewidth=0.3,
                        edgecolor="white",
                        zorder=z,
                    )
                left, right, bottom, top = (
                    _bound(programme, str(section), n, e) for n in (across, up) for e in ("lower", "upper")
                )
                if left is not None and right is not None and bottom is not None and top is not None:
                    box = Rectangle(
                        (left, bottom), right - left, top - bottom, fill=False, edgecolor=BLACK, linewidth=1.6, zorder=4
                    )
                    ax.add_patch(box)
                ax.set_xlabel(titled(across, study.unit(across)))
                if number == 0:
                    ax.set_title(f"{section} hole, {mine.sum()} checks")
            row[0].set_ylabel(titled(up, study.unit(up)))
        figure.suptitle(
            "Flow readings: orange were followed by trouble, the box is the proposed window (readings are whole degrees, shown spread)",
            x=0.01, ha="left", fontsize=10,
        )  # fmt: skip
    return figure


def margins(study: Study) -> Figure:
    """Margins the mud kept in the open hole: above pore and collapse at rest, below fracture while pumped, with what followed."""
    kinds = sorted(set(study.events["event"])) if study.events is not None else []
    x, y = study["open_hole.above_needed"].to_numpy(float), study["open_hole.below_fracture"].to_numpy(float)
    followed = study["trouble_before"].to_numpy(object)
    known = np.isfinite(x) & np.isfinite(y)
    unit = study.unit("open_hole.above_needed")
    with style():
        figure, axes = sheet(6.6, 5.0)
        ax = axes[0, 0]
        quiet = known & ~np.array([any(k in str(f).split(", ") for k in kinds) for f in followed])
        ax.scatter(x[quiet], y[quiet], s=9, color=PALE, label="nothing followed")
        for kind in kinds:
            mine = known & np.array([kind in str(f).split(", ") for f in followed])
            colour, mark = event_mark(kind, kinds)
            ax.scatter(x[mine], y[mine], s=34, color=colour, marker=mark, label=kind, edgecolor="white", linewidth=0.5, zorder=3)
        ax.axhline(0.0, color=BLACK, linewidth=1.0)
        ax.axvline(0.0, color=BLACK, linewidth=1.0)
        ax.set(xlabel=f"mud density above the highest of pore and collapse ({unit})", ylabel=f"fracture above circulating density ({unit})",
               title="Margins in the open hole, and what followed")  # fmt: skip
        ax.legend(loc="upper right", fontsize=8, handletextpad=0.2)
    return figure


def events(study: Study) -> Figure:
    """Events by true depth, wells side by side in order of their spud, formation tops as short lines joined from well to well."""
    if study.events is None:
        raise ValueError("tell the study its events first, with trouble()")
    happened = study.events
    spud = study.places.spud
    wells = sorted(study.well.dropna().unique(), key=lambda w: (pd.Timestamp(spud.get(w, pd.NaT)), w))
    kinds = sorted(set(happened["event"]))
    with style():
        figure, axes = sheet(1.8 + 0.55 * len(wells), 6.4)
        ax = axes[0, 0]
        for number, well in enumerate(wells):
            depth = study["below_sea"][study.well == well]
            ax.plot([number, number], [depth.min(), depth.max()], color=PALE, linewidth=1.0, zorder=1)
        _tops(ax, study, wells)
        for kind in kinds:
            colour, mark = event_mark(kind, kinds)
            mine = happened[(happened["event"] == kind) & happened["well"].isin(wells)]
            place = np.array([wells.index(w) for w in mine["well"]]) + jitter(len(mine), 0.3)
            ax.scatter(
                place, mine["below_sea"], s=36, color=colour, marker=mark, label=kind, edgecolor="white", linewidth=0.5, zorder=3
            )
        ax.set(xticks=range(len(wells)), xlabel="well, in order of spud", xlim=(-0.6, len(wells) - 0.4))
        ax.set_title("Events by depth", pad=22)
        ax.set_xticklabels(wells, rotation=60, ha="right", rotation_mode="anchor")
        ax.grid(False, axis="x")
        depth_down(ax, study.unit("below_sea"))
        ax.legend(
            loc="lower left", bbox_to_anchor=(-0.01, 1.0), ncols=len(kinds), fontsize=8, handletextpad=0.1, columnspacing=1.0
        )
        last = study.places.tops_by_well.get(wells[-1])
        if last is not None:
            level = (
                last["below_sea"]
                if "below_sea" in last
                else pd.Series(study.places.level(wells[-1], last["measured_depth"].to_numpy(float)))
            )
            side_labels(ax, list(level), [f"top {f}" for f in last["formation"]])
    return figure


def _tops(ax: Any, study: Study, wells: Sequence[str]) -> None:
    lines: dict[str, list[tuple[float, float]]] = {}
    for number, well in enumerate(wells):
        rows = study.places.tops_by_well.get(well)
        if rows is None:
            continue
        level = (
            rows["below_sea"].to_numpy(float)
            if "below_sea" in rows
            else study.places.level(well, rows["measured_depth"].to_numpy(float))
        )
        for formation, depth in zip(rows["formation"], level):
            lines.setdefault(str(formation), []).extend([(number - 0.3, depth), (number + 0.3, depth)])
    for points in lines.values():
        ax.plot(*zip(*points), color=GREY, linewidth=0.7, linestyle=(0, (4, 2)), zorder=1)


def density(study: Study, programme: Windows) -> Figure:
    """Pressures of the next well with their allowance, what the offsets weighed, and the density windows with the reason where there is none."""
    profile, table = programme.density.profile, programme.density.table
    unit, length = study.unit_set.unit("density"), study.unit_set.unit("length")
    k = programme.density.coverage
    with style():
        figure, axes = sheet(8.2, 7.2)
        ax = axes[0, 0]
        ax.scatter(study["mud_density"], study["below_sea"], s=5, color=PALE, zorder=1)
        for limit, colour, side in (("pore", BLUE, 1.0), ("collapse", ORANGE, 1.0), ("fracture", VERMILION, -1.0)):
            drawn = profile[~profile["border"]]
            for number, (_, rows) in enumerate(drawn.groupby("formation" if "formation" in drawn else "border", sort=False)):
                ax.plot(
                    rows[limit], rows["below_sea"], color=colour, linewidth=1.3, zorder=3, label=limit if number == 0 else None
                )
                if f"u_{limit}" in rows:
                    ax.fill_betweenx(
                        rows["below_sea"],
                        rows[limit],
                        rows[limit] + side * k * rows[f"u_{limit}"],
                        color=colour,
                        alpha=0.25,
                        linewidth=0,
                        zorder=2,
                    )
        left = float(np.nanmin(profile[["pore", "collapse"]].to_numpy(float)))
        right = float(np.nanmax(profile["fracture"].to_numpy(float)))
        ax.set_xlim(left - 0.22 * (right - left), right + 0.03 * (right - left))
        for row in each(table):
            hole = profile[profile["section"] == row.section]
            top, base = hole["below_sea"].min(), hole["below_sea"].max()
            ax.axhline(base, color=GREY, linewidth=0.6, linestyle=":", zorder=1)
            text = f"{row.section} hole:\n" + (
                f"no window\n(short by {-row.width:.2f})" if row.empty and row.width < 0 else "no window" if row.empty else f"{row.lower:g} to {row.upper:g}"
            )
            ax.text(left - 0.20 * (right - left), 0.5 * (top + base), text, ha="left", va="center", fontsize=8.5, zorder=6)
            if row.empty and np.isfinite(row.width):
                _missed(ax, row, top, base)
            elif not row.empty:
                ax.add_patch(
                    Rectangle(
                        (row.lower, top),
                        row.upper - row.lower,
                        base - top,
                        facecolor="#009E7355",
                        edgecolor=BLACK,
                        linewidth=1.3,
                        zorder=4,
                    )
                )
        ax.set_xlabel(f"equivalent density below the rotary table ({unit})")
        depth_down(ax, length)
        for limit, colour, align in (("pore", BLUE, "right"), ("collapse", ORANGE, "left"), ("fracture", VERMILION, "center")):
            place = profile[profile[limit].notna()].iloc[-1]
            ax.annotate(f" {limit}", (place[limit], place["below_sea"]), xytext=(0, -4), textcoords="offset points", color=colour, fontsize=8.5,
                        ha=align, va="top", annotation_clip=False)  # fmt: skip
        if "formation" in profile:
            tops = profile.groupby("formation", sort=False)["below_sea"].min()
            side_labels(ax, list(tops), [f"{f}" for f in tops.index])
        m = programme.density.margins
        ax.set_title(
            f"Density windows of the next well (boxes, {unit}): {m.above:g} {m.unit} above pore and collapse at rest,\n"
            f"{m.below:g} {m.unit} below fracture while pumped, {k:g} standard uncertainties allowed for (shaded)\n"
            "Grey dots: densities the offsets ran, evidence only. Dotted: section ends."
        )
    return figure


def _missed(ax: Any, row: Any, top: float, base: float) -> None:
    """Where no window is: the density needed and the density allowed, at their depths' whole section, with the gap hatched."""
    pumped = "once pumped" if row.circulating == "checked" else "at rest"
    for value, said, line, align in (
        (row.needed, f"needed {row.needed:.2f} ", "-", "left" if row.width < 0 else "right"),
        (row.allowed_pumped, f"allowed {pumped} {row.allowed_pumped:.2f} ", "--", "right" if row.width < 0 else "left"),
    ):
        ax.plot([value, value], [top, base], color=BLACK, linestyle=line, linewidth=1.5, zorder=5)
        ax.annotate(f" {said}", (value, base), xytext=(0, -15), textcoords="offset points", ha=align, va="top", fontsize=7.5, zorder=6)
    ax.fill_betweenx([top, base], row.needed, row.allowed_pumped, facecolor="none", edgecolor=GREY, hatch="////", linewidth=0, zorder=4)


def evidence(programme: Windows, section: str) -> Figure:
    """What stands behind the windows of a section: rows that trouble did not follow, rows that it did, and the window."""
    table = programme.table[(programme.table["section"] == section) & (programme.table["rows"] > 0)]
    with style():
        figure, axes = sheet(8.0, 0.7 + 0.85 * len(table), len(table), 1)
        for number, (ax, row) in enumerate(zip(axes[:, 0], each(table))):
            rows = programme.rows[section, row.property]
            for place, (role, colour) in enumerate((("reference", GREY), (BEFORE, ORANGE))):
                values = rows.loc[rows["role"] == role, "value"].to_numpy(float)
                ax.scatter(
                    values,
                    place + jitter(len(values), 0.55, number),
                    s=10 if place == 0 else 16,
                    color=colour,
                    alpha=0.7,
                    linewidth=0,
                )
            low = row.lower if np.isfinite(row.lower) else ax.get_xlim()[0]
            if np.isfinite(row.upper):
                ax.axvspan(low, row.upper, color=BLUE, alpha=0.15, linewidth=0)
            ax.set(yticks=[0, 1], ylim=(1.5, -0.5), xlabel=titled(row.property, row.unit))
            ax.set_yticklabels(
                [f"{row.rows} rows, {row.wells} wells", f"before trouble:\n{row.rows_before} rows, {row.wells_before} wells"], fontsize=7
            )
            ax.grid(False, axis="y")
            text = (
                f"higher before trouble: {row.higher_before:.2f}\n({row.low:.2f} to {row.high:.2f})"
                if np.isfinite(row.low)
                else "too few wells\nto compare"
            )
            ax.text(1.01, 0.5, text, transform=ax.transAxes, fontsize=7.5, va="center", color=GREY)
        basis = table["basis"].iloc[0] if len(table) else ""
        figure.suptitle(
            f"{section} hole: grey {basis}, orange rows before trouble, blue the proposed window", x=0.01, ha="left", fontsize=10
        )
    return figure
