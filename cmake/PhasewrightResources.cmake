# phasewright_resources: tells the program where models/, shaders/ and assets/ are. Installed, they stand at a path
# relative to the folder of the executable, so that a prefix can be moved; in a build tree, they are in the source tree.

file(RELATIVE_PATH from_executable
  ${CMAKE_INSTALL_FULL_BINDIR} ${CMAKE_INSTALL_FULL_DATADIR}/phasewright)

add_library(phasewright_resources INTERFACE)
target_compile_definitions(phasewright_resources INTERFACE
  PHASEWRIGHT_INSTALL_RESOURCES="${from_executable}"
  PHASEWRIGHT_SOURCE_RESOURCES="${PROJECT_SOURCE_DIR}")
unset(from_executable)
