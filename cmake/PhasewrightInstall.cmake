# What an installation holds: the program with its resources, and the core library with its headers and CMake package.
# They are two components, and two Debian packages: phasewright and phasewright-dev.

include(CMakePackageConfigHelpers)

# The program.
install(TARGETS phasewright RUNTIME COMPONENT program)
install(DIRECTORY models shaders assets
  DESTINATION ${CMAKE_INSTALL_DATADIR}/phasewright COMPONENT program
  PATTERN "*.desktop" EXCLUDE)
install(FILES assets/phasewright.desktop DESTINATION ${CMAKE_INSTALL_DATADIR}/applications COMPONENT program)
install(FILES assets/phasewright.svg
  DESTINATION ${CMAKE_INSTALL_DATADIR}/icons/hicolor/scalable/apps COMPONENT program)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/phasewright RENAME copyright COMPONENT program)

# The library: the floors that know no graphics, and phasewright::core over them.
set(core_floors geometry parts mechanics bench files)
set(core_targets ${core_floors})
list(TRANSFORM core_targets PREPEND phasewright_)
install(TARGETS ${core_targets} phasewright_core EXPORT phasewright ARCHIVE COMPONENT library)
foreach(floor IN LISTS core_floors)
  install(DIRECTORY src/${floor} DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/phasewright COMPONENT library
    FILES_MATCHING PATTERN "*.hpp")
endforeach()
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/phasewright-dev RENAME copyright COMPONENT library)

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/phasewright)
install(EXPORT phasewright NAMESPACE phasewright:: FILE phasewrightTargets.cmake
  DESTINATION ${package_dir} COMPONENT library)
configure_package_config_file(cmake/phasewrightConfig.cmake.in ${PROJECT_BINARY_DIR}/phasewrightConfig.cmake
  INSTALL_DESTINATION ${package_dir} NO_SET_AND_CHECK_MACRO)
# Below 1.0 a minor version may change an interface.
write_basic_package_version_file(${PROJECT_BINARY_DIR}/phasewrightConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/phasewrightConfig.cmake ${PROJECT_BINARY_DIR}/phasewrightConfigVersion.cmake
  DESTINATION ${package_dir} COMPONENT library)

# Packages: cpack -G DEB, or -G TGZ.
set(CPACK_PACKAGE_NAME phasewright)
set(CPACK_PACKAGE_VENDOR "Phasewright contributors")
set(CPACK_PACKAGE_CONTACT "Phasewright contributors <phasewright@example.org>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "${PROJECT_DESCRIPTION}")
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_STRIP_FILES ON)
set(CPACK_GENERATOR DEB TGZ)
set(CPACK_COMPONENTS_ALL program library)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_ARCHIVE_COMPONENT_INSTALL ON)

set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME phasewright)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
# Loaded while running, so the linker does not know of them.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS "libegl1, libgl1, libgl1-mesa-dri, fonts-dejavu-core")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SUGGESTS ffmpeg) # which films in MP4 are made by
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION
"Phasewright computes where a chain-driven camshaft stands, why, and what would put
it right: keys, teeth, and the clearance between piston and valve. Its viewer shows
the whole drive turning; its commands print the same figures.")

set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME phasewright-dev)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_DEPENDS "libglm-dev, libfmt-dev, libboost-dev, libtomlplusplus-dev")
set(CPACK_COMPONENT_LIBRARY_DESCRIPTION
"The core of Phasewright for other programs: headers, static libraries and the
CMake package that provides phasewright::core.")
include(CPack)
