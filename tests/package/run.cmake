# Installs the library component into a scratch prefix, then configures, builds and runs a program of somebody else's
# against it.
#
#   cmake -D BUILD=<build tree> -D SCRATCH=<folder> -D COMPILER=<c++> -P run.cmake
cmake_minimum_required(VERSION 3.25)

function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE result OUTPUT_VARIABLE output ERROR_VARIABLE output)
  if(NOT result EQUAL 0)
    list(JOIN ARGN " " words)
    message(FATAL_ERROR "${words}\nended with ${result}:\n${output}")
  endif()
  set(output "${output}" PARENT_SCOPE)
endfunction()

file(REMOVE_RECURSE ${SCRATCH})
run(${CMAKE_COMMAND} --install ${BUILD} --prefix ${SCRATCH}/prefix --component library)

# The package must not point back into the trees it was made from.
file(GLOB_RECURSE package_files ${SCRATCH}/prefix/*.cmake)
foreach(file IN LISTS package_files)
  file(READ ${file} text)
  string(FIND "${text}" "${BUILD}" place)
  if(NOT place EQUAL -1)
    message(FATAL_ERROR "${file} names the build tree")
  endif()
endforeach()

# Moved after installing: a prefix may be packed up and unpacked elsewhere.
file(RENAME ${SCRATCH}/prefix ${SCRATCH}/moved)
run(${CMAKE_COMMAND} -S ${CMAKE_CURRENT_LIST_DIR}/consumer -B ${SCRATCH}/build -G Ninja -D CMAKE_BUILD_TYPE=Release
  -D CMAKE_CXX_COMPILER=${COMPILER} -D CMAKE_PREFIX_PATH=${SCRATCH}/moved -D CMAKE_FIND_USE_PACKAGE_REGISTRY=OFF)
run(${CMAKE_COMMAND} --build ${SCRATCH}/build)
run(${SCRATCH}/build/consumer)
message(STATUS "${output}")
if(NOT output MATCHES "^[1-9][0-9]* pins, [1-9][0-9]* pistons")
  message(FATAL_ERROR "The consumer said: ${output}")
endif()
file(REMOVE_RECURSE ${SCRATCH})
