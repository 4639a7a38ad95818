"""Adds up the JUnit files of a test run: python3 count.py FOLDER [FAILED_STAGE ...].

A stage that failed without a failing test of its own (it did not build, say) counts as one failure.
"""

import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path


def count(file: Path) -> tuple[int, int, int]:
    """Passed, failed and skipped tests of one file."""
    passed = failed = skipped = 0
    for case in ElementTree.parse(file).iter("testcase"):
        if case.find("failure") is not None or case.find("error") is not None:
            failed += 1
        elif case.find("skipped") is not None:
            skipped += 1
        else:
            passed += 1
    return passed, failed, skipped


def main(folder: Path, broken: list[str]) -> int:
    totals = [0, 0, 0]
    for file in sorted(folder.glob("*.xml")):
        counts = count(file)
        print(f"{file.stem:20} passed {counts[0]:5}   failed {counts[1]:5}   skipped {counts[2]:5}")
        totals = [total + more for total, more in zip(totals, counts, strict=True)]
    for stage in broken:
        file = folder / f"{stage}.xml"
        if not file.exists() or count(file)[1] == 0:
            print(f"{stage}: failed outside its tests")
            totals[1] += 1
    if totals[0] == 0:
        print("no test passed")
        totals[1] = max(totals[1], 1)
    print(f"{totals[0]} passed, {totals[1]} failed" + (f", {totals[2]} skipped" if totals[2] else ""))
    return int(totals[1] > 0)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
