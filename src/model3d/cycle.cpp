#include "model3d/cycle.hpp"

#include "bench/in_parallel.hpp"

#include <glm/common.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace phasewright {

namespace {

constexpr double step_deg = 0.25;
// Where something jumps, as a strand's bow may when it takes up a link, looks come no nearer to one another than this:
// a few of what a float of 12 s can tell apart (unit: s).
constexpr float nearest_s = 4e-6f;

// What tells one smooth stretch of the drive's motion from the next: which pins each strand has.
using Seating = std::vector<std::array<std::size_t, 2>>;

class Seatings {
public:
  explicit Seatings(const Drive& drive) : drive_(drive) {}

  Seating at(double crank_deg) {
    drive_.pose(crank_deg, pose_);
    Seating seating;
    for (const LoopPose& loop : pose_.loops)
      for (const StrandPose& strand : loop.strands)
        seating.push_back({strand.first_pin, static_cast<std::size_t>(strand.links)});
    return seating;
  }

private:
  const Drive& drive_;
  DrivePose pose_;
};

// Crank angles at which a roller is seated or let go: there the motion has a corner, which looks at even steps would
// have to come very near to.
std::vector<double> corners_deg(const Drive& drive) {
  constexpr double within_deg = 1e-8;
  Seatings seatings(drive);
  std::vector<double> corners;
  Seating before = seatings.at(0.0);
  double from_deg = 0.0;
  for (int i = 1; i <= static_cast<int>(cycle_deg / step_deg);) {
    const double to_deg = step_deg * i;
    if (seatings.at(to_deg) == before) {
      from_deg = to_deg;
      ++i;
      continue;
    }
    double low_deg = from_deg, high_deg = to_deg;
    while (high_deg - low_deg > within_deg) {
      const double middle_deg = (low_deg + high_deg) / 2.0;
      (seatings.at(middle_deg) == before ? low_deg : high_deg) = middle_deg;
    }
    corners.push_back(high_deg);
    before = seatings.at(high_deg);
    from_deg = high_deg; // there may be more in this step
  }
  return corners;
}

class Looker {
public:
  Looker(const SceneModel& model, const Mechanism& mechanism, const SceneOptions& options)
      : model_(model), mechanism_(mechanism), options_(options) {}

  [[nodiscard]] const Scene& scene(double crank_deg) {
    options_.crank_deg = crank_deg;
    model_.compose(mechanism_, nullptr, options_, scene_);
    return scene_;
  }

  [[nodiscard]] std::vector<Rigid> look(float at_s, const std::vector<Body>& bodies) {
    const Scene& seen = scene(crank_deg(at_s));
    std::vector<Rigid> places;
    places.reserve(bodies.size());
    for (const Body& body : bodies) {
      const Rigid first = rigid_of(seen.instances.at(body.instances.front()).placement);
      places.push_back(first);
      for (std::size_t i = 1; i < body.instances.size(); ++i) {
        const Rigid other = rigid_of(seen.instances[body.instances[i]].placement);
        if (apart_mm(relative(first, other), body.from_first[i], body.reach_mm) > 10.0 * same_place_mm)
          throw std::logic_error("what was taken for one body comes apart: " + seen.parts[body.part].name);
      }
    }
    return places;
  }

private:
  const SceneModel& model_;
  const Mechanism& mechanism_;
  SceneOptions options_;
  Scene scene_;
};

struct Look {
  float at_s = 0;
  std::vector<Rigid> places; // by body
};

bool joined_truly(const Look& from, const Look& middle, const Look& to, const std::vector<Body>& bodies) {
  const double share = (double{middle.at_s} - double{from.at_s}) / (double{to.at_s} - double{from.at_s});
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const Rigid line = between(from.places[i], to.places[i], share);
    if (!(apart_mm(line, middle.places[i], bodies[i].reach_mm) < looks_within_mm)) return false;
  }
  return true;
}

// As many looks after `from`, up to and with `to`, as make lines between them true.
std::vector<Look> looks_up_to(const Look& from, Look to, Looker& looker, const std::vector<Body>& bodies) {
  std::vector<Look> made;
  std::vector<Look> ahead{std::move(to)}; // the next one last
  while (!ahead.empty()) {
    const Look& last = made.empty() ? from : made.back();
    const float room_s = ahead.back().at_s - last.at_s;
    if (room_s >= nearest_s) {
      const float middle_s = last.at_s + room_s / 2.0f;
      Look middle{middle_s, looker.look(middle_s, bodies)};
      if (!joined_truly(last, middle, ahead.back(), bodies)) {
        ahead.push_back(std::move(middle));
        continue;
      }
    }
    made.push_back(std::move(ahead.back()));
    ahead.pop_back();
  }
  return made;
}

std::vector<float> first_times(const Drive& drive) {
  std::vector<float> times;
  for (int i = 0; i <= static_cast<int>(cycle_deg / step_deg); ++i) times.push_back(time_s(step_deg * i));
  for (const double deg : corners_deg(drive)) times.push_back(time_s(deg));
  std::ranges::sort(times);
  times.erase(std::unique(times.begin(), times.end()), times.end());
  return times;
}

// Takes away the figures that belong to one crank angle.
void keep_lasting_figures(std::span<const Scene> looks, Scene& scene) {
  for (std::size_t part = 0; part < scene.parts.size(); ++part)
    std::erase_if(scene.parts[part].figures, [&](const std::string& figure) {
      return !std::ranges::all_of(looks, [&](const Scene& look) {
        return std::ranges::find(look.parts[part].figures, figure) != look.parts[part].figures.end();
      });
    });
}

} // namespace

float time_s(double crank_deg) {
  return static_cast<float>(crank_deg * (cycle_s / cycle_deg));
}

double crank_deg(float time_s) {
  return double{time_s} * (cycle_deg / cycle_s);
}

Rigid between(const Rigid& a, const Rigid& b, double share) {
  return {glm::mix(a.at_mm, b.at_mm, share), glm::slerp(a.turn, b.turn, share)};
}

Cycle look_at_cycle(const SceneModel& model, const Mechanism& mechanism, const SceneOptions& options) {
  Looker looker(model, mechanism, options);
  // No whole number of teeth apart, and nearer to one another than a valve is open.
  constexpr int first_looks = 97;
  std::vector<Scene> scenes;
  for (int i = 0; i < first_looks; ++i) scenes.push_back(looker.scene(cycle_deg * i / first_looks));
  Cycle cycle;
  cycle.scene = scenes.front();
  keep_lasting_figures(scenes, cycle.scene);
  cycle.bodies = bodies_of(scenes, model.meshes());

  const std::vector<float> times = first_times(mechanism.drive());
  std::vector<Look> first(times.size());
  std::vector<std::vector<Look>> more(times.size()); // after the first look of that index
  constexpr std::size_t worth_a_thread = 16;
  in_parallel(times.size(), worth_a_thread, [&](std::size_t begin, std::size_t end) {
    Looker own(model, mechanism, options);
    for (std::size_t i = begin; i < end; ++i) first[i] = {times[i], own.look(times[i], cycle.bodies)};
  });
  in_parallel(times.size() - 1, worth_a_thread, [&](std::size_t begin, std::size_t end) {
    Looker own(model, mechanism, options);
    for (std::size_t i = begin; i < end; ++i) more[i] = looks_up_to(first[i], first[i + 1], own, cycle.bodies);
  });
  more.insert(more.begin(), {first.front()});
  for (std::vector<Look>& some : more)
    for (Look& look : some) {
      cycle.times_s.push_back(look.at_s);
      cycle.looks.push_back(std::move(look.places));
    }
  return cycle;
}

} // namespace phasewright
