#include "bench/history.hpp"

#include <utility>

namespace phasewright {

Build put_by(Build build, const std::string& date, const std::string& note) {
  if (!has_readings(build.measured)) return build;
  Measured& set = build.measured;
  if (set.date.empty()) set.date = date;
  if (set.note.empty()) set.note = note;
  build.history.push_back(std::move(set));
  build.measured = Measured{};
  build.measured.with = build.fitted;
  return build;
}

} // namespace phasewright
