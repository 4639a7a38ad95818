# What each component needs, for this build and for an installed Lutum alike.
# lutum_find_component(NAME) sets lutum_NAME_FOUND and, when that is false, lutum_NAME_MISSING (what to install).
macro(lutum_find_component name)
  set(lutum_${name}_FOUND FALSE)
  if("${name}" STREQUAL "uncertainty")
    # Eigen 3.4 and 5 both serve; Eigen's own version file refuses a later major version when asked for 3.4.
    find_package(Eigen3 CONFIG QUIET)
    if(TARGET Eigen3::Eigen AND NOT (Eigen3_VERSION AND Eigen3_VERSION VERSION_LESS 3.4))
      set(lutum_uncertainty_FOUND TRUE)
    endif()
    set(lutum_uncertainty_MISSING
      "lutum::uncertainty needs Eigen 3.4 or later; Debian: libeigen3-dev, PyPI: cmeel-eigen")
  elseif("${name}" STREQUAL "report")
    find_package(fmt CONFIG QUIET)
    if(TARGET fmt::fmt-header-only)
      set(lutum_report_FOUND TRUE)
    endif()
    set(lutum_report_MISSING
      "lutum::report needs fmt with the target fmt::fmt-header-only; Debian: libfmt-dev, PyPI: cmeel-fmt")
  else()
    set(lutum_${name}_MISSING
      "Lutum has no component ${name}; it has: uncertainty, report")
  endif()
endmacro()
