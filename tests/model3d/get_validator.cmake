# Puts the glTF validator into a folder of the build, unless it is there already.
#
#   cmake -D NPM=<npm> -D FOLDER=<where to> -P get_validator.cmake
cmake_minimum_required(VERSION 3.25)

set(version 2.0.0-dev.3.10)
set(package ${FOLDER}/node_modules/gltf-validator/package.json)
if(EXISTS ${package})
  file(READ ${package} described)
  string(JSON found ERROR_VARIABLE unreadable GET "${described}" version)
  if(found STREQUAL version)
    message(STATUS "gltf-validator ${version} is there.")
    return()
  endif()
endif()

file(MAKE_DIRECTORY ${FOLDER})
# A package of its own, so that npm looks in no folder above for where to install.
file(WRITE ${FOLDER}/package.json "{\"private\": true}\n")
execute_process(
  COMMAND ${NPM} install --no-audit --no-fund --no-package-lock --ignore-scripts gltf-validator@${version}
  WORKING_DIRECTORY ${FOLDER}
  RESULT_VARIABLE result OUTPUT_VARIABLE said ERROR_VARIABLE said)
if(NOT result EQUAL 0)
  message(FATAL_ERROR
    "gltf-validator ${version} could not be got from the npm registry: the exported models are NOT validated.\n"
    "It takes a network that reaches the registry npm is set up for. npm said:\n${said}")
endif()
