"""Sets of nozzles: nearest first, against a search written another way."""

from itertools import product
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lutum import field, nozzles

few = settings(max_examples=30, deadline=None)


def area_of(sizes):
    return sum(pi / 4 * (s / 32) ** 2 for s in sizes)


@few
@given(st.floats(0.1, 1.5), st.integers(1, 3))
def test_no_set_is_nearer(area, n):
    best = nozzles.nearest(area, n, smallest=7, largest=20, count=1)[0]
    least = min(abs(area_of(s) - area) for s in product(range(7, 21), repeat=n))
    assert abs(best.miss) == pytest.approx(least, abs=1e-12)
    assert best.area == pytest.approx(area_of(best.sizes), rel=1e-12) and best.area - area == pytest.approx(best.miss, abs=1e-12)


@few
@given(st.lists(st.integers(8, 18), min_size=2, max_size=5))
def test_a_set_is_found_from_its_own_area(sizes):
    best = nozzles.nearest(area_of(sizes), len(sizes), smallest=8, largest=18, count=1, at_least=True)[0]
    assert best.miss == pytest.approx(0.0, abs=1e-12)


def test_the_nearest_come_first_and_the_even_set_before_the_uneven():
    found = nozzles.nearest(0.2047, 3, count=8)
    assert [abs(s.miss) for s in found] == sorted(abs(s.miss) for s in found) and len({s.sizes for s in found}) == 8
    seven = nozzles.nearest(area_of((9, 9, 9)), 3, count=3)  # 7-7-12 has 242, 9-9-9 243 and 8-9-10 245 thirty-seconds squared
    assert seven[0].sizes == (9, 9, 9) and seven[1].sizes == (7, 7, 12)
    equal = [s.sizes for s in nozzles.nearest(area_of((11, 11, 11)), 3, smallest=5, count=50) if abs(s.miss) < 1e-12]
    assert equal == [(11, 11, 11), (5, 13, 13), (5, 7, 17)]  # each 363


def test_rounding_each_nozzle_down_is_not_the_best():
    area = 0.266  # each of three would be 10.75/32 in
    best = nozzles.nearest(area, 3, count=1)[0]
    assert best.sizes != (10, 10, 10) and abs(best.miss) < abs(area_of((10, 10, 10)) - area)


def test_bounds_on_spread_and_side_are_kept():
    found = nozzles.nearest(0.31, 4, most_spread=1, at_least=True, count=4)
    assert all(max(s.sizes) - min(s.sizes) <= 1 and s.miss >= 0.0 for s in found) and found


def test_other_units_and_the_bit_agree():
    inches, metric = nozzles.nearest(0.3, 3)[0], nozzles.nearest(0.3 * 25.4**2, 3, unit="mm2")[0]
    assert inches.sizes == metric.sizes and metric.area == pytest.approx(inches.area * 25.4**2)
    assert field.hydraulics.nozzle_area(list(inches.sizes), [1.0] * 3).nozzle_area == pytest.approx(inches.area, rel=1e-12)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [({"area": 0.0}, "no area"), ({"area": float("nan")}, "no area"), ({"nozzles": 0}, "at least 1"), ({"smallest": 12, "largest": 10}, "are none"),
     ({"count": 0}, "at least 1"), ({"nozzles": 9}, "narrow the sizes")],
)
def test_what_is_wrong_is_said(wrong, words):
    with pytest.raises(ValueError, match=words):
        nozzles.nearest(**({"area": 0.3, "nozzles": 3} | wrong))


def test_none_in_reach_is_an_empty_list():
    assert nozzles.nearest(99.0, 2, at_least=True) == []
