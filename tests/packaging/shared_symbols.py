"""Fails when the kernels of two instruction sets share a symbol that the linker would merge.

    python shared_symbols.py NM TAG=OBJECT TAG=OBJECT ...

The linker keeps one copy of a weak symbol, perhaps the one compiled for a newer processor than the one it runs on.
So each weak symbol that an object defines must carry the tag of its own instruction set in its name: then neither
another set, nor the bindings, nor a program that links the kernels can hold the same one.
"""

import subprocess
import sys

WEAK_DEFINED = {"W", "V", "u"}  # weak function, weak object, unique object; lower-case w and v are undefined ones


def symbols(nm: str, file: str) -> list[tuple[str, str]]:
    """Kind and mangled name of every symbol of an object file."""
    listing = subprocess.run([nm, "--format=posix", file], check=True, capture_output=True, text=True).stdout
    return [(parts[1], parts[0]) for line in listing.splitlines() if len(parts := line.split()) >= 2]


def carries(name: str, tag: str) -> bool:
    """Whether a mangled name holds the namespace of this tag: its length, then the tag."""
    return f"{len(tag)}{tag}" in name


# No code: a pointer to the routine that unwinds exceptions, the same in every object.
HARMLESS = {"DW.ref.__gxx_personality_v0"}


def main(nm: str, pairs: list[str]) -> int:
    failures = 0
    for pair in pairs:
        tag, file = pair.split("=", 1)
        found = symbols(nm, file)
        weak = [name for kind, name in found if kind in WEAK_DEFINED]
        untagged = [name for name in weak if not carries(name, tag) and name not in HARMLESS]
        print(f"{tag}: {len(found)} symbols, {len(weak)} weak, {len(untagged)} of them without the tag")
        if not any(carries(name, tag) for _, name in found):
            print(f"  no symbol of {file} carries the tag: is it compiled with LUTUM_ISA_TAG={tag}?")
            failures += 1
        for name in untagged:
            print(f"  {name}")
        failures += len(untagged)
    return int(failures > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
