"""Instruments as data: which sources of error the readings of each have, and which instrument a reading is taken on."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from lutum import units
from lutum.diagnosis.shaping import check_keys, parsed

from .sources import Source, checked, source_of

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Change", "Instrument", "Table", "errors_of", "load", "shipped"]

KEYS = ("name", "words", "reads", "assumed", "source")


class Change(NamedTuple):
    """What one source does to a reading: its full name, and the change for one standard uncertainty of it, in the reading's unit.

    The change is never negative but for a source that several readings share: there its sign says which move together.
    """

    source: str
    standard: Any


@dataclass(frozen=True, slots=True)
class Instrument:
    """What takes one or several readings, and the sources of their errors.

    ``assumed``: no instrument, but the spread of a value that is assumed, such as the density of barite. No sources: its readings
    carry no error of their own.
    """

    name: str
    words: str
    reads: tuple[str, ...]
    sources: tuple[Source, ...] = ()
    assumed: bool = False

    def of(self, reading: str) -> Iterator[tuple[str, Source]]:
        """The sources of a reading with their full names; equal names are one and the same error."""
        for source in self.sources:
            if reading in (source.readings or self.reads):
                yield f"{self.name}.{source.name}" + ("" if source.shared else f".{reading}"), source


@dataclass(frozen=True, slots=True)
class Table:
    """Instruments in order: a reading is taken on the first that reads it, unless ``chosen`` names another for it."""

    instruments: tuple[Instrument, ...]
    chosen: Mapping[str, str] = field(default_factory=dict)

    def __iter__(self) -> Iterator[Instrument]:
        return iter(self.instruments)

    def __getitem__(self, name: str) -> Instrument:
        for instrument in self.instruments:
            if instrument.name == name:
                return instrument
        raise KeyError(f"no instrument is called {name!r}; there are {', '.join(i.name for i in self.instruments)}")

    def readings(self) -> tuple[str, ...]:
        """Every reading that some instrument takes."""
        return tuple(dict.fromkeys(r for i in self.instruments for r in i.reads))

    def for_reading(self, reading: str, instrument: str | None = None) -> Instrument:
        """The instrument a reading is taken on: the one named, else the one chosen, else its default. ValueError if it has none."""
        able = [i for i in self.instruments if reading in i.reads]
        if not able:
            near = get_close_matches(reading, self.readings(), 3)
            raise ValueError(f"no instrument reads {reading!r}" + (f"; did you mean {' or '.join(near)}?" if near else "; add one that does"))
        wanted = instrument or self.chosen.get(reading) or able[0].name
        found = next((i for i in able if i.name == wanted), None)
        if found is None:
            raise ValueError(f"{reading} is not read on {wanted!r}; it is read on {', '.join(i.name for i in able)}")
        return found

    def choosing(self, *instruments: str, **by_reading: str) -> "Table":
        """This table with other instruments chosen: for all they read, or for one reading (``mud_density="pressurised_balance"``)."""
        chosen = dict(self.chosen)
        for name in instruments:
            if all(name != i.name for i in self.instruments):
                raise ValueError(f"no instrument is called {name!r}; there are {', '.join(i.name for i in self.instruments)}")
            chosen |= dict.fromkeys(self[name].reads, name)
        for reading, name in by_reading.items():
            chosen[reading] = self.for_reading(reading, name).name
        return replace(self, chosen=chosen)

    def with_instruments(self, *instruments: Instrument) -> "Table":
        """This table with more; one of the same name is replaced, others become the default of what they read."""
        for one in instruments:
            for source in one.sources:
                checked(source, f"instrument {one.name!r}, source {source.name!r}")
            _check(one, f"instrument {one.name!r}", None)
        new = {i.name: i for i in instruments}
        kept = tuple(new.pop(i.name, i) for i in self.instruments)
        return replace(self, instruments=(*new.values(), *kept))

    def errors_of(self, reading: str, values: Any, unit: str, instrument: str | None = None) -> list[Change]:
        """Every source of a reading's error with its standard uncertainty at these values, in their unit.

        Sources of one name are one error, in whatever reading they turn up; all others are independent. Missing where the value is.

            shipped().errors_of("water_fraction", [82.0, 70.0], "%")
        """
        own = self.for_reading(reading, instrument)
        return [Change(name, source.change(reading, values, unit)) for name, source in own.of(reading)]

    def standard(self, reading: str, values: Any, unit: str, instrument: str | None = None) -> Any:
        """Standard uncertainty of a reading, all its sources together."""
        return np.sqrt(sum((c.standard**2 for c in self.errors_of(reading, values, unit, instrument)), np.zeros(np.shape(values))))

    def shift(self, reading: str, values: Any, unit: str, instrument: str | None = None) -> Any:
        """The error to be expected of a reading: below it where an end point was passed within the last increment.

        Added to the reading it gives the best estimate. It is not applied anywhere unless you do.
        """
        own = self.for_reading(reading, instrument)
        return sum((s.mean * s.change(reading, values, unit) for _, s in own.of(reading)), np.zeros(np.shape(values)))

    def source(self, full_name: str) -> Source:
        """The source of a name that ``errors_of`` gives."""
        for instrument in self.instruments:
            for reading in instrument.reads:
                for name, source in instrument.of(reading):
                    if name == full_name:
                        return source
        raise ValueError(f"no source is called {full_name!r}; names are instrument.source or instrument.source.reading")

    def degrees_of_freedom(self, names: Iterable[str]) -> dict[str, float]:
        """Of sources by full name."""
        return {name: self.source(name).degrees_of_freedom for name in names}

    def frame(self) -> "pd.DataFrame":
        """A row for each reading and source: size, distribution, standard uncertainty, and who says so."""
        import pandas as pd

        names = ["reading", "instrument", "is_default", "source_name", "stated", "distribution", "standard", "unit", "shared", "mark", "source", "words"]
        rows = []
        for instrument in self.instruments:
            for reading in instrument.reads:
                usual = self.for_reading(reading).name == instrument.name
                for full, s in instrument.of(reading):
                    key, number = s.size
                    stated = f"{key.replace('_', ' ')} {number:g} {s.unit}".rstrip() + (f" of {s.sample:g} {s.unit}" if s.sample is not None else "")
                    u, unit = (s.standard_uncertainty, s.unit) if s.sample is None else (s.standard_uncertainty / s.sample, f"{s.unit}/{s.unit}")
                    rows.append((reading, instrument.name, usual, full, stated, s.distribution.replace("_", "-"), u, unit, s.shared, s.mark, s.source, s.words))
        return pd.DataFrame(rows, columns=names)


def load(*paths: str | Path, readings: Mapping[str, tuple[str, str]] | None = None) -> Table:
    """A table from TOML files, or all TOML files of a folder, in that order; start from a copy of ``lutum/uncertainty/shipped``.

    A file has ``[[instrument]]`` tables with ``[[instrument.source]]``. ``readings``: the readings known, as
    ``lutum.mud_check.readings()`` gives them (its default). ValueError names the file, the instrument, the source and the key
    that is wrong.
    """
    files = [f for p in map(Path, paths) for f in (sorted(p.glob("*.toml")) if p.is_dir() else [p])]
    if not files:
        raise ValueError(f"no TOML file in {', '.join(map(str, paths)) or 'nothing'}: give the files of instruments or their folder")
    known = readings if readings is not None else __import__("lutum.mud_check", fromlist=["readings"]).readings()
    instruments = []
    for file in files:
        content = parsed(file)
        check_keys(content, ("instrument",), file.name)
        if not content.get("instrument"):
            raise ValueError(f"{file.name}: there is no [[instrument]] in it")
        instruments += [
            _instrument(t, f"{file.name}, instrument {i} ({t.get('name', 'no name')})", known)
            for i, t in enumerate(content["instrument"], start=1)
        ]
    names = [i.name for i in instruments]
    twice = [n for n in names if names.count(n) > 1]
    if twice:
        raise ValueError(f"two instruments are called {twice[0]!r} in {', '.join(f.name for f in files)}; rename or remove one")
    return Table(tuple(instruments))


@cache
def shipped() -> Table:
    """The table that comes with the library: much of it common practice without a source, each row marked as what it is."""
    return load(Path(__file__).parent / "shipped")


def errors_of(reading: str, values: Any, unit: str, instrument: str | None = None, table: Table | None = None) -> list[Change]:
    """``Table.errors_of`` of the shipped table, or of yours."""
    return (table or shipped()).errors_of(reading, values, unit, instrument)


def _instrument(table: Mapping[str, Any], where: str, known: Mapping[str, tuple[str, str]]) -> Instrument:
    check_keys(table, KEYS, where)
    for key, kind, wanted in (("name", str, "text"), ("words", str, "text"), ("reads", list, "a list")):
        if not isinstance(table.get(key), kind) or not table[key]:
            raise ValueError(f"{where}: {key} = {table.get(key)!r} must be {wanted}, and not empty")
    if not isinstance(table.get("assumed", False), bool):
        raise ValueError(f"{where}: assumed = {table['assumed']!r} must be true or false")
    sources = tuple(
        source_of(s, f"{where}, source {i} ({s.get('name', 'no name')})") for i, s in enumerate(table.get("source", []), start=1)
    )
    return _check(Instrument(table["name"], table["words"], tuple(table["reads"]), sources, table.get("assumed", False)), where, known)


def _check(instrument: Instrument, where: str, known: Mapping[str, tuple[str, str]] | None) -> Instrument:
    for reading in instrument.reads if known is not None else ():
        if known is not None and reading not in known:
            near = get_close_matches(reading, known, 3)
            raise ValueError(f"{where}: reads: {reading!r} is no reading" + (f"; did you mean {' or '.join(near)}?" if near else ""))
    names = [s.name for s in instrument.sources]
    for source in instrument.sources:
        here = f"{where}, source {names.index(source.name) + 1} ({source.name})"
        if names.count(source.name) > 1:
            raise ValueError(f"{where}: two sources are called {source.name!r}; rename or remove one")
        touched = source.readings or instrument.reads
        for key, listed, among in (
            ("readings", source.readings, instrument.reads), ("against", source.against, touched), ("unless_zero", source.unless_zero, touched)
        ):  # fmt: skip
            for reading in listed:
                if reading not in among:
                    raise ValueError(f"{here}: {key}: {reading!r} is not among {', '.join(among)}")
        for reading in touched if known is not None and not source.is_relative else ():
            unit = "" if source.sample is not None else source.unit
            wanted = "" if known is None else known[reading][0]
            if not _fits(unit or "Euc", wanted or "Euc"):
                raise ValueError(f"{here}: unit = {source.unit!r} does not measure {reading}, which is in {wanted or 'plain numbers'}")
    return instrument


def _fits(unit: str, wanted: str) -> bool:
    try:
        units.convert(0.0, unit, wanted)
    except ValueError:
        return False
    return True
