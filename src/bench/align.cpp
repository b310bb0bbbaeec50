#include "bench/align.hpp"

#include "bench/fit_words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/strand.hpp"
#include "mechanics/uncertainty.hpp"
#include "parts/sprocket_sizes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

namespace phasewright {

namespace {

constexpr double cover = 2.0;           // k
constexpr double feeler_step_mm = 0.05; // from blade to blade of a common set; common practice, no source

double sum_of(const std::vector<double>& pieces_mm) {
  return std::accumulate(pieces_mm.begin(), pieces_mm.end(), 0.0);
}

// Thicknesses add up in thousandths; what rounding leaves is none.
double to_nanometre(double mm) {
  return std::round(mm * 1e6) / 1e6 + 0.0;
}

// Between two neighbours of a loop, along the common tangent of their pitch circles; 0 when they overlap.
double strand_length_mm(const Chain& chain, const Sprocket& a, const Sprocket& b) {
  const double radius_a_mm = pitch_radius_mm(chain.pitch_mm, a.teeth);
  const double radius_b_mm = pitch_radius_mm(chain.pitch_mm, b.teeth);
  const double across_mm = a.wrap == b.wrap ? radius_a_mm - radius_b_mm : radius_a_mm + radius_b_mm;
  const double centres_mm = length2(b.centre_mm - a.centre_mm);
  return std::sqrt(std::max(0.0, centres_mm * centres_mm - across_mm * across_mm));
}

double shortest_strand_mm(const Loop& loop) {
  const auto& sprockets = loop.sprockets;
  return std::min(strand_length_mm(loop.chain, sprockets.front(), sprockets[1]),
                  strand_length_mm(loop.chain, sprockets.front(), sprockets.back()));
}

std::string sprocket_words(const Loop& loop, const std::string& name) {
  return name == loop.sprockets.front().name ? "the crank sprocket" : fmt::format("the \"{}\" sprocket", name);
}

// What the crank sprocket is held against.
std::string other_words(const Loop& loop, const std::string& under) {
  if (under != loop.sprockets.front().name) return sprocket_words(loop, under);
  return loop.sprockets.size() == 2 ? sprocket_words(loop, loop.sprockets[1].name) : "the others";
}

std::vector<double> together(const std::vector<double>& a, const std::vector<double>& b) {
  std::vector<double> all = a;
  all.insert(all.end(), b.begin(), b.end());
  return all;
}

// `all` without one piece for each of `some`, thickest first.
ShimPack without(std::vector<double> all, const std::vector<double>& some) {
  for (const double piece_mm : some) all.erase(std::find(all.begin(), all.end(), piece_mm));
  std::ranges::sort(all, std::greater<>());
  return {all, to_nanometre(sum_of(all))};
}

// What to do behind the crank sprocket, from `behind_mm` and the two sets of pieces.
void choose_shims(Alignment& found, const std::vector<double>& fitted, const std::vector<double>& stock,
                  double u_piece_mm) {
  const double fitted_mm = sum_of(fitted);
  found.behind_after = without(fitted, {});
  found.left_mm = found.behind_mm;
  found.u_left_mm = found.u_gap_mm;
  if (std::fabs(found.behind_mm) + cover * found.u_gap_mm <= found.limit_mm) return;
  found.shim_mm = std::fabs(found.behind_mm);

  std::size_t moved = 0;
  const ShimPack pack = shim_pack(found.behind_mm > 0.0 ? stock : fitted, found.shim_mm);
  if (!pack.pieces_mm.empty()) {
    const bool add = found.behind_mm > 0.0;
    found.shims = add ? ShimsTo::add : ShimsTo::take_out;
    found.pack = pack;
    found.behind_after = add ? without(together(fitted, pack.pieces_mm), {}) : without(fitted, pack.pieces_mm);
    found.left_mm = to_nanometre(found.behind_mm + (add ? -1.0 : 1.0) * pack.thickness_mm);
    moved = pack.pieces_mm.size();
  }
  if (!fitted.empty() && std::fabs(found.left_mm) > found.limit_mm) {
    const ShimPack remade = shim_pack(together(fitted, stock), fitted_mm + found.behind_mm);
    const double left_mm = to_nanometre(found.behind_mm + fitted_mm - remade.thickness_mm);
    if (std::fabs(left_mm) < std::fabs(found.left_mm)) {
      found.shims = ShimsTo::remake;
      found.pack = found.behind_after = remade;
      found.left_mm = left_mm;
      moved = fitted.size() + remade.pieces_mm.size();
    }
  }
  found.u_left_mm = std::hypot(found.u_gap_mm, u_piece_mm * std::sqrt(static_cast<double>(moved)));
}

std::string stands_words(const Alignment& found, const Loop& loop) {
  if (found.behind_mm == 0.0)
    return fmt::format("The crank sprocket stands level with {}", other_words(loop, found.under));
  return fmt::format("The crank sprocket stands {} {} {}", size_words(found.behind_mm),
                     found.behind_mm > 0.0 ? "behind" : "proud of", other_words(loop, found.under));
}

std::string verdict_words(const Alignment& found, const Loop& loop, bool any_fitted) {
  const std::string stands = stands_words(found, loop);
  switch (found.shims) {
  case ShimsTo::leave:
    break;
  case ShimsTo::add:
    return fmt::format("{}: put {} of shims behind it, {}.", stands, size_words(found.pack.thickness_mm),
                       pieces_words(found.pack.pieces_mm));
  case ShimsTo::take_out:
    return fmt::format("{}: take {} of shims out from behind it, {}.", stands, size_words(found.pack.thickness_mm),
                       pieces_words(found.pack.pieces_mm));
  case ShimsTo::remake:
    return fmt::format("{}: take all shims out from behind it and put a new pack of {} in, {}.", stands,
                       size_words(found.pack.thickness_mm), pieces_words(found.pack.pieces_mm));
  }
  if (found.shim_mm == 0.0) return fmt::format("{}: leave the shims as they are.", stands);
  if (found.behind_mm < 0.0 && !any_fitted) return fmt::format("{}, and has no shims behind it to take out.", stands);
  return fmt::format("{}, and no shims {} bring it nearer.", stands,
                     found.behind_mm > 0.0 ? "on the shelf" : "that are in");
}

std::string recheck_words(const Alignment& found, const Loop& loop) {
  const double left_mm = std::fabs(found.left_mm);
  const double out_by_mm = cover * std::hypot(found.u_left_mm, found.u_gap_mm); // with the next reading's own
  const double goes_mm = std::floor((left_mm - out_by_mm) / feeler_step_mm + 1e-9) * feeler_step_mm;
  const double goes_not_mm = rounded_up(left_mm + out_by_mm, feeler_step_mm);
  const std::string under =
      found.left_mm > 0.0 ? sprocket_words(loop, loop.sprockets.front().name) : other_words(loop, found.under);
  if (goes_mm < feeler_step_mm) return fmt::format("a {:.2f} mm feeler should go under no sprocket", goes_not_mm);
  return fmt::format("a {:.2f} mm feeler should go under {}, {:.2f} mm not", goes_mm, under, goes_not_mm);
}

void add_reach_advice(Alignment& found) {
  if (std::fabs(found.left_mm) <= found.limit_mm) return;
  if (found.left_mm < 0.0 && found.behind_mm < 0.0)
    found.advice.push_back(fmt::format(
        "Shims alone do not cure it: the crank sprocket still stands {} proud. See that it is the right one, "
        "the right way round, and that nothing lies behind it; then it wants a thinner spacer behind it, or its "
        "back face turned down by so much, square to its bore, where the maker allows it.",
        size_words(found.left_mm)));
  else
    found.advice.push_back(fmt::format("The shims at hand leave it {} {}: get {} of shims, or what makes it up.",
                                       size_words(found.left_mm), found.left_mm > 0.0 ? "behind" : "proud",
                                       size_words(found.behind_after.thickness_mm + found.left_mm)));
}

void add_advice(Alignment& found, const Loop& loop) {
  if (std::fabs(found.tilt_deg) > found.tilt_limit_deg)
    found.advice.push_back(fmt::format(
        "{} out of square, {:.2f}° where {:.2f}° is allowed. Shims do not cure that: look for a burr or dirt behind "
        "the "
        "sprocket, a key that stands high, a bent plate or sprocket.",
        found.tilted ? "The sprockets stand" : "The sprockets may stand", std::fabs(found.tilt_deg),
        found.tilt_limit_deg));
  add_reach_advice(found);
  if (found.shims != ShimsTo::leave || !found.within)
    found.advice.emplace_back(
        "Shim the crank sprocket only, never a camshaft's: that would alter the camshaft's end float.");
  if (found.within && !found.surely)
    found.advice.emplace_back("It is within its limit by less than the figures may be out by: read the gap again after "
                              "fitting.");
  if (loop.sprockets.size() > 2)
    found.advice.push_back(
        fmt::format("The chain runs over {} sprockets: lay the straight-edge across each of them and the "
                    "crank sprocket. Where one alone is out, it is that one's fault and not the crank's.",
                    loop.sprockets.size()));
  found.advice.emplace_back(
      "Read it with every shaft pushed back against its thrust face: end float moves a sprocket as "
      "far.");
}

Problem under_problem(const Engine& engine, const std::string& under) {
  std::string names;
  for (const Sprocket& sprocket : engine.loops[0].sprockets)
    names += fmt::format("{}\"{}\"", names.empty() ? "" : ", ", sprocket.name);
  return problem_at("measured.gap_mm.under", fmt::format("\"{}\"", under),
                    fmt::format("a sprocket of the crank's own chain: {}", names));
}

} // namespace

const char* to_word(ShimsTo shims) {
  switch (shims) {
  case ShimsTo::leave:
    return "leave";
  case ShimsTo::add:
    return "add";
  case ShimsTo::take_out:
    return "take out";
  case ShimsTo::remake:
    return "remake";
  }
  return "";
}

Result<Alignment> align(const Engine& engine, const Build& build) {
  if (!build.measured.gap)
    return problem_at("measured.gap_mm", "nothing", "",
                      "lay a straight-edge across the sprockets and write the feeler's gap in the build: "
                      "gap_mm = { near = 0.30, far = 0.30, under = \"crank\" }");
  const GapReading& gap = *build.measured.gap;
  const Loop& loop = engine.loops[0];
  const auto sprocket = std::ranges::find(loop.sprockets, gap.under, &Sprocket::name);
  if (sprocket == loop.sprockets.end()) return under_problem(engine, gap.under);

  Alignment found;
  found.under = gap.under;
  const double u_feeler_mm = u_of_limit(build.instruments.feeler_mm);
  const double u_piece_mm = u_of_limit(build.instruments.caliper_mm);
  found.gap_mm = to_nanometre((gap.near_mm + gap.far_mm) / 2.0);
  found.since_mm = to_nanometre(sum_of(build.fitted.shim_mm) - sum_of(build.measured.with.shim_mm));
  // Shims since the reading: taken as one thickness, measured once.
  found.u_gap_mm = found.since_mm == 0.0 ? u_feeler_mm : std::hypot(u_feeler_mm, u_piece_mm);
  const double read_mm = sprocket == loop.sprockets.begin() ? found.gap_mm : -found.gap_mm;
  found.behind_mm = to_nanometre(read_mm - found.since_mm);
  found.limit_mm = loop.chain.alignment_mm;
  choose_shims(found, build.fitted.shim_mm, build.stock.shim_mm, u_piece_mm);

  const double width_mm = 2.0 * pitch_radius_mm(loop.chain.pitch_mm, sprocket->teeth);
  found.tilt_deg = degrees(std::atan((gap.far_mm - gap.near_mm) / width_mm));
  found.u_tilt_deg = degrees(std::sqrt(2.0) * u_feeler_mm / width_mm);
  found.tilt_limit_deg = degrees(1.0 / tilt_limit_per);
  const double tilt_deg = std::fabs(found.tilt_deg);
  found.tilted = tilt_deg > found.tilt_limit_deg && tilt_deg > cover * found.u_tilt_deg;

  found.side_play_mm = side_play_mm(loop.chain);
  found.strand_mm = shortest_strand_mm(loop);
  found.chain_deg = degrees(std::atan2(std::fabs(found.left_mm), found.strand_mm));
  const double room_mm = found.limit_mm - std::fabs(found.left_mm);
  const double room_deg = found.tilt_limit_deg - tilt_deg;
  found.within_now = std::fabs(found.behind_mm) <= found.limit_mm && room_deg >= 0.0;
  found.within = room_mm >= 0.0 && room_deg >= 0.0;
  found.surely = found.within ? room_mm >= cover * found.u_left_mm && room_deg >= cover * found.u_tilt_deg
                              : room_mm < -cover * found.u_left_mm || room_deg < -cover * found.u_tilt_deg;
  found.words =
      (room_deg < 0.0 ? "Cure the tilt first, then read the gap again: shims by this reading are a guess. " : "") +
      verdict_words(found, loop, !build.fitted.shim_mm.empty());
  found.recheck = recheck_words(found, loop);
  add_advice(found, loop);
  return found;
}

} // namespace phasewright
