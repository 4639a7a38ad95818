# What every target compiled in this repository gets: strict C++20 and the project's warnings.
function(lutum_own_code)
  foreach(target IN LISTS ARGN)
    target_compile_features(${target} PRIVATE cxx_std_20)
    target_compile_options(${target} PRIVATE -Wall -Wextra -Wpedantic -Wshadow -Wconversion
      $<$<BOOL:${LUTUM_WARNINGS_AS_ERRORS}>:-Werror>)
    set_target_properties(${target} PROPERTIES CXX_EXTENSIONS OFF POSITION_INDEPENDENT_CODE ON)
  endforeach()
endfunction()

# For the kernels and the bindings: full speed with unchanged bits; a Debug build stays unoptimised.
function(lutum_fast_code)
  foreach(target IN LISTS ARGN)
    target_compile_options(${target} PRIVATE
      $<$<NOT:$<CONFIG:Debug>>:-O3> -fno-math-errno -fno-trapping-math -ffp-contract=off)
    set_target_properties(${target} PROPERTIES CXX_VISIBILITY_PRESET hidden VISIBILITY_INLINES_HIDDEN ON)
  endforeach()
endfunction()
