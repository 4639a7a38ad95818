"""Wells against columns and rules as heat maps; in `lutum.offset.figures` with the other figures."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from matplotlib.figure import Figure

from lutum._drawing import BLACK, GREY, sheet, style
from lutum.records import Audit, Records

from .study import WELL_COLUMNS


def completeness(records: Records, columns: Sequence[str] | None = None) -> Figure:
    """Wells against columns: the share of rows that hold a value, in per cent; 0 where the file has no such column."""
    names = (
        [c for c in records.columns if c not in records.kept and records.kind(c) != "text"] if columns is None else list(columns)
    )
    well = next(c for c in WELL_COLUMNS if c in records.data)
    share = 100.0 * records.data[names].notna().groupby(records.data[well], sort=False).mean()
    return _heat_map(share.T, "rows with a value (%)", "Rows that hold a value, by well", "{:.0f}", 100.0)


def findings(audit: Audit) -> Figure:
    """Wells against rules of the audit: the number of errors and warnings; mere notes are left to the table."""
    told = audit.findings[audit.findings["severity"] != "note"]
    counted = pd.crosstab(told["rule"], told["well"]).reindex(columns=sorted(audit.findings["well"].unique()))
    return _heat_map(
        counted.where(counted > 0), "errors and warnings (number, colour by its logarithm)", "Findings of the audit, by well", "{:.0f}", None
    )


def _heat_map(table: pd.DataFrame, label: str, title: str, form: str, full: float | None) -> Figure:
    rows, wells = table.shape
    with style():
        figure, axes = sheet(max(6.0, 2.4 + 0.48 * wells), 1.2 + 0.21 * rows)
        ax = axes[0, 0]
        values = table.to_numpy(float)
        shade = values if full else np.log10(np.where(values > 0, values, np.nan))
        high = full if full else max(float(np.nanmax(shade)), 0.5) if np.isfinite(shade).any() else 1.0
        ax.pcolormesh(
            np.arange(wells + 1),
            np.arange(rows + 1),
            shade,
            cmap="cividis",
            vmin=0.0,
            vmax=high,
            edgecolors="white",
            linewidth=0.8,
        )
        for i in range(rows):
            for j in range(wells):
                if np.isfinite(values[i, j]) and not (full and values[i, j] >= 99.95):
                    pale = shade[i, j] > 0.55 * high
                    ax.text(
                        j + 0.5,
                        i + 0.5,
                        form.format(values[i, j]),
                        ha="center",
                        va="center",
                        fontsize=7,
                        color=BLACK if pale else "white",
                    )
        ax.set(xticks=np.arange(wells) + 0.5, yticks=np.arange(rows) + 0.5, title=title, xlabel="well")
        ax.set_xticklabels(table.columns, rotation=60, ha="right", rotation_mode="anchor")
        ax.set_yticklabels([str(r).replace("_", " ") for r in table.index])
        ax.invert_yaxis()
        ax.grid(False)
        ax.tick_params(length=0)
        ax.text(
            1.0,
            1.01,
            label + ("; blank cells: all rows" if full else ""),
            transform=ax.transAxes,
            ha="right",
            va="bottom",
            fontsize=7.5,
            color=GREY,
        )
    return figure
