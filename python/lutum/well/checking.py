"""What cannot be in a well, as errors that name the segment, and what is unlikely, as findings."""

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from math import isnan, pi

from lutum._sets import UnitSet

from .reading import CASED, Bit, Hole, Part, Path, label, shown

__all__ = ["ROUNDING", "check", "check_depth", "findings"]

ROUNDING = 1e-6  # m: depths that differ by less are the same depth in another unit
MOST_WASHOUT, MOST_ECCENTRICITY = 0.5, 0.95  # common practice, no source; eccentricity to which the annulus formulas are validated


def check(holes: tuple[Hole, ...], parts: tuple[Part, ...], bit: Bit | None, path: Path, bit_depth: float, home: UnitSet) -> None:
    """A ValueError that lists everything impossible."""
    problems = [*_holes(holes, home), *_path(holes, path, home), *_parts(parts, home)]
    if bit is not None:
        problems += _bit(bit, home)
    problems = problems or [*_lengths(holes, parts, home), *_passage(holes, parts, bit, bit_depth, home)]
    if problems:
        raise ValueError("\n".join(problems))


def check_depth(holes: tuple[Hole, ...], parts: tuple[Part, ...], bit: Bit | None, bit_depth: float, home: UnitSet) -> None:
    """The same of a string with its bit at another depth."""
    bottom = holes[-1].bottom
    if not 0.0 <= bit_depth <= bottom + ROUNDING:
        raise ValueError(
            f"bit_depth = {shown(bit_depth, 'length', home)} is outside the well, 0 to {shown(bottom, 'length', home)}; give a measured depth in it"
        )
    problems = [*_reach(parts, bit_depth, home), *_passage(holes, parts, bit, bit_depth, home)]
    if problems:
        raise ValueError("\n".join(problems))


def _holes(holes: tuple[Hole, ...], home: UnitSet) -> Iterator[str]:
    length, diameter = (partial(shown, quantity=quantity, home=home) for quantity in ("length", "diameter"))
    for place, hole in enumerate(holes):
        called = label("hole", holes, place)
        if hole.bottom <= hole.top:
            yield f"{called}: bottom {length(hole.bottom)} is not below its top {length(hole.top)}; list the holes from the top down, each once"
        if not hole.inside_diameter > 0.0:
            yield f"{called}: inside_diameter {diameter(hole.inside_diameter)} must be above 0 {home.unit('diameter')}; check it"
        if hole.washout < 0.0:
            yield f"{called}: washout {100 * hole.washout:g} % is below 0 %; give a hole that is under gauge by its inside_diameter"
        if hole.washout > 0.0 and hole.kind != "open_hole":
            yield f"{called}: washout {100 * hole.washout:g} % of a {hole.kind}, which cannot wash out; leave it out, or give kind open_hole"
        if not 0.0 <= hole.eccentricity <= 1.0:
            yield f"{called}: eccentricity {hole.eccentricity:g} is outside 0 (concentric) to 1 (the pipe touches the wall); check it"
        if hole.kind == "riser" and place and holes[place - 1].kind != "riser":
            yield f"{called}: a riser below {label('hole', holes, place - 1)}; list the holes from the top down, the riser first"
    if holes[0].top != 0.0:
        yield f"{label('hole', holes, 0)}: its top is {length(holes[0].top)}; the first hole begins at 0 {home.unit('length')}: add what is above it"
    for place, (above, below) in enumerate(pairwise(holes)):
        gap = below.top - above.bottom
        if abs(gap) <= ROUNDING:
            continue
        upper, lower = label("hole", holes, place), label("hole", holes, place + 1)
        met = f"{upper} ends at {length(above.bottom)} and {lower} begins at {length(below.top)}"
        if gap > 0:
            yield f"{met}, a gap of {length(gap)}; add the hole between them, or move one of the two depths"
        else:
            yield (
                f"{met}, an overlap of {length(-gap)}; list what the string runs through: end {upper} at the top of {lower} "
                "(a liner's hanger hides the casing behind it)"
            )


