"""Pressure loss of the annulus against what was measured while drilling a real well: wellbore 15/9-F-12 of the Volve data set.

Numbers of the daily drilling reports; whose they are stands in SOURCE.md beside them. Read where they lie, never copied.
measured = (equivalent density while circulating - density of the mud) g TVD of the bit, of a row of the reports;
computed = friction of the annulus from the surface to the bit at the stated rate + weight of the cuttings in it.

Fixed before anything was computed, and not fitted afterwards:
- Rows: `drill` with an equivalent density, in 17 1/2, 12 1/4 and 8 1/2 in hole. Bit at the lower end of the row. Middle of a
  stated range of equivalent density, rate and rate of penetration; where no rate of penetration is stated, depth made good over
  time. The annulus is full of the cuttings of that rate.
- Mud: mean of the density, plastic viscosity and yield point sampled within the time of the row, else the sample of the same day
  nearest in time; never the reserve pit, never the nominal density. Bingham: yield stress = yield point, consistency = plastic
  viscosity, flow index 1. The reports hold nothing else; at the low rates of shear of an annulus this is too stiff a fluid.
- Pipe 5 and 5 1/2 in (usual sizes), one size all the way; open hole in gauge and 10 % wider: four geometries, all must hold.
- Casing: 14 in, bore 12.66 in, stated. Sizes not stated: 20 in above the 17 1/2 in hole, as after a 26 in hole; the 9 5/8 in
  liner's bore. Both taken in the heaviest usual weight whose drift passes the next bit: bores 18.73 and 8.681 in (from memory).
  Liner hung 100 m above the shoe of the 14 in (common practice, no source). Riser to 140 m, where the 14 in starts, bore 19.5 in.
- Depths: minimum curvature where stations are closer than 100 m; elsewhere (770 m without a station, in which the hole turns by
  138 degrees, and 140 m) a monotone curve through stated depths. Friction along measured depth, weight on true vertical depth. (The 100 m
  alone came after a first run with 200 m; no ratio moved by 0.001.)
- Cuttings: 2600 kg/m3, 6.35 mm (common practice, no source), slip by the `smooth` law at the viscosity of the mud at the annulus'
  nominal wall shear rate 6 V/h, spread evenly.
- Bar: both densities are read to 0.01 g/cm3, so each is 0.005 g/cm3 wrong at most and their difference 0.01.

What came out: ratios from 0.61 to 1.35 on ten of the thirteen rows, in each geometry. The aim of 0.5 to 2 on every row is not met
on three, all in 12 1/4 in hole: 0.23 to 0.32, with the bar from 0 to between 0.47 and 0.63. There the reading is 0.01 above the mud
with a bar of 0.01 g/cm3, so that the loss cannot be told from none. All three take a flow-line sample; on the first of these days
the samples differ by 0.03 g/cm3, three times that loss. They were set apart after this was seen, by that rule alone (loss not above
its bar); they are printed, named in NOT_TOLD and not held to a ratio, and a row that joins or leaves them fails the test.

Looked at afterwards, and not taken for the comparison: sixteen combinations of four flow curves (Bingham, power law, yield power law with
0.3 and 0.5 of the yield point), a concentric or 0.6 eccentric pipe, and densities as above or of the pit, interpolated in time. With the
densities as above none has all rows within 0.5 to 2. With the interpolated ones two have (Bingham, eccentric; 0.5 of the yield point,
concentric); but they interpolate across three days between which the mud was weighted up, against the sample of the day itself.

Unknown, and in no number of the comparison: eccentricity (concentric taken; the hole is inclined up to 54 degrees, where pipe lies
low and the loss falls), rotation, tool joints, collars and tools on the string (the loss rises), beds of cuttings, change of the mud
with pressure and temperature, when within a row the equivalent density was read, how much cuttings a flow-line sample still holds.
What some of them would change is printed: pipe 0.6 eccentric all the way, and yield power laws through 600 and 300 r/min with a yield stress of
0.4 of the yield point (as the sample fluid of API RP 13D's well: 65, 40, 9 and 7.5 degrees at 600, 300, 6 and 3 r/min, from memory) and of none.
"""

import numpy as np
import pandas as pd
import pytest
from lutum import si
from lutum.units import convert
from lutum.well.survey import PlannedPath, Survey

