# Boost's headers as the target Boost::headers, from the system or from the Python package boost-headers.
#
# CMake's own FindBoost is gone from version 3.30 on, and a header package brings no BoostConfig.cmake.
include(FindPackageHandleStandardArgs)

list(TRANSFORM CMAKE_PREFIX_PATH APPEND /boost_headers/include OUTPUT_VARIABLE BoostHeaders_packages)
find_path(BoostHeaders_INCLUDE_DIR boost/version.hpp PATHS ${BoostHeaders_packages})
mark_as_advanced(BoostHeaders_INCLUDE_DIR)
unset(BoostHeaders_packages)

if(BoostHeaders_INCLUDE_DIR)
  file(STRINGS ${BoostHeaders_INCLUDE_DIR}/boost/version.hpp BoostHeaders_line REGEX "define BOOST_LIB_VERSION")
  string(REGEX REPLACE ".*\"([0-9]+)_([0-9]+).*" "\\1.\\2" BoostHeaders_VERSION "${BoostHeaders_line}")
  unset(BoostHeaders_line)
endif()
find_package_handle_standard_args(BoostHeaders REQUIRED_VARS BoostHeaders_INCLUDE_DIR
                                  VERSION_VAR BoostHeaders_VERSION)

if(BoostHeaders_FOUND AND NOT TARGET Boost::headers)
  add_library(Boost::headers INTERFACE IMPORTED)
  set_target_properties(Boost::headers PROPERTIES INTERFACE_INCLUDE_DIRECTORIES ${BoostHeaders_INCLUDE_DIR})
endif()
