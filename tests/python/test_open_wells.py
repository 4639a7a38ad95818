"""Numbers of real wells, read from the open data beside the repository."""

import pandas as pd
import pytest

import lutum


def test_formation_integrity_test_gives_its_stated_equivalent(open_data):
    """Stated to 0.01 g/cm3: mud density and surface pressure at true vertical depth."""
    tests = pd.read_csv(open_data("volve_ddr") / "formation_strength.csv").dropna(subset=["surface_pressure_bar", "mud_density_g_cm3"])
    assert len(tests) >= 1
    metric = lutum.unit_set("metric", density="g/cm3", pressure="bar")
    for row in tests.itertuples():
        result = metric.hydraulics.equivalent_density(
            fluid_density=row.mud_density_g_cm3,
            surface_pressure=row.surface_pressure_bar,
            bottom_measured_depth=[row.md_m],
            bottom_true_vertical_depth=[row.tvd_m],
            friction_gradient=[0.0],
        )
        assert result.equivalent_density[0] == pytest.approx(row.emw_g_cm3, abs=0.005)