GRAVITY = 9.80665
ROCK = {"cuttings_density": 2600.0, "cuttings_diameter": 0.00635}
PIPES = {"5": 5.0, "5 1/2": 5.5}  # in
HOLES = {"gauge": 1.0, "+10 %": 1.1}
GEOMETRIES = [(pipe, hole) for hole in HOLES for pipe in PIPES]
RISER, SURFACE_CASING, INTERMEDIATE, LINER_TOP = (140.0, 19.5), (1357.0, 18.73), (2506.0, 12.66), 2406.0  # m, in
CASED = {  # bottom in m and bore in in, above the hole of this size
    17.5: [RISER, SURFACE_CASING],
    12.25: [RISER, INTERMEDIATE],
    8.5: [RISER, (LINER_TOP, INTERMEDIATE[1]), (3113.0, 8.681)],
}
ROUNDING = 0.01  # g/cm3: half a step of each of two readings of 0.01
NOT_TOLD = [("2007-08-14", "06:00"), ("2007-08-17", "00:00"), ("2007-08-17", "06:00")]  # loss not above its bar


@pytest.fixture(scope="module")
def reports(open_data):
    folder = open_data("volve_ddr")
    return {name: pd.read_csv(folder / f"{name}.csv", na_values=[-999.99]) for name in ("operating_points", "fluids", "surveys", "casing")}


def surveyed(surveys):
    """The stretches between stations closer than 100 m."""
    stretches = surveys.groupby((surveys["md_m"].diff() > 100.0).cumsum())
    return [Survey(s["md_m"], s["inclination_deg"], s["azimuth_deg"], first_vertical=s["tvd_m"].iloc[0]) for _, s in stretches]


def true_depth(reports, measured):
    """True vertical depth: on the arcs of the survey where there is one, elsewhere through the depths that are stated."""
    surveys, shoes = reports["surveys"], reports["casing"].dropna(subset=["shoe_tvd_m"])
    known = dict(zip([0.0, *shoes["shoe_md_m"], *surveys["md_m"]], [0.0, *shoes["shoe_tvd_m"], *surveys["tvd_m"]], strict=True))
    depths = sorted(known)
    vertical, _ = PlannedPath(depths, [known[d] for d in depths], rounding=0.1).at(measured)
    for stretch in surveyed(surveys):
        on_arc, _ = stretch.at(measured)
        vertical = np.where(np.isnan(on_arc), vertical, on_arc)
    return vertical


def minutes(clock):
    hour, minute = (int(part) for part in clock.split(":"))
    return 60 * hour + minute


def mud_of(row, fluids):
    """Samples within the time of the row, else the nearest one of its day: their mean."""
    day = fluids[(fluids["period_date"] == row.period_date) & (fluids["sample_point"] != "Reserve pit")]
    at = day["sample_time"].map(minutes)
    start, end = minutes(row.from_time), minutes(row.to_time) or 24 * 60
    away = np.maximum(0, np.maximum(start - at, at - end))
    used = day[away == away.min()]
    assert used["fluid_type"].str.contains(row.fluid_as_stated[-3:]).all(), "a sample of another fluid"
    return used


def penetration_rate(row):
    """m/s, as stated or else the depth made good over the time."""
    stated = (row.rop_m_h_lo + row.rop_m_h_hi) / 2
    hours = ((minutes(row.to_time) or 24 * 60) - minutes(row.from_time)) / 60
    return convert(stated if np.isfinite(stated) else (row.md_to_m - row.md_from_m) / hours, "m/h", "m/s")


def flow_curve(mud, share):
    """Yield power law through the readings at 600 and 300 r/min that plastic viscosity and yield point stand for; share 1: Bingham."""
    degree = si.rheology.viscometer(speed=[convert(300.0, "rpm", "rad/s")], reading=[1.0]).wall_stress[0]
    viscosity, yield_point = mud["pv_mPa_s"].mean(), mud["yp_Pa"].mean() / degree
    slow = share * yield_point
    found = si.rheology.yield_power_law_indices(2 * viscosity + yield_point, viscosity + yield_point, reading_6=slow, reading_3=slow)
    return {name: getattr(found, name) for name in ("yield_stress", "consistency", "flow_index")}


