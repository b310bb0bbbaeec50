# One static library for each floor of src/. A floor names the floors directly below it and gets their headers with
# them; nothing above can be included because nothing above is linked.

# Warnings, reproducible floating point and sanitizers: on our own targets only, never on those of a program that links us.
function(phasewright_compile_options target)
  target_compile_features(${target} PUBLIC cxx_std_20)
  set_target_properties(${target} PROPERTIES CXX_EXTENSIONS OFF)
  target_compile_options(${target} PRIVATE
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wdouble-promotion -Wnon-virtual-dtor
    -Wold-style-cast -Wcast-align -Wunused -Woverloaded-virtual
    -ffp-contract=off)
  if(PHASEWRIGHT_WERROR)
    target_compile_options(${target} PRIVATE -Werror)
  endif()
  if(PHASEWRIGHT_SANITIZE)
    target_compile_options(${target} PRIVATE -fsanitize=${PHASEWRIGHT_SANITIZE} -fno-omit-frame-pointer -fno-sanitize-recover=all)
    target_link_options(${target} PUBLIC -fsanitize=${PHASEWRIGHT_SANITIZE})
  endif()
endfunction()

# phasewright_floor(NAME SOURCES ... BELOW ... [PRIVATE_LIBRARIES ...] [PUBLIC_LIBRARIES ...])
function(phasewright_floor name)
  cmake_parse_arguments(PARSE_ARGV 1 arg "" "" "SOURCES;BELOW;PRIVATE_LIBRARIES;PUBLIC_LIBRARIES")
  set(target phasewright_${name})
  add_library(${target} STATIC ${arg_SOURCES})
  add_library(phasewright::${name} ALIAS ${target})
  set_target_properties(${target} PROPERTIES EXPORT_NAME ${name} POSITION_INDEPENDENT_CODE ON)
  phasewright_compile_options(${target})
  target_include_directories(${target} PUBLIC
    $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/src>
    $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}/phasewright>)
  list(TRANSFORM arg_BELOW PREPEND phasewright_)
  target_link_libraries(${target} PUBLIC ${arg_BELOW} ${arg_PUBLIC_LIBRARIES} PRIVATE ${arg_PRIVATE_LIBRARIES})
endfunction()
