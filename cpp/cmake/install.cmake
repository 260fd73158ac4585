# What `cmake --install` lays down: library, headers and the files behind find_package(gateswing).
include(CMakePackageConfigHelpers)
include(GNUInstallDirs)

set(config_dir ${CMAKE_INSTALL_LIBDIR}/cmake/gateswing)
configure_package_config_file(cmake/gateswingConfig.cmake.in ${CMAKE_CURRENT_BINARY_DIR}/gateswingConfig.cmake
                              INSTALL_DESTINATION ${config_dir})
write_basic_package_version_file(${CMAKE_CURRENT_BINARY_DIR}/gateswingConfigVersion.cmake
                                 COMPATIBILITY SameMinorVersion)

install(TARGETS gateswing EXPORT gateswingTargets COMPONENT development)
install(EXPORT gateswingTargets NAMESPACE gateswing:: DESTINATION ${config_dir} COMPONENT development)
install(DIRECTORY gateswing ${CMAKE_CURRENT_BINARY_DIR}/include/gateswing DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}
        COMPONENT development FILES_MATCHING PATTERN "*.h")
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/gateswingConfig.cmake
              ${CMAKE_CURRENT_BINARY_DIR}/gateswingConfigVersion.cmake
              ${CMAKE_CURRENT_SOURCE_DIR}/cmake/FindBoostHeaders.cmake
        DESTINATION ${config_dir} COMPONENT development)