def computed(reports, row, mud, pipe, widening, eccentricity=0.0, share=1.0):
    """Friction of the annulus and weight of its cuttings, bar."""
    sections = [*CASED[row.hole_in], (row.md_to_m, row.hole_in * widening)]
    bottom = np.array([depth for depth, _ in sections])
    wide = convert(np.array([bore for _, bore in sections]), "in", "m")
    pipe = convert(pipe, "in", "m")
    rate = convert((row.flow_l_min_lo + row.flow_l_min_hi) / 2, "L/min", "m3/s")
    density = convert(mud["density_g_cm3"].mean(), "g/cm3", "kg/m3")
    fluid = flow_curve(mud, share)

    flow = si.hydraulics.annulus_loss(
        density=density, **fluid, hole_diameter=wide, pipe_diameter=pipe,
        flow_rate=rate, length=np.diff(bottom, prepend=0.0), eccentricity=eccentricity, method="exact",
    )  # fmt: skip
    shear_rate = 6 * flow.velocity / ((wide - pipe) / 2)
    viscosity = si.rheology.yield_power_law(shear_rate=shear_rate, **fluid).apparent_viscosity
    slip = si.cuttings.slip_velocity(**ROCK, density=density, effective_viscosity=viscosity)
    load = si.cuttings.transport(
        flow_rate=rate, hole_diameter=wide, pipe_diameter=pipe, bit_diameter=convert(row.hole_in, "in", "m"), density=density,
        penetration_rate_of_bit=penetration_rate(row), slip_velocity=slip.slip_velocity, cuttings_density=ROCK["cuttings_density"],
    )  # fmt: skip
    heights = np.diff(true_depth(reports, bottom), prepend=0.0)
    cuttings = (load.effective_density - density) * GRAVITY * heights
    return convert(flow.pressure_loss.sum(), "Pa", "bar"), convert(cuttings.sum(), "Pa", "bar")


def usable(points):
    return points[(points["operation"] == "drill") & points["ecd_g_cm3_lo"].notna() & points["hole_in"].isin(CASED)]


def bar_of_density(vertical):
    """Pressure of a column of 1 g/cm3, bar."""
    return convert(convert(1.0, "g/cm3", "kg/m3") * GRAVITY * vertical, "Pa", "bar")


@pytest.fixture(scope="module")
def comparison(reports):
    """A line a usable row: what was read, measured loss and its bar, computed loss of each geometry, all in bar."""
    lines = []
    for row in usable(reports["operating_points"]).itertuples():
        mud = mud_of(row, reports["fluids"])
        vertical = float(true_depth(reports, [row.md_to_m])[0])
        read, density = (row.ecd_g_cm3_lo + row.ecd_g_cm3_hi) / 2, mud["density_g_cm3"].mean()
        line = {
            "date": row.period_date, "from": row.from_time, "to": row.to_time, "bit m": row.md_to_m, "vertical m": vertical, "hole in": row.hole_in,
            "L/min": (row.flow_l_min_lo + row.flow_l_min_hi) / 2, "m/h": convert(penetration_rate(row), "m/s", "m/h"),
            "eq. density": read, "mud": density, "nominal": float(row.fluid_as_stated.split()[0]),
            "sampled": " ".join(f"{m.sample_point} {m.sample_time}," for m in mud.itertuples()).strip(","),
            "PV": mud["pv_mPa_s"].mean(), "YP": mud["yp_Pa"].mean(),
            "measured": (read - density) * bar_of_density(vertical), "rounding": ROUNDING * bar_of_density(vertical),
        }  # fmt: skip
        for pipe, hole in GEOMETRIES:
            line[pipe, hole] = computed(reports, row, mud, PIPES[pipe], HOLES[hole])
        line["eccentric"] = sum(computed(reports, row, mud, 5.0, 1.0, eccentricity=0.6))
        line["0.4 of yield point"] = sum(computed(reports, row, mud, 5.0, 1.0, share=0.4))
        line["power law"] = sum(computed(reports, row, mud, 5.0, 1.0, share=0.0))
        lines.append(line)
    return pd.DataFrame(lines)


def ratios(line, geometry):
    """Measured over computed: lower end of the bar, middle, upper end."""
    return [(line["measured"] + side * line["rounding"]) / sum(line[geometry]) for side in (-1, 0, 1)]


