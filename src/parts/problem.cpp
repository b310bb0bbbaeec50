#include "parts/problem.hpp"

#include <fmt/format.h>

namespace phasewright {

std::string to_text(const Problem& problem) {
  std::string text = problem.file;
  if (problem.line > 0) text += fmt::format(":{}", problem.line);
  if (problem.line > 0 && problem.column > 0) text += fmt::format(":{}", problem.column);
  const auto add = [&text](const char* before, const std::string& words) {
    if (words.empty()) return;
    if (!text.empty()) text += before;
    text += words;
  };
  add(": ", problem.key);
  if (!problem.found.empty()) add(": ", "found " + problem.found);
  if (!problem.allowed.empty()) add(problem.found.empty() ? ": " : ", ", "allowed " + problem.allowed);
  add(problem.found.empty() && problem.allowed.empty() ? ": " : "; ", problem.advice);
  return text;
}

std::string to_text(const Problems& problems) {
  std::string text;
  for (const Problem& problem : problems) text += to_text(problem) + "\n";
  return text;
}

} // namespace phasewright
