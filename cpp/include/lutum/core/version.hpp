#pragma once
// The version of Lutum. It stands here only: CMake and pyproject.toml read these three lines.

#define LUTUM_VERSION_MAJOR 0
#define LUTUM_VERSION_MINOR 1
#define LUTUM_VERSION_PATCH 0
