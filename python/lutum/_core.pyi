"""The compiled part: the catalogue, and units. Use it through lutum, lutum.units and the unit sets."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

__version__: str

class Calculation:
    """One calculation in one unit set."""

    value: np.ufunc
    gradient: np.ufunc | None
    judge: np.ufunc | None
    def __init__(self, id: str, system: str, replaced: dict[str, str], choice: str = "") -> None: ...
    def describe(self) -> dict[str, Any]: ...
    def example(self) -> tuple[Any, ...]: ...
    def scalar(self, args: tuple[Any, ...], result_type: type, /) -> Any: ...
    def findings(self, record: Sequence[Any], /) -> list[tuple[bool, str, int, float, str]]: ...
    def work(self, record: Sequence[Any], row: int, markdown: bool, appendix: str, /) -> str: ...
    def table_gradient(self, record: Sequence[Any], wanted: list[str], /) -> Any: ...
    def table_slopes(self, arrays: Sequence[Any], of: list[str], by: list[str], rows: list[int], /) -> Any: ...

def propagate(jacobian: Any, covariance: Any) -> Any: ...
def chain(
    steps: Sequence[tuple[str, str, int, Sequence[tuple[Sequence[int], float, Sequence[tuple[int, float]]]], Sequence[Sequence[int]], Any]],
    system: str, replaced: dict[str, str], given: Sequence[Any], errors: Sequence[tuple[int, int, Any]], records: int,
    values: Any, standard: Any, wanted: Sequence[tuple[int, int]],
) -> Any:
    """Steps one after the other over ``records`` rows: their results into ``values`` and ``standard``, and the changes wanted.

    A step is (calculation, choice, places of its lists, inputs, reach, choices by row or None); an input is (columns it may come from,
    what stands where all are missing, how much that is uncertain by direction). Columns: those given, then the results.
    ``reach``: by result the inputs that can change it. ``errors``: (column, direction, change). ``wanted``: (column, direction).
    """
class _Fit:
    """What belongs to readings has a place for each one given, missing where not used."""

    parameters: Any
    covariance: Any
    correlation: Any
    states: list[str]
    bounds: list[tuple[float, float]]
    used: list[int]
    number_used: int
    residuals: Any
    studentized: Any
    weighted_sum_of_squares: float
    degrees_of_freedom: int
    condition: float
    converged: bool
    last_step: float
    status: str
    suspect: int | None

class GelGrowthFit(_Fit):
    """Parameters: final strength (Pa) and rate of growth (1/s)."""

class FlowCurveFit(_Fit):
    """One fitted flow curve, SI; residuals are stress read less stress by the curve."""

    model: str
    names: list[str]
    weighting: str
    rate_correction: str
    rate_range: tuple[float, float]
    rates_used: tuple[float, float]
    sum_of_squares: float
    corrected_akaike: float
    def stress(self, shear_rate: Any) -> Any: ...
    def stress_variance(self, shear_rate: Any) -> Any: ...

class FlowCurveFits:
    """Many of them: arrays with a row a record; `status` counts in `fit_statuses`, `states` 0 free, 1 at_low, 2 at_high, 3 without_effect."""

    names: list[str]
    parameters: Any
    covariance: Any
    states: Any
    status: Any
    weighted_sum_of_squares: Any
    sum_of_squares: Any
    degrees_of_freedom: Any
    number_used: Any
    condition: Any
    suspect: Any
    corrected_akaike: Any
    stress: Any
    stress_variance: Any

fit_statuses: tuple[str, ...]

def fit_flow_curve(
    model: str, shear_rate: Any, shear_stress: Any, weighting: str = "equal", standard_uncertainty: Any = None,
    bounds: Mapping[str, tuple[float, float]] = ..., rate_range: tuple[float, float] = ..., radius_ratio: float | None = None,
) -> FlowCurveFit:
    """Missing readings are NaN. A radius ratio (bob over rotor) asks for the exact flow in the gap, rates being those of a Newtonian fluid."""
def fit_flow_curves(
    model: str, shear_rate: Any, shear_stress: Any, weighting: str = "equal", standard_uncertainty: Any = None,
    bounds: Mapping[str, tuple[float, float]] = ..., rate_range: tuple[float, float] = ..., radius_ratio: float | None = None, at: Any = None,
) -> FlowCurveFits:
    """A row a record; `at` are rates at which stress and its variance are wanted."""
def left_out_errors(
    model: str, shear_rate: Any, shear_stress: Any, weighting: str = "equal", standard_uncertainty: Any = None,
    bounds: Mapping[str, tuple[float, float]] = ..., rate_range: tuple[float, float] = ..., radius_ratio: float | None = None,
) -> Any:
    """Stress at each reading by the curve fitted to the others, less the stress read."""
def flow_curve_states(model: str, parameters: Any, shear_rate: Any) -> tuple[Any, Any, Any]:
    """Stress, apparent viscosity and local index: a row a curve, a column a rate."""
def flow_curve_rates(model: str, parameters: Any, shear_stress: Any) -> Any: ...
def flow_curve_slopes(model: str, parameters: Any, shear_rate: Any) -> Any:
    """Of the stress of one curve by its parameters: a row a rate."""
def flow_models() -> list[str]: ...
def flow_model_parameters(model: str) -> list[tuple[str, str, str, str, float, float]]:
    """Name, symbol, quantity, meaning, default bounds."""
def akaike_weights(criteria: Sequence[float]) -> list[float]: ...
def two_sided_t(t: float, degrees_of_freedom: int) -> float: ...
def fit_gel_growth(time: Any, stress: Any) -> GelGrowthFit: ...
def calculations() -> list[str]: ...
def instruction_set() -> str: ...
def instruction_set_named(name: str) -> str: ...
def convert(values: Any, from_unit: str, to_unit: str) -> Any: ...
def resolve(name: str) -> str | None: ...
def unit(name: str) -> tuple[str, str, float, float]: ...
def symbols() -> list[str]: ...
def quantities() -> dict[str, tuple[str, str, str]]: ...
def quantity_units(name: str) -> list[str]: ...
