#include "mechanics/centres.hpp"

#include "geometry/angle.hpp"
#include "mechanics/chain_loop.hpp"
#include "mechanics/drive_layout.hpp"
#include "mechanics/over_tooth.hpp"

#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>

namespace phasewright {

namespace {

// (z2 - z1) / (2 pi), squared: the handbook's factor K.
double teeth_factor(int small_teeth, int large_teeth) {
  const double share = (large_teeth - small_teeth) / turn_rad;
  return share * share;
}

// Two sprockets with marks pointing anywhere: neither slack nor centres depend on them.
ChainLoop two_sprockets(double pitch_mm, int crank_teeth, int cam_teeth, int links, double centres_mm) {
  LoopDrawing drawing;
  drawing.pitch_mm = pitch_mm;
  drawing.links = links;
  drawing.sprockets = {seat_polygon({0.0, 0.0}, crank_teeth, pitch_mm),
                       seat_polygon({centres_mm, 0.0}, cam_teeth, pitch_mm)};
  drawing.first_seat_rad = {0.0, 0.0};
  drawing.arcs.resize(2);
  return ChainLoop(std::move(drawing));
}

// What the chain is longer by than its way, over a tooth. Only without guides and tensioner on the loose strand.
Extent excess_mm(const ChainLoop& loop) {
  return over_tooth([&](double rad) { return loop.lie(rad, {}).loose_strand.excess_mm; },
                    loop.drawing().sprockets[0].step_rad);
}

template <class Function>
double root(const Function& function, double low, double high) {
  std::uintmax_t steps = 200;
  const auto found =
      boost::math::tools::toms748_solve(function, low, high, boost::math::tools::eps_tolerance<double>(46), steps);
  return 0.5 * (found.first + found.second);
}

// The least number of links that reaches round the loop's sprockets without guides and tensioner.
int least_links(const Engine& engine, const Fitted& fitted, std::size_t loop) {
  LoopDrawing drawing = draw_loop(engine, fitted, {}, loop).drawing;
  for (std::vector<PathArc>& arcs : drawing.arcs) arcs.clear();
  drawing.shoe.reset();
  const int links = drawing.links;
  const double pitch_mm = drawing.pitch_mm;
  return links - static_cast<int>(std::floor(excess_mm(ChainLoop(std::move(drawing))).least / pitch_mm));
}

double worst_mark_error_teeth(const Engine& engine, const Drive& drive, std::size_t loop) {
  double worst = 0.0;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const std::optional<SprocketPlace> place = find_cam_sprocket(engine, engine.camshafts[i].name);
    if (!place || place->loop != loop) continue;
    const double error = drive.mark_error_teeth(i);
    if (std::fabs(error) > std::fabs(worst)) worst = error;
  }
  return worst;
}

LinksFit links_fit(Engine& engine, const Fitted& fitted, std::size_t loop, int links) {
  engine.loops[loop].chain.links = links;
  LinksFit fit;
  fit.links = links;
  fit.cranked = links % 2 != 0;
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  if (!drive) {
    fit.problems = drive.problems();
    return fit;
  }
  fit.fits = true;
  fit.slack_mm = drive->slack_mm(loop);
  if (engine.loops[loop].tensioner) fit.travel_mm = drive->travel_mm(loop);
  fit.mark_error_teeth = worst_mark_error_teeth(engine, *drive, loop);
  return fit;
}

// A link more is a pitch more of slack, at every angle of the crank: from one that fits all others follow.
void fill_from_one_that_fits(std::vector<LinksFit>& fits, double pitch_mm, bool tensioner) {
  const auto known = std::ranges::find_if(fits, &LinksFit::fits);
  if (known == fits.end()) return;
  for (LinksFit& fit : fits) {
    if (fit.fits) continue;
    fit.mark_error_teeth = known->mark_error_teeth;
    if (tensioner) continue;
    const double more_mm = (fit.links - known->links) * pitch_mm;
    fit.slack_mm = {known->slack_mm.least + more_mm, known->slack_mm.greatest + more_mm};
  }
}

CentreEffect before_of(const Engine& engine, const Drive& drive, std::size_t loop) {
  CentreEffect effect;
  effect.slack_before_mm = drive.slack_mm(loop);
  if (engine.loops[loop].tensioner) effect.travel_before_mm = drive.travel_mm(loop);
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) effect.phase_before_deg.push_back(drive.phase_deg(i));
  return effect;
}

Result<CentreEffect> effect_of(const Engine& engine, const Fitted& before, const Fitted& after, const Growth& growth,
                               std::size_t loop) {
  assert(loop < engine.loops.size());
  const Result<Drive> old = Drive::assemble(engine, before);
  if (!old) return old.problems();
  CentreEffect effect = before_of(engine, *old, loop);
  effect.phase_after_deg.resize(engine.camshafts.size());
  const Result<Drive> changed = Drive::assemble(engine, after, growth);
  if (!changed) {
    effect.problems = changed.problems();
    return effect;
  }
  CentreEffect now = before_of(engine, *changed, loop);
  effect.slack_after_mm = now.slack_before_mm;
  effect.travel_after_mm = now.travel_before_mm;
  effect.phase_after_deg = std::move(now.phase_before_deg);
  return effect;
}

} // namespace

