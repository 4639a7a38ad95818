"""Records of several files as one, records in other units, and what importing costs."""

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from lutum import records
from lutum.records import ColumnMapping, Mapping


def test_join_stacks_files_and_keeps_their_rows():
    a = records.read(
        pd.DataFrame({"MW": [1.0, 2.0]}),
        Mapping({"mud_density": ColumnMapping("MW", unit="g/cm3")}),
        name="a",
        units="metric",
    )
    b = records.read(
        pd.DataFrame({"W": [10.0], "D": ["2013-05-08"], "K": ["z"]}),
        Mapping({"mud_density": ColumnMapping("W", unit="ppg"), "time": "D"}, keep=["K"]),
        name="b",
    )
    both = a.join(b)
    assert both.data[["file", "row"]].values.tolist() == [["a", 2], ["a", 3], ["b", 2]]
    assert both.data["mud_density"].tolist() == pytest.approx([1000.0, 2000.0, 1198.264273])
    assert both.data["time"].isna().tolist() == [True, True, False] and both.data["time"].dtype == "datetime64[s]"
    assert both.raw["mud_density"].tolist() == ["1.0", "2.0", "10.0"] and both.units["mud_density"] == "kg/m3"
    assert both.data["K"].isna().tolist() == [True, True, False]
    assert len(a) == 2  # left as it was
    with pytest.raises(ValueError, match="read them with name="):
        a.join(a)


def test_other_units_and_back_are_the_same():
    checks = records.read(
        pd.DataFrame({"MW": [1.0, np.nan]}), Mapping({"mud_density": ColumnMapping("MW", unit="g/cm3")}), units="metric"
    )
    there = checks.to("field")
    assert there.units == {"mud_density": "lb/gal"} and there.data["mud_density"].iloc[0] == pytest.approx(8.345404452)
    assert there.to("metric").data["mud_density"].tolist()[0] == pytest.approx(1000.0, rel=1e-14)
    with pytest.raises(ValueError, match='"field", "metric", "si"'):
        checks.to("imperial")


def test_importing_the_calculations_does_not_import_records():
    code = "import sys; from lutum import field; assert 'lutum.records' not in sys.modules, 'imported'"
    subprocess.run([sys.executable, "-c", code], check=True)