def _path(holes: tuple[Hole, ...], path: Path, home: UnitSet) -> Iterator[str]:
    bottom, last = holes[-1].bottom, float(path.measured[-1])
    if last < bottom - ROUNDING:
        called = label("hole", holes, len(holes) - 1)
        yield (
            f"survey: it ends at {shown(last, 'length', home)}, {shown(bottom - last, 'length', home)} above the bottom of {called} at "
            f"{shown(bottom, 'length', home)}; add a station there, projected from the last one"
        )


def _parts(parts: tuple[Part, ...], home: UnitSet) -> Iterator[str]:
    length, diameter = (partial(shown, quantity=quantity, home=home) for quantity in ("length", "diameter"))
    for place, part in enumerate(parts):
        called = label("part", parts, place)
        if part.length <= 0.0:
            yield f"{called}: length {length(part.length)} must be above 0 {home.unit('length')}; leave the part out if it is not run"
        if not part.outside_diameter > 0.0:
            yield f"{called}: outside_diameter {diameter(part.outside_diameter)} must be above 0 {home.unit('diameter')}; check it"
        if not 0.0 < part.inside_diameter < part.outside_diameter:
            yield (
                f"{called}: bore inside_diameter {diameter(part.inside_diameter)} must be above 0 and smaller than its outside_diameter "
                f"{diameter(part.outside_diameter)}; check that the two are not swapped"
            )
        if part.roughness < 0.0:
            yield f"{called}: roughness {diameter(part.roughness)} is below 0; give 0 for a smooth wall"
        if isnan(part.joint_diameter):
            continue
        if part.joint_diameter < part.outside_diameter:
            yield (
                f"{called}: joint_diameter {diameter(part.joint_diameter)} is smaller than the body's outside_diameter "
                f"{diameter(part.outside_diameter)}; check both, or leave the joints of a flush pipe out"
            )
        if not 0.0 < part.joint_bore < part.joint_diameter:
            yield (
                f"{called}: joint_bore {diameter(part.joint_bore)} must be above 0 and smaller than the joint_diameter "
                f"{diameter(part.joint_diameter)}; check both"
            )
        if not 0.0 < part.joint_length < part.joint_spacing:
            yield (
                f"{called}: joint_length {length(part.joint_length)} must be above 0 and shorter than the joint_spacing "
                f"{length(part.joint_spacing)}, from one joint to the next; check both"
            )


def _bit(bit: Bit, home: UnitSet) -> Iterator[str]:
    if not bit.bit_diameter > 0.0:
        yield f"bit: bit_diameter {shown(bit.bit_diameter, 'diameter', home)} must be above 0 {home.unit('diameter')}; check it"
    if bit.nozzle_area <= 0.0:
        yield f"bit: nozzle_area {shown(bit.nozzle_area, 'area', home)} must be above 0 {home.unit('area')}; leave it out when it is not known"
    if bit.nozzle_area > 0.25 * pi * bit.bit_diameter**2 > 0.0:
        yield (
            f"bit: nozzle area {shown(bit.nozzle_area, 'area', home)} is larger than the bit of {shown(bit.bit_diameter, 'diameter', home)}; "
            f"nozzles are diameters in {home.unit('nozzle_diameter')}, nozzle_area is in {home.unit('area')}"
        )
    if not 0.0 < bit.discharge_coefficient <= 1.1:
        yield f"bit: discharge_coefficient {bit.discharge_coefficient:g} is outside 0 to 1.1; 0.95 is usual"


def _lengths(holes: tuple[Hole, ...], parts: tuple[Part, ...], home: UnitSet) -> Iterator[str]:
    given, bottom = sum(p.length for p in parts if not isnan(p.length)), holes[-1].bottom
    if given > bottom + ROUNDING:
        yield (
            f"string: its parts up to {label('part', parts, len(parts) - 1)} are {shown(given, 'length', home)} long, more than the hole to the "
            f"bottom of {label('hole', holes, len(holes) - 1)} at {shown(bottom, 'length', home)}; shorten a part, or leave the last length out: "
            "it then reaches the surface"
        )


