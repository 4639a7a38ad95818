# Eigen and fmt: found on the system or beside the Python packages of this build, fetched only when allowed.
include(LutumComponents)
set(CMAKE_FIND_PACKAGE_TARGETS_GLOBAL TRUE) # so that a project that adds this folder can link the components

if(LUTUM_BUILD_PYTHON)
  # The wheels cmeel-eigen and cmeel-fmt install below <site-packages>/cmeel.prefix, where CMake does not look.
  find_package(Python 3.11 REQUIRED COMPONENTS Interpreter Development.Module NumPy)
  execute_process(
    COMMAND "${Python_EXECUTABLE}" -c
      "import pathlib, sys; print(*(f for p in sys.path if (f := pathlib.Path(p, 'cmeel.prefix')).is_dir()), sep=';')"
    OUTPUT_VARIABLE cmeel_prefixes OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
  list(APPEND CMAKE_PREFIX_PATH ${cmeel_prefixes})
endif()

# Both are used as headers only: no build of theirs is added, so the install rules below never meet their targets.
function(lutum_fetch target url include_folder definition)
  include(FetchContent)
  string(REPLACE ":" "_" name "${target}")
  FetchContent_Declare(${name} URL "${url}" SOURCE_SUBDIR headers-only)
  FetchContent_MakeAvailable(${name})
  FetchContent_GetProperties(${name} SOURCE_DIR folder)
  add_library(${target} INTERFACE IMPORTED GLOBAL)
  target_include_directories(${target} INTERFACE "${folder}/${include_folder}")
  target_compile_definitions(${target} INTERFACE ${definition})
endfunction()

foreach(component IN ITEMS uncertainty report)
  lutum_find_component(${component})
endforeach()
if(LUTUM_FETCH_DEPENDENCIES AND NOT lutum_uncertainty_FOUND)
  lutum_fetch(Eigen3::Eigen https://gitlab.com/libeigen/eigen/-/archive/3.4.0/eigen-3.4.0.tar.gz "." "")
  set(lutum_uncertainty_FOUND TRUE)
endif()
if(LUTUM_FETCH_DEPENDENCIES AND NOT lutum_report_FOUND)
  lutum_fetch(fmt::fmt-header-only
    https://github.com/fmtlib/fmt/archive/refs/tags/11.2.0.tar.gz
    include FMT_HEADER_ONLY=1)
  set(lutum_report_FOUND TRUE)
endif()

foreach(component IN ITEMS uncertainty report)
  if(NOT lutum_${component}_FOUND AND (LUTUM_BUILD_TESTS OR LUTUM_BUILD_PYTHON OR LUTUM_BUILD_EXAMPLES))
    message(FATAL_ERROR "${lutum_${component}_MISSING}; or allow a download with -DLUTUM_FETCH_DEPENDENCIES=ON")
  elseif(NOT lutum_${component}_FOUND)
    message(STATUS "Not usable in this build: ${lutum_${component}_MISSING}")
  endif()
endforeach()
