# Makes the Debian packages, unpacks the program's and runs it from there: nothing it needs may have been left out.
#
#   cmake -D BUILD=<build tree> -D SCRATCH=<folder> -D PICTURE=<ON when the program draws> -P debian.cmake
cmake_minimum_required(VERSION 3.25)

function(run)
  execute_process(COMMAND ${ARGN} WORKING_DIRECTORY ${SCRATCH}
    RESULT_VARIABLE result OUTPUT_VARIABLE output ERROR_VARIABLE output)
  if(NOT result EQUAL 0)
    list(JOIN ARGN " " words)
    message(FATAL_ERROR "${words}\nended with ${result}:\n${output}")
  endif()
  set(output "${output}" PARENT_SCOPE)
endfunction()

file(REMOVE_RECURSE ${SCRATCH})
file(MAKE_DIRECTORY ${SCRATCH})
run(${CMAKE_CPACK_COMMAND} --config ${BUILD}/CPackConfig.cmake -G DEB -B ${SCRATCH})
file(GLOB program_package ${SCRATCH}/phasewright_*.deb)
file(GLOB library_package ${SCRATCH}/phasewright-dev_*.deb)
if(NOT program_package OR NOT library_package)
  message(FATAL_ERROR "Two packages expected in ${SCRATCH}:\n${output}")
endif()

# Found by dpkg-shlibdeps, and said by us.
run(dpkg-deb --field ${program_package} Depends)
foreach(needed IN ITEMS libc6 libstdc\\+\\+6 libfmt libgl1-mesa-dri)
  if(NOT output MATCHES "(^|, )${needed}")
    message(FATAL_ERROR "The package does not depend on ${needed}: ${output}")
  endif()
endforeach()

run(dpkg-deb --extract ${program_package} ${SCRATCH}/unpacked)
set(program ${SCRATCH}/unpacked/usr/bin/phasewright)
run(${program} phase)
if(PICTURE)
  run(${program} picture -o ${SCRATCH}/drive.png)
  file(READ ${SCRATCH}/drive.png start LIMIT 8 HEX)
  if(NOT start STREQUAL "89504e470d0a1a0a")
    message(FATAL_ERROR "What was drawn is no PNG: it starts with ${start}")
  endif()
endif()
file(REMOVE_RECURSE ${SCRATCH})
