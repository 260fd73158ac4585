# The target `tidy`: clang-tidy over each source of the library, again when it or any header has changed.
#
# Nothing is compiled. Of the sources that the build makes from a template only the first is looked at.
find_program(CLANG_TIDY clang-tidy REQUIRED)

get_target_property(sources gateswing SOURCES)
set(generated ${sources})
list(FILTER sources EXCLUDE REGEX "^${CMAKE_BINARY_DIR}/")
list(FILTER generated INCLUDE REGEX "^${CMAKE_BINARY_DIR}/")
if(generated)
  list(GET generated 0 first_generated)
  list(APPEND sources ${first_generated})
endif()

file(GLOB_RECURSE headers CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/gateswing/*.h)
foreach(source IN LISTS sources)
  get_filename_component(name ${source} NAME)
  string(SHA1 stamp ${source})
  add_custom_command(
    OUTPUT tidy-${stamp}
    # The commands are GCC's, some of whose flags Clang does not know.
    COMMAND ${CLANG_TIDY} -p ${CMAKE_BINARY_DIR} --quiet --warnings-as-errors=*
            --extra-arg=-Wno-unused-command-line-argument ${source}
    COMMAND ${CMAKE_COMMAND} -E touch tidy-${stamp}
    DEPENDS ${source} ${headers} ${PROJECT_SOURCE_DIR}/.clang-tidy
    COMMENT "clang-tidy ${name}"
    VERBATIM)
  list(APPEND stamps tidy-${stamp})
endforeach()
add_custom_target(tidy DEPENDS ${stamps})
