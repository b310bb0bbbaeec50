#include "viewer/announcer.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cstdio>

namespace phasewright::viewer {

namespace {

void say(const std::string& line) {
  fmt::print("{}\n", line);
  std::fflush(stdout);
}

std::string least(const std::optional<LeastClearance>& clearance) {
  return clearance ? fmt::format("{:.3f}", clearance->least_mm) : "none";
}

} // namespace

void Announcer::frame(const App& app) {
  ++frames_;
  if (app.recorder().items != items_) {
    for (const auto& [name, rect] : app.recorder().items) {
      const auto before = items_.find(name);
      if (before == items_.end() || !(before->second == rect))
        say(fmt::format("item {} {:.0f} {:.0f} {:.0f} {:.0f}", name, rect.left, rect.top, rect.right, rect.bottom));
    }
    items_ = app.recorder().items;
  }
  const State& planned = app.bench().planned();
  const std::string figures =
      fmt::format("crank={:.1f} phase={:.3f} fitted={:.3f} inlet={} exhaust={}", wrap_720(app.view().crank_deg),
                  planned.phase.phase_deg, app.bench().fitted().phase.phase_deg, least(planned.standing.now.inlet),
                  least(planned.standing.now.exhaust));
  if (app.picture().draws() == draws_ && figures == figures_) return;
  if (app.picture().draws() != draws_) picture_ = fmt::format("{:016x}", app.picture().hash());
  draws_ = app.picture().draws();
  figures_ = figures;
  say(fmt::format("frame {} {} picture={}", frames_, figures_, picture_));
}

void Announcer::idle(int seconds) const {
  say(fmt::format("idle {} frames={}", seconds, frames_));
}

void Announcer::closed() const {
  say("closed");
}

} // namespace phasewright::viewer
