// The screen as a learner works it: turning by keys, and reading what stands beside a word.
#pragma once

#include "viewer/driver.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace phasewright::viewer {

// With the lessons of the tree, on their page. Nothing is kept without a folder.
[[nodiscard]] ViewerOptions learning_options(const std::filesystem::path& state = {});
// By whole teeth, degrees and tenths.
void turn(Driver& driver, double by_deg);
[[nodiscard]] std::vector<double> figures_in(const std::string& text);
// What stands on the line of those words, right of them. Fails the test when nothing does.
[[nodiscard]] std::string beside(Driver& driver, const std::string& panel, const std::string& words);
// Likewise, and fails unless it is one figure.
[[nodiscard]] double figure_beside(Driver& driver, const std::string& panel, const std::string& words);

} // namespace phasewright::viewer
