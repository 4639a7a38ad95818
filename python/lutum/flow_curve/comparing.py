"""Several models on the same readings: the evidence for each, and a choice only when it is asked for."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import zip_longest
from re import sub
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import _core

from .curve import FlowCurve
from .fitting import asked, fit_taken
from .models import MODELS, YIELD_POWER_LAWS, factor, model_named, parameters_of, set_of, unit_of
from .readings import take
from .showing import in_words
from .telling import WORTH

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Comparison", "compare"]

CRITERIA = {"akaike": "corrected Akaike criterion", "leave_one_out": "leave-one-out error"}
HARD = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """Models on the same readings. ``curves``, ``weights`` (shares of the evidence by the corrected Akaike criterion, together 1) and
    ``left_out`` (root mean square of what each reading misses by when the others predict it, in stress) by model."""

    curves: dict[str, FlowCurve]
    weights: dict[str, float]
    left_out: dict[str, float]
    left_out_count: dict[str, int]

    def table(self) -> "pd.DataFrame":
        """A row a model, in the order of the corrected Akaike criterion; nothing is left out of it and nothing chosen."""
        import pandas as pd

        least = min((c.corrected_akaike for c in self.curves.values()), default=np.inf)
        rows = {}
        for model, curve in self.curves.items():
            difference = curve.corrected_akaike - least if np.isfinite(least) else np.nan
            rows[model] = (
                _in_a_line(curve), curve.sum_of_squares, curve.corrected_akaike, difference, self.weights[model], self.left_out[model],
                self.left_out_count[model], curve.status, curve.sentence.partition(": ")[2],
            )  # fmt: skip
        names = ["parameters", "sum_of_squares", "corrected_akaike", "akaike_difference", "akaike_weight", "leave_one_out", "left_out", "status", "sentence"]
        frame = pd.DataFrame.from_dict(rows, orient="index", columns=names).rename_axis("model")
        units = next(iter(self.curves.values())).units
        frame.attrs["units"] = {"sum_of_squares": f"({units.unit('stress')})2", "leave_one_out": units.unit("stress")}
        return frame.sort_values("corrected_akaike", kind="stable")

    def best_by(self, criterion: str = "akaike") -> FlowCurve:
        """The curve that this criterion prefers; its ``evidence`` says by how much, and what comes next.

        ValueError where the criterion tells nothing: with too few readings the corrected criterion is infinite for every model.
        """
        if criterion not in CRITERIA:
            raise ValueError(f"criterion = {criterion!r} is unknown; choose {' or '.join(CRITERIA)}")
        told = self._order(criterion)
        if not told:
            raise ValueError(f"the {CRITERIA[criterion]} tells nothing: {self._why_silent(criterion, [])}; read more speeds, or choose by hand from .curves")
        best = told[0]
        return self.curves[best]._with(evidence=self._evidence(criterion, told))

    def _evidence(self, criterion: str, told: list[str]) -> str:
        unit = next(iter(self.curves.values())).units.unit("stress")

        def shown(model: str) -> str:
            return f"{in_words(model)} {_share(self.weights[model])}" if criterion == "akaike" else f"{in_words(model)} {self.left_out[model]:.3g} {unit}"

        what = "weight" if criterion == "akaike" else "error"
        others = ", ".join(map(shown, told[1:4])) or "none"
        silent = len(self.curves) - len(told)
        text = f"chosen by the {CRITERIA[criterion]} out of {len(self.curves)} models: {what} of {shown(told[0])}; next {others}"
        text += f"; {silent} could not be judged: {self._why_silent(criterion, told)}" if silent else ""
        other = "leave_one_out" if criterion == "akaike" else "akaike"
        rival = self._order(other)[:1]
        return text + (f"; the {CRITERIA[other]} would take {in_words(rival[0])}" if rival and rival[0] != told[0] else "")

    def _order(self, criterion: str) -> list[str]:
        """The models that a criterion can judge, the best first; of equals the one with fewer parameters."""
        sound = {m: c for m, c in self.curves.items() if WORTH[c.status].curve}
        value = {m: c.corrected_akaike if criterion == "akaike" else self.left_out[m] for m, c in sound.items()}
        return sorted((m for m in value if np.isfinite(value[m])), key=lambda m: (value[m], len(self.curves[m].parameters)))

    def _why_silent(self, criterion: str, told: list[str]) -> str:
        """Why a criterion cannot judge the models that are not told, each cause once."""
        causes = []
        for model, curve in self.curves.items():
            if model in told:
                continue
            count, k = len(curve._state.used), len(curve.parameters)
            if curve.status in ("flat", "not_converged", "outside_limits"):
                cause = {"flat": "no rise", "not_converged": "a fit that did not settle", "outside_limits": "a reading outside its limit"}[curve.status]
            elif criterion == "akaike" or count <= k:
                cause = "too few readings"
            else:
                cause = "a fit without one of the readings that failed"
            causes.append(cause)
        return ", ".join(dict.fromkeys(causes))

    def as_text(self) -> str:
        """The models in the order of the corrected Akaike criterion, at most 120 columns wide."""
        heads, rows = self._cells()
        widths = [15, 15, 13, 13, 16, 38]
        lines = []
        for cells in [heads, *rows]:
            cells = [*cells[:5], sub(r"(?<!,) ", HARD, cells[5])]  # a parameter, its number and its unit stay together
            wrapped = [wrap(cell, width) for cell, width in zip(cells, widths)]
            for parts in zip_longest(*wrapped, fillvalue=""):
                lines.append("  ".join(f"{part:{side}{width}}" for part, side, width in zip(parts, "<>>><<", widths)).rstrip())
        return "\n".join(lines).replace(HARD, " ")

    def _cells(self) -> tuple[list[str], list[list[str]]]:
        """Headings, and the cells of each model, the parameters last."""
        unit = next(iter(self.curves.values())).units.unit("stress").replace(" ", HARD)
        heads = ["model", f"sum of squares, ({unit})²", "Akaike weight", f"leave-one-out error, {unit}", "status", "parameters"]
        rows = []
        for model, row in self.table().iterrows():
            k = len(self.curves[str(model)].parameters)
            few = f"too few readings for {k} parameter{'s' if k > 1 else ''}"
            weight = few if np.isposinf(row.corrected_akaike) else _share(row.akaike_weight)
            squares, missed = (f"{x:{form}}" if np.isfinite(x) else "" for x, form in ((row.sum_of_squares, ".4g"), (row.leave_one_out, ".3g")))
            rows.append([in_words(str(model)), squares, weight, missed, row.status, row.parameters])
        return heads, rows

    def __repr__(self) -> str:
        best = [f"{in_words(order[0])} by the {words}" for criterion, words in CRITERIA.items() if (order := self._order(criterion))]
        return f"<Comparison of {len(self.curves)} models: {', '.join(best) or 'none can be judged'}>"

    def _repr_html_(self) -> str:
        heads, rows = self._cells()
        sides = ["left", "left", "right", "right", "right", "left"]
        heads = [heads[0], heads[5], *heads[1:5]]
        lines = ["".join(f"<th style='text-align:left'>{escape(h)}</th>" for h in heads)]
        for row, sentence in zip(rows, self.table()["sentence"]):
            cells = [row[0], row[5], *row[1:4], f"{row[4]}: {sentence}"]
            lines.append("".join(f"<td style='text-align:{side}'>{escape(cell)}</td>" for side, cell in zip(sides, cells)))
        return "<table>" + "".join(f"<tr>{line}</tr>" for line in lines) + "</table>"


def _share(weight: float) -> str:
    """A weight to four places; what is nearer to nothing or to all is said so."""
    if weight != weight:
        return ""
    return "< 0.0001" if weight < 0.00005 else "> 0.9999" if 0.99995 <= weight < 1.0 else f"{weight:.4f}"


def _in_a_line(curve: FlowCurve) -> str:
    values = zip(parameters_of(curve.model), curve.parameters.values())
    return ", ".join(f"{p.name} {x:.4g} {unit_of(p.quantity, curve.units)}".rstrip() for p, x in values)


def compare(
    readings: Any = None,
    models: Sequence[str] | None = None,
    *,
    units: Any = None,
    shear_rate: Any = None,
    shear_stress: Any = None,
    temperature: Any = None,
    weighting: str = "equal",
    stress_uncertainty: Any = None,
    relative_uncertainty: float | None = None,
    rate_range: Any = None,
    rate_correction: str = "none",
    **geometry: float,
) -> Comparison:
    """Every model (or those named) fitted to the same readings, as ``fit`` takes them, with the evidence for each.

    >>> from lutum import flow_curve
    >>> compared = flow_curve.compare({600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}, ["bingham", "casson", "yield_power_law"])
    >>> compared.best_by("akaike").model
    'casson'
    """
    home = set_of(units)
    usual = MODELS if rate_correction == "none" else YIELD_POWER_LAWS
    chosen = [model_named(model) for model in (usual if models is None else models)]
    if not chosen:
        raise ValueError(f"models is empty: name some of {', '.join(MODELS)}")
    taken = take(readings, shear_rate, shear_stress, temperature, home, geometry)
    stresses = np.array(taken.stresses)
    curves, errors, counts = {}, {}, {}
    for model in chosen:
        wanted = asked(home, model, weighting, stress_uncertainty, relative_uncertainty, None, rate_range, rate_correction)
        curves[model] = fit_taken(taken, model, wanted, home)
        missed = _core.left_out_errors(model, np.array(taken.rates), stresses, **wanted.options(stresses, taken)) / factor("stress", home)
        there = missed[np.isfinite(missed)]
        counts[model] = len(there)
        errors[model] = float(np.sqrt(np.mean(there**2))) if len(there) and len(there) == len(curves[model]._state.used) else float("nan")
    weights = _core.akaike_weights([curves[model].corrected_akaike for model in curves])
    return Comparison(curves, dict(zip(curves, map(float, weights))), errors, counts)
