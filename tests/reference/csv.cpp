#include "reference/csv.hpp"

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace phasewright::testing {

std::vector<std::map<std::string, std::string>> read_table(const std::string& file_name) {
  const std::string path = std::string(PHASEWRIGHT_TEST_DIR) + "/reference/data/" + file_name;
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot read " + path);
  std::vector<std::string> heading;
  std::vector<std::map<std::string, std::string>> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string cell; std::getline(parts, cell, ',');) cells.push_back(cell);
    if (heading.empty()) {
      heading = cells;
      continue;
    }
    if (cells.size() != heading.size()) throw std::runtime_error(path + ": not as long as its heading: " + line);
    std::map<std::string, std::string>& row = rows.emplace_back();
    for (std::size_t i = 0; i < cells.size(); ++i) row[heading[i]] = cells[i];
  }
  return rows;
}

} // namespace phasewright::testing
