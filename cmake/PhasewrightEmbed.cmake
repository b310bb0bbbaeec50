# Run as a script: cmake -DOUTPUT=FILE.cpp -DFILES=a|b|c -P PhasewrightEmbed.cmake
# Writes the bytes of the files as C++, for files/demo_models.hpp.
string(REPLACE "|" ";" files "${FILES}")
set(arrays "")
set(rows "")
set(count 0)
foreach(file IN LISTS files)
  get_filename_component(name "${file}" NAME)
  file(READ "${file}" bytes HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${bytes}")
  # A line of source for each line of the file, so that a compiler does not meet one very long line.
  string(REPLACE "'\\x0a'," "'\\x0a',\n    " bytes "${bytes}")
  string(APPEND arrays "constexpr char text_${count}[] = {\n    ${bytes}};\n\n")
  string(APPEND rows "    {\"${name}\", {text_${count}, sizeof text_${count}}},\n")
  math(EXPR count "${count} + 1")
endforeach()
file(WRITE "${OUTPUT}" "// Made from models/ by cmake/PhasewrightEmbed.cmake.
#include \"files/demo_models.hpp\"

#include <array>

namespace phasewright {

namespace {

${arrays}constexpr std::array<DemoModel, ${count}> models{{
${rows}}};

} // namespace

std::span<const DemoModel> demo_models() { return models; }

} // namespace phasewright
")
