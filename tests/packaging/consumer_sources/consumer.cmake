# One program for lutum::lutum and one for each component named in COMPONENTS; CTest runs them.
enable_testing()
set(sources "${CMAKE_CURRENT_LIST_DIR}")

add_executable(plain "${sources}/plain.cpp")
target_link_libraries(plain PRIVATE lutum::lutum)
add_test(NAME plain COMMAND plain)

foreach(component IN LISTS COMPONENTS)
  add_executable(${component} "${sources}/${component}.cpp")
  target_link_libraries(${component} PRIVATE lutum::${component})
  # Every header of the component is included, as found through the target.
  get_target_property(all_headers lutum::${component} HEADER_SET)
  list(FILTER all_headers INCLUDE REGEX "/lutum/${component}/")
  list(TRANSFORM all_headers REPLACE ".*/(lutum/${component}/.*)" "#include <\\1>\n")
  list(JOIN all_headers "" includes)
  file(CONFIGURE OUTPUT ${component}_headers.hpp CONTENT "${includes}")
  target_compile_definitions(${component} PRIVATE COMPONENT_HEADERS=<${component}_headers.hpp>)
  target_include_directories(${component} PRIVATE "${CMAKE_CURRENT_BINARY_DIR}")
  add_test(NAME ${component} COMMAND ${component})
endforeach()