std::vector<LinksFit> links_that_fit(const Engine& engine, const Fitted& fitted, std::size_t loop) {
  assert(loop < engine.loops.size());
  if (!layout_faults(engine, fitted, {}).empty()) return {};
  // Guides and a tensioner take more chain than the straight way, but no more than a share of it.
  constexpr int too_few = 2;
  constexpr int more_at_least = 4;
  constexpr double more_share = 0.08;
  const int least = least_links(engine, fitted, loop);
  const bool straight = engine.loops[loop].guides.empty() && !engine.loops[loop].tensioner;
  const int most = least + (straight ? 1 : std::max(more_at_least, static_cast<int>(more_share * least)));
  Engine with = engine;
  std::vector<LinksFit> fits;
  bool found = false;
  for (int links = std::max(1, least - too_few); found || links <= most; ++links) {
    fits.push_back(links_fit(with, fitted, loop, links));
    if (found && !fits.back().fits) break;
    found = found || fits.back().fits;
  }
  const auto first = std::ranges::find_if(fits, &LinksFit::fits);
  if (first != fits.end() && first - fits.begin() > too_few) fits.erase(fits.begin(), first - too_few);
  fill_from_one_that_fits(fits, fitted_pitch_mm(engine.loops[loop].chain, fitted, {}),
                          engine.loops[loop].tensioner.has_value());
  return fits;
}

double handbook_links(double pitch_mm, int small_teeth, int large_teeth, double centres_mm) {
  return 2.0 * centres_mm / pitch_mm + 0.5 * (small_teeth + large_teeth) +
         teeth_factor(small_teeth, large_teeth) * pitch_mm / centres_mm;
}

double tangent_polygon_links(double pitch_mm, int small_teeth, int large_teeth, double centres_mm) {
  const double b =
      std::asin((pitch_radius_mm(pitch_mm, large_teeth) - pitch_radius_mm(pitch_mm, small_teeth)) / centres_mm);
  return 2.0 * centres_mm / pitch_mm * std::cos(b) + 0.5 * (small_teeth + large_teeth) +
         b * (large_teeth - small_teeth) / pi;
}

Result<CentreFit> centres_for(double pitch_mm, int crank_teeth, int cam_teeth, int links) {
  assert(pitch_mm > 0.0 && crank_teeth >= 6 && cam_teeth >= 6);
  const int small = std::min(crank_teeth, cam_teeth);
  const int large = std::max(crank_teeth, cam_teeth);
  // The true length swings about the tangent polygon's by a few thousandths of a pitch, and centres count twice.
  constexpr double swing = 0.05;
  const double least_mm = pitch_radius_mm(pitch_mm, small) + pitch_radius_mm(pitch_mm, large) + swing * pitch_mm;
  const double least_pitches = tangent_polygon_links(pitch_mm, small, large, least_mm) + swing;
  if (!(links > least_pitches))
    return problem_at("chain.links", fmt::format("{}", links),
                      fmt::format("{} or more", static_cast<int>(std::floor(least_pitches)) + 1),
                      fmt::format("sprockets of {} and {} teeth would meet", crank_teeth, cam_teeth));
  CentreFit fit;
  fit.links = links;
  fit.polygon_mm = root([&](double mm) { return tangent_polygon_links(pitch_mm, small, large, mm) - links; }, least_mm,
                        0.5 * links * pitch_mm);
  fit.tight_mm =
      root([&](double mm) { return excess_mm(two_sprockets(pitch_mm, crank_teeth, cam_teeth, links, mm)).least; },
           fit.polygon_mm - swing * pitch_mm, fit.polygon_mm + swing * pitch_mm);
  const double straight = links - 0.5 * (small + large);
  const double under_root = straight * straight - 8.0 * teeth_factor(small, large);
  if (under_root >= 0.0) fit.handbook_mm = 0.25 * pitch_mm * (straight + std::sqrt(under_root));
  return fit;
}

Result<CentreEffect> centre_effect(const Engine& engine, const Fitted& fitted, double change_mm, std::size_t loop) {
  Fitted after = fitted;
  after.centre_change_mm += change_mm;
  return effect_of(engine, fitted, after, {}, loop);
}

Growth growth(const Warmth& warmth) {
  return {warmth.block_per_k * warmth.rise_k, warmth.chain_per_k * warmth.rise_k};
}

Result<CentreEffect> warmth_effect(const Engine& engine, const Fitted& fitted, const Warmth& warmth, std::size_t loop) {
  return effect_of(engine, fitted, fitted, growth(warmth), loop);
}

} // namespace phasewright
