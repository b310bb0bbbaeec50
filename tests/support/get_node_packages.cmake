# Puts packages of the npm registry, by their exact versions, into a folder of the build, unless they are there already.
#
#   cmake -D NPM=<npm> -D FOLDER=<where to> -D PACKAGES=<name>@<version>,... -D WITHOUT=<what then is not checked>
#     -P get_node_packages.cmake
cmake_minimum_required(VERSION 3.25)

string(REPLACE "," ";" packages "${PACKAGES}")
set(missing)
foreach(wanted IN LISTS packages)
  string(REGEX MATCH "^(.+)@([^@]+)$" parts ${wanted})
  set(version ${CMAKE_MATCH_2})
  set(package ${FOLDER}/node_modules/${CMAKE_MATCH_1}/package.json)
  set(found "")
  if(EXISTS ${package})
    file(READ ${package} described)
    string(JSON found ERROR_VARIABLE unreadable GET "${described}" version)
  endif()
  if(NOT found STREQUAL version)
    list(APPEND missing ${wanted})
  endif()
endforeach()
if(NOT missing)
  message(STATUS "${PACKAGES}: there.")
  return()
endif()

file(MAKE_DIRECTORY ${FOLDER})
# A package of its own, so that npm looks in no folder above for where to install.
file(WRITE ${FOLDER}/package.json "{\"private\": true}\n")
execute_process(
  COMMAND ${NPM} install --no-audit --no-fund --no-package-lock --ignore-scripts ${packages}
  WORKING_DIRECTORY ${FOLDER}
  RESULT_VARIABLE result OUTPUT_VARIABLE said ERROR_VARIABLE said)
if(NOT result EQUAL 0)
  message(FATAL_ERROR
    "${PACKAGES} could not be got from the npm registry: ${WITHOUT}.\n"
    "It takes a network that reaches the registry npm is set up for. npm said:\n${said}")
endif()
