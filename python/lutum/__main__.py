"""Tells a C++ build where the headers and the CMake package of this installation are: python -m lutum --cmakedir"""

import argparse
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m lutum", description=__doc__)
    parser.add_argument("--cmakedir", action="store_true", help="print the folder for lutum_DIR in CMake")
    parser.add_argument("--includes", action="store_true", help="print the folder to give the compiler with -I")
    chosen = parser.parse_args()
    folders = []
    if chosen.cmakedir:
        folders.append(HERE / "share" / "cmake" / "lutum")
    if chosen.includes:
        folders.append(HERE / "include")
    if not folders:
        parser.print_help()
    for folder in folders:
        if not folder.is_dir():
            print(f"{folder} is missing: this Lutum was not installed from a wheel", file=sys.stderr)
            return 1
        print(folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