def _reach(parts: tuple[Part, ...], bit_depth: float, home: UnitSet) -> Iterator[str]:
    """Only where every length is given: a last part without one always reaches."""
    given = sum(p.length for p in parts)
    if given < bit_depth - ROUNDING:
        yield (
            f"string: its parts up to {label('part', parts, len(parts) - 1)} are {shown(given, 'length', home)} long and do not reach from bit_depth "
            f"= {shown(bit_depth, 'length', home)} to the surface; leave the last length out, or give a bit_depth of at most the string's length"
        )


def _passage(holes: tuple[Hole, ...], parts: tuple[Part, ...], bit: Bit | None, bit_depth: float, home: UnitSet) -> Iterator[str]:
    """Everything below a hole's top must be smaller than it: it lies in it or has passed it."""
    diameter = partial(shown, quantity="diameter", home=home)
    low = bit_depth
    if bit is not None:
        for place, hole in enumerate(holes):
            if hole.top < low and bit.bit_diameter > hole.inside_diameter:
                yield (
                    f"bit: bit_diameter {diameter(bit.bit_diameter)} does not pass {label('hole', holes, place)}, {diameter(hole.inside_diameter)} "
                    f"inside, above the bit's depth {shown(low, 'length', home)}; check both diameters, or end the string above that hole"
                )
    for place, part in enumerate(parts):
        if low <= 0.0:
            return
        called, widest = label("part", parts, place), part.outside_diameter
        if part.joint_diameter > widest:
            called, widest = f"{called}: its joint_diameter", part.joint_diameter
        for number, hole in enumerate(holes):
            if hole.top < low - ROUNDING and widest >= hole.inside_diameter:
                yield (
                    f"{called} is {diameter(widest)} outside, not smaller than {label('hole', holes, number)}, "
                    f"{diameter(hole.inside_diameter)} inside, though it reaches down to {shown(low, 'length', home)}; "
                    "check both diameters, and that the parts are listed from the bit up"
                )
        low -= low if isnan(part.length) else part.length


def findings(holes: tuple[Hole, ...], parts: tuple[Part, ...], home: UnitSet) -> Iterator[str]:
    """What is possible but unlikely."""
    for place, hole in enumerate(holes):
        called = label("hole", holes, place)
        if hole.washout > MOST_WASHOUT:
            yield f"{called}: washout {100 * hole.washout:g} % of the diameter is above {100 * MOST_WASHOUT:g} %; is it percent of the volume?"
        if hole.eccentricity > MOST_ECCENTRICITY:
            yield f"{called}: eccentricity {hole.eccentricity:g} is above {MOST_ECCENTRICITY:g}, where the annulus formulas are not validated"
        if hole.kind == "casing" and place and holes[place - 1].kind in CASED:
            yield (
                f"{called}: a casing that begins at {shown(hole.top, 'length', home)}, below {label('hole', holes, place - 1)}; if it reaches the wellhead, "
                "it is what the string runs in up there: leave out what stands behind it; if not, it is a liner"
            )
        if hole.kind in CASED and place and holes[place - 1].kind == "open_hole":
            yield f"{called}: it stands below {label('hole', holes, place - 1)}, an open hole; is the order from the top down?"
    for place, part in enumerate(parts):
        if part.joint_bore > part.inside_diameter:
            yield (
                f"{label('part', parts, place)}: joint_bore {shown(part.joint_bore, 'diameter', home)} is wider than the body's bore "
                f"{shown(part.inside_diameter, 'diameter', home)}; are the two swapped?"
            )
    if len(parts) > 1 and parts[0].outside_diameter < parts[-1].outside_diameter and parts[0].length > sum(p.length for p in parts[1:-1]):
        yield (
            f"string: {label('part', parts, 0)} at the bit is thinner than {label('part', parts, len(parts) - 1)} at the surface; "
            "are the parts listed from the bit up?"
        )
