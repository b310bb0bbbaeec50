// Tables of figures kept as files under tests/reference/data, so that a test shows its checks and not pages of numbers.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace phasewright::testing {

// The rows of a table by column name; lines that begin with # say where the figures are from. A file that is missing or
// a row of another length than the heading is a fault of the tests and throws.
[[nodiscard]] std::vector<std::map<std::string, std::string>> read_table(const std::string& file_name);

} // namespace phasewright::testing