def show(comparison, unused):
    facts = comparison.columns[: comparison.columns.get_loc("measured")]
    print("\nUsable rows: equivalent density and mud g/cm3, plastic viscosity mPa.s, yield point Pa")
    print(comparison[facts].round({"vertical m": 1, "m/h": 1, "eq. density": 3, "mud": 3, "YP": 1}).to_string(index=False))
    print("\nMeasured loss of the annulus, bar; computed = friction + cuttings, bar; measured over computed with the bar of the rounding")
    for line in comparison.to_dict("records"):
        for pipe, hole in GEOMETRIES:
            friction, cuttings = line[pipe, hole]
            low, middle, high = (round(ratio, 2) + 0.0 for ratio in ratios(line, (pipe, hole)))
            print(
                f"{line['date']} {line['from']} {line['bit m']:6.0f} m {line['hole in']:5} in  {line['measured']:5.1f} +- {line['rounding']:.1f}   "
                f"pipe {pipe:5} in, {hole:5}: {friction:4.1f} + {cuttings:3.1f} = {friction + cuttings:4.1f}   {middle:.2f} ({low:.2f} to {high:.2f})"
            )
    print("\nMeasured over computed, 5 in pipe, gauge hole: as above; pipe 0.6 eccentric; yield stress 0.4 of the yield point; power law")
    for line in comparison.to_dict("records"):
        others = "  ".join(f"{line['measured'] / line[name]:.2f}" for name in ("eccentric", "0.4 of yield point", "power law"))
        print(f"{line['date']} {line['from']}  {ratios(line, ('5', 'gauge'))[1]:.2f}  {others}")
    print("\nNot usable: not drilling, no equivalent density read, or another hole")
    print(unused[["period_date", "from_time", "operation", "md_to_m", "hole_in", "ecd_g_cm3_lo"]].to_string(index=False))


def test_measured_over_computed(reports, comparison):
    points = reports["operating_points"]
    show(comparison, points.drop(usable(points).index))
    assert len(comparison) == 13
    assert set(comparison["hole in"]) == set(CASED)
    not_told = comparison["measured"] <= comparison["rounding"] * (1 + 1e-9)
    assert [*comparison.loc[not_told, ["date", "from"]].itertuples(index=False, name=None)] == NOT_TOLD
    for line in comparison[~not_told].to_dict("records"):
        for geometry in GEOMETRIES:
            assert 0.5 <= ratios(line, geometry)[1] <= 2.0, (line["date"], line["from"], geometry)


def test_measured_losses_are_those_stated_with_the_data(comparison):
    """4.4 to 5.3 bar in 17 1/2 in hole, 16.9 bar in 8 1/2 in; in 12 1/4 in 9.5 bar, which is so with the nominal density alone."""
    measured = comparison.set_index("hole in")["measured"]
    assert measured[17.5].min() == pytest.approx(4.4, abs=0.06)
    assert measured[17.5].max() == pytest.approx(5.3, abs=0.06)
    assert measured[8.5] == pytest.approx(16.9, abs=0.15)
    wide = comparison[comparison["hole in"] == 12.25]
    with_nominal = (wide["eq. density"] - wide["nominal"]) * bar_of_density(wide["vertical m"])
    assert with_nominal.max() == pytest.approx(9.5, abs=0.06)
    heavier = wide["mud"] > wide["nominal"] + 1e-9
    assert heavier.sum() == 2
    assert (with_nominal[heavier] > wide.loc[heavier, "measured"] + 2.0).all()


def test_true_depths_are_those_stated(reports):
    """Arcs that start at a stated depth come down on the others; one arc across the unsurveyed 770 m does not."""
    surveys = reports["surveys"]
    for stretch in surveyed(surveys):
        stated = surveys.set_index("md_m").loc[stretch.measured, "tvd_m"]
        assert stretch.vertical == pytest.approx(stated.to_numpy(), abs=0.3)
    whole = Survey(surveys["md_m"], surveys["inclination_deg"], surveys["azimuth_deg"], first_vertical=surveys["tvd_m"].iloc[0])
    assert abs(whole.at([2860.0])[0][0] - 2713.5) > 5.0
