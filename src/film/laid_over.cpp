#include "film/laid_over.hpp"

#include "mechanics/drive.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::film {

namespace {

double between(double from, double to, double share) {
  return from + (to - from) * share;
}

bool drives_a_further_chain(const Engine& engine, SprocketPlace place) {
  return std::ranges::any_of(engine.loops,
                             [&](const Loop& loop) { return loop.driven_from == sprocket_at(engine, place).name; });
}

bool key_differs(const Engine& engine, const Fitted& from, const Fitted& to) {
  return from.crank_key_deg != to.crank_key_deg || std::ranges::any_of(engine.camshafts, [&](const Camshaft& camshaft) {
           return cam_key_of(from, camshaft.name) != cam_key_of(to, camshaft.name);
         });
}

bool lay_differs(const Engine& engine, const Fitted& from, const Fitted& to) {
  return std::ranges::any_of(engine.camshafts, [&](const Camshaft& camshaft) {
    return lay_of(from, camshaft.name) != lay_of(to, camshaft.name);
  });
}

} // namespace

OnTheWay on_the_way(const Engine& engine, const Fitted& from, const Fitted& to, double share) {
  OnTheWay way{share < 1.0 ? from : to, std::vector<double>(engine.camshafts.size(), 0.0)};
  if (share <= 0.0 || share >= 1.0) return way;
  way.fitted.crank_key_deg = between(from.crank_key_deg, to.crank_key_deg, share);
  for (std::size_t k = 0; k < engine.camshafts.size(); ++k) {
    const std::string& name = engine.camshafts[k].name;
    way.fitted.cam_key_of[name] = between(cam_key_of(from, name), cam_key_of(to, name), share);
    way.fitted.slot_of[name] = between(slot_of(from, name), slot_of(to, name), share);
    const std::optional<SprocketPlace> place = find_cam_sprocket(engine, name);
    if (!place) continue;
    if (drives_a_further_chain(engine, *place)) {
      const Fitted& half = share < 0.5 ? from : to;
      way.fitted.lay_of[name] = lay_of(half, name);
      way.fitted.holes_of[name] = holes_of(half, name);
      continue;
    }
    // A tooth and a pair of holes move the phase by an exact amount each.
    Fitted there = from;
    there.lay_of[name] = lay_of(to, name);
    there.vernier = to.vernier;
    there.holes_of[name] = holes_of(to, name);
    const double whole_deg = Drive::set_phase_deg(engine, there, k) - Drive::set_phase_deg(engine, from, k);
    way.fitted.found_of[name] = found_of(from, name) + share * whole_deg;
    way.teeth_ahead[k] = share * (lay_of(to, name) - lay_of(from, name));
  }
  return way;
}

std::vector<std::string> not_so_on_the_bench(const Engine& engine, const Fitted& from, const Fitted& to) {
  std::vector<std::string> sentences;
  if (lay_differs(engine, from, to))
    sentences.emplace_back("the sprocket turns through its chain here; on the bench the chain comes off for it");
  if (key_differs(engine, from, to))
    sentences.emplace_back("the key's step grows here; on the bench it is another key");
  return sentences;
}

double share_of_the_way(int frame, int frames) {
  constexpr double resting = 0.15; // of the film, at either end
  const double at = static_cast<double>(frame) / (frames - 1);
  const double t = std::clamp((at - resting) / (1.0 - 2.0 * resting), 0.0, 1.0);
  return t * t * (3.0 - 2.0 * t);
}

} // namespace phasewright::film
