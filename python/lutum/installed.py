"""Where the C++ headers and the CMake package lie that travel inside the wheel."""

from pathlib import Path

__all__ = ["get_cmake_dir", "get_include"]

_package = Path(__file__).parent


def get_include() -> str:
    """Folder to put on a C++ compiler's include path: ``-I`` for ``#include <lutum/lutum.hpp>``."""
    return str(_package / "include")


def get_cmake_dir() -> str:
    """Folder of ``lutumConfig.cmake``: pass it to CMake as ``-Dlutum_DIR=...``."""
    return str(_package / "share" / "cmake" / "lutum")
