# Scalar and batch results must have the same bits, and NaN must pass through: flags that break this are refused.
set(refused_everywhere
    -ffast-math -Ofast -ffinite-math-only -funsafe-math-optimizations -fassociative-math -freciprocal-math
    -fno-signed-zeros -ffp-contract=fast -ffp-contract=on)
# The kernels choose their instruction set when they run, so nothing that is shipped may follow the build machine.
set(refused_in_kernels -march=native -mcpu=native -mtune=native)

function(lutum_refuse_flags reason)
  get_directory_property(options COMPILE_OPTIONS)
  set(given "${options}")
  foreach(config IN ITEMS "" _DEBUG _RELEASE _RELWITHDEBINFO _MINSIZEREL)
    separate_arguments(flags NATIVE_COMMAND "${CMAKE_CXX_FLAGS${config}}")
    list(APPEND given ${flags})
  endforeach()
  foreach(flag IN LISTS ARGN)
    if(flag IN_LIST given)
      message(FATAL_ERROR "The compiler flag ${flag} is refused: ${reason} Take it out of CMAKE_CXX_FLAGS or CXXFLAGS.")
    endif()
  endforeach()
endfunction()

lutum_refuse_flags("it changes results or lets NaN turn into a number." ${refused_everywhere})
if(LUTUM_BUILD_KERNELS)
  lutum_refuse_flags("the kernels choose their instruction set when they run." ${refused_in_kernels})
endif()
