# cmake -D BENCH=<program> -P smoke.cmake: the benchmark runs through and every row has its figures.
execute_process(COMMAND ${BENCH} --quick OUTPUT_VARIABLE out ERROR_VARIABLE err RESULT_VARIABLE result)
if(NOT result EQUAL 0)
  message(FATAL_ERROR "${BENCH} --quick ended with ${result}:\n${out}${err}")
endif()
foreach(row IN ITEMS
    "taut strand, closed form" "taut strand, constraint solver" "camshaft angle" "pose with all pins" "pose, twin cams" "7200 poses" "pose of that layout"
    "clearance at one angle, demo" "clearance each 0.1 degree, demo" "clearance at 401 phases, demo" "least clearance, demo"
    "all least distances, demo" "clearance each 0.1 degree, pockets" "clearance at 401 phases, pockets" "plan, pockets" "phase of a worn drive" "plan, demo" "plan, full shelf"
    "spread of [0-9]+ builds" "the same on one thread" "lobe table" "animated model of a cycle")
  if(NOT out MATCHES "\n${row}[^\n]* [0-9.]+ +(ns|us|ms) +[0-9.]+ +[0-9.]+")
    message(FATAL_ERROR "No figures for '${row}' in:\n${out}")
  endif()
endforeach()
# NumPy may be absent, which is then said.
if(NOT out MATCHES "\nNumPy: (means [0-9.]+ apart|left out: )")
  message(FATAL_ERROR "No word of NumPy in:\n${out}")
endif()
message(STATUS "The benchmark's table is whole.")
