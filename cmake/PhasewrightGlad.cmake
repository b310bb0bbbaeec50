# phasewright_glad: the OpenGL 3.3 core loader, generated at build time by the glad tool of the distribution from the
# specification that tool carries, so without a network. Include <glad/gl.h>.

find_program(PHASEWRIGHT_GLAD_PROGRAM glad DOC "The glad 2 loader generator")
if(NOT PHASEWRIGHT_GLAD_PROGRAM)
  message(FATAL_ERROR "The OpenGL loader generator 'glad' is missing: install python3-glad, or set PHASEWRIGHT_VIEWER=OFF.")
endif()

set(glad_dir ${PROJECT_BINARY_DIR}/glad)
add_custom_command(
  OUTPUT ${glad_dir}/src/gl.c ${glad_dir}/include/glad/gl.h ${glad_dir}/include/KHR/khrplatform.h
  COMMAND ${PHASEWRIGHT_GLAD_PROGRAM} --api gl:core=3.3 --extensions= --reproducible --quiet --out-path ${glad_dir} c
  COMMENT "Generating the OpenGL 3.3 core loader"
  VERBATIM)

add_library(phasewright_glad STATIC ${glad_dir}/src/gl.c ${glad_dir}/include/glad/gl.h)
# The file is good C++ too, which saves asking for a C compiler. Its warnings are not ours.
set_source_files_properties(${glad_dir}/src/gl.c PROPERTIES LANGUAGE CXX COMPILE_OPTIONS -w)
set_target_properties(phasewright_glad PROPERTIES POSITION_INDEPENDENT_CODE ON)
target_include_directories(phasewright_glad SYSTEM PUBLIC $<BUILD_INTERFACE:${glad_dir}/include>)
target_link_libraries(phasewright_glad PUBLIC ${CMAKE_DL_LIBS})
unset(glad_dir)
