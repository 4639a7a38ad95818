"""Unit sets, their areas, and the calculations in them: all made from the catalogue, none written by hand."""

import sys
from collections.abc import Iterator
from importlib import import_module
from operator import attrgetter
from threading import RLock
from types import ModuleType
from typing import Any

from lutum import _core
from lutum._source import class_name
from lutum.calculation import Calculation, make_calculation

__all__ = ["UnitSet", "catalogue", "open_set", "unit_set"]

SYSTEMS = ("field", "metric", "si")
_making = RLock()  # a calculation is made once, whoever asks first


def areas() -> dict[str, list[str]]:
    """Names of the calculations by area, in catalogue order."""
    result: dict[str, list[str]] = {}
    for calculation_id in _core.calculations():
        area, name = calculation_id.split(".")
        result.setdefault(area, []).append(name)
    return result


class Area(ModuleType):
    """The calculations of one area in one unit set; each is made when first asked for."""

    def __init__(self, name: str, doc: str, calculations: list[str], home: "UnitSet") -> None:
        super().__init__(name, doc)
        self.__all__ = list(calculations)
        self.__dict__["_home"] = home
        self.__dict__["__path__"] = []

    def __getattr__(self, name: str) -> Any:
        area = self.__name__.rsplit(".", 1)[1]
        for calculation in self.__all__:
            class_ = class_name(f"{area}.{calculation}")
            if name in (calculation, class_, f"{class_}Result", f"{class_}Slopes"):
                with _making:
                    if calculation not in self.__dict__:
                        self._make(f"{area}.{calculation}")
                return self.__dict__[name]
        raise AttributeError(f"{self.__name__} has no calculation {name!r}; it has {', '.join(self.__all__)}")

    def _make(self, calculation_id: str) -> None:
        """The calculation with its classes, found here again by pickle. A set of one's own shares the result types of the set it changes."""
        made = make_calculation(calculation_id, self._home)
        class_ = type(made)
        if self._home.replaced:
            shared = type(attrgetter(calculation_id)(_restore_set(self._home.system, {})))
            # The units differ, so the result is a type of its own, found again through its calculation.
            class_._result_type = type(shared._result_type.__name__, (shared._result_type,), {
                "__slots__": (), "_variables": made.results, "__reduce__": lambda r: (_restore_result, (made, *r)),
            })  # fmt: skip
            class_._slopes_type = shared._slopes_type
        for kind in (class_, class_._result_type, class_._slopes_type):
            self.__dict__[kind.__name__] = kind
        self.__dict__[calculation_id.split(".")[1]] = made

    def __dir__(self) -> list[str]:
        return list(self.__all__)


class UnitSet:
    """A choice of units with all areas as attributes.

    ``system`` is ``field``, ``metric`` or ``si``; ``replaced`` maps quantities to other units.
    """

    def __init__(self, system: str, replaced: dict[str, str] | None = None, module: str | None = None) -> None:
        self.system = system
        self.replaced = dict(replaced or {})
        self._module = module or f"lutum.{system}"
        for quantity, unit in self.replaced.items():
            self.unit(quantity)
            if _core.resolve(unit) not in _core.quantity_units(quantity):
                raise ValueError(
                    f"unit {unit!r} does not measure {quantity}; choose one of {', '.join(_core.quantity_units(quantity))}"
                )
        self._areas = {
            area: Area(f"{self._module}.{area}", f"{area.replace('_', ' ').capitalize()} calculations in {system} units.", names, self)
            for area, names in areas().items()
        }

    def unit(self, quantity: str) -> str:
        """The unit this set uses for a quantity, as the trade writes it: ``field.unit("density")`` is ``"lb/gal"``."""
        known = _core.quantities()
        if quantity not in known:
            raise ValueError(f"quantity {quantity!r} is unknown; known are {', '.join(known)}")
        symbol = self.replaced.get(quantity) or known[quantity][{"si": 0, "field": 1, "metric": 2}[self.system]]
        return str(_core.unit(symbol)[1])

    def __getattr__(self, name: str) -> Area:
        if not name.startswith("_") and name in self._areas:
            return self._areas[name]
        raise AttributeError(f"unit set {self.system!r} has no area {name!r}; it has {', '.join(self.__dict__.get('_areas', {}))}")

    def __dir__(self) -> list[str]:
        return ["unit", "system", "replaced", *self._areas]

    def __iter__(self) -> Iterator[Calculation]:
        for area in self._areas.values():
            for name in area.__all__:
                yield getattr(area, name)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, UnitSet) and (self.system, self.replaced) == (other.system, other.replaced)

    def __hash__(self) -> int:
        return hash((self.system, tuple(sorted(self.replaced.items()))))

    def __repr__(self) -> str:
        changes = "".join(f", {quantity}={unit!r}" for quantity, unit in self.replaced.items())
        return f"lutum.unit_set({self.system!r}{changes})"

    def __reduce__(self) -> tuple[Any, ...]:
        return _restore_set, (self.system, self.replaced)


def open_set(module: str) -> UnitSet:
    """The unit set of the package ``lutum.field``, ``lutum.metric`` or ``lutum.si``, its areas importable below it."""
    home = UnitSet(module.rsplit(".", 1)[1], module=module)
    for area in home._areas.values():
        sys.modules[area.__name__] = area
    return home


def _restore_result(calculation: Calculation, *values: Any) -> Any:
    return calculation._result_type(*values)


def _restore_set(system: str, replaced: dict[str, str]) -> UnitSet:
    if system not in SYSTEMS:
        raise ValueError(f"unit set {system!r} is unknown; choose {', '.join(SYSTEMS[:-1])} or {SYSTEMS[-1]}")
    if not replaced:
        home: UnitSet = import_module(f"lutum.{system}").units_of_set
        return home
    return UnitSet(system, replaced)


def unit_set(system: str = "field", **replaced: str) -> UnitSet:
    """A unit set of one's own: ``field``, ``metric`` or ``si`` with some quantities in other units.

    >>> import lutum
    >>> mine = lutum.unit_set("metric", density="g/cm3", pressure="bar")
    >>> mine.solids.water_base_retort.inputs[0].unit
    'g/cm3'
    """
    return _restore_set(system, replaced)


def catalogue(system: str = "field") -> list[Calculation]:
    """Every calculation of the library, as objects of a unit set.

    >>> import lutum
    >>> [c.sheet.id for c in lutum.catalogue()][:2]
    ['clay.methylene_blue', 'brine.sodium_chloride']
    """
    return list(_restore_set(system, {}))
