// Whether a drive closes: the slack of its loose strands and the travel of its tensioners over a tooth, and what to say
// when there is too little or too much.
#include "mechanics/drive.hpp"

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// A slack strand with more than this share of its span to spare hangs in loops; nobody lays a chain like that.
constexpr double most_slack_share = 0.25;

constexpr int looks = 48; // at a tooth, before the extremes are refined
constexpr int minima_bits = 40;

// Least and greatest of a smooth function that repeats after `period`, and where they are.
struct Extremes {
  Extent value;
  double least_at = 0;
  double greatest_at = 0;
};

template <class Function>
Extremes extremes(Function function, double period) {
  Extremes found;
  found.value.least = found.value.greatest = function(0.0);
  for (int i = 1; i < looks; ++i) {
    const double at = period * i / looks;
    const double value = function(at);
    if (value < found.value.least) found.least_at = at;
    if (value > found.value.greatest) found.greatest_at = at;
    found.value.least = std::fmin(found.value.least, value);
    found.value.greatest = std::fmax(found.value.greatest, value);
  }
  const double step = period / looks;
  const auto low =
      boost::math::tools::brent_find_minima(function, found.least_at - step, found.least_at + step, minima_bits);
  const auto high = boost::math::tools::brent_find_minima(
      [&](double at) { return -function(at); }, found.greatest_at - step, found.greatest_at + step, minima_bits);
  if (low.second < found.value.least) {
    found.value.least = low.second;
    found.least_at = low.first;
  }
  if (-high.second > found.value.greatest) {
    found.value.greatest = -high.second;
    found.greatest_at = high.first;
  }
  return found;
}

} // namespace

Problems Drive::measure(const Engine& engine) {
  Problems problems;
  for (std::size_t index = 0; index < stages_.size(); ++index) {
    const Problems more = stages_[index].loop.drawing().shoe ? measure_travel(index) : measure_slack(engine, index);
    problems.insert(problems.end(), more.begin(), more.end());
    if (!more.empty()) continue;
    // With guides and a worn chain a sprocket may be wrapped by less than the straight layout shows.
    const Stage& stage = stages_[index];
    const double tooth_rad = stage.loop.drawing().sprockets[0].step_rad;
    for (std::size_t i = 0; i < stage.loop.count(); ++i)
      for (int look = 0; look < looks; ++look) {
        const LoopLie lie = stage.loop.lie(tooth_rad * look / looks, stage.shifts);
        if (lie.sprockets[i].last_pin >= lie.sprockets[i].first_pin) continue;
        problems.push_back(problem_at(sprocket_key({index, i}) + ".centre_mm", "wrapped by less than a tooth",
                                      "at least a tooth", "guides or the tensioner lift the chain off it"));
        break;
      }
  }
  return problems;
}

Problems Drive::measure_slack(const Engine& engine, std::size_t index) {
  Stage& stage = stages_[index];
  const ChainLoop& loop = stage.loop;
  const LoopDrawing& drawing = loop.drawing();
  const Extremes found = extremes([&](double rad) { return loop.lie(rad, stage.shifts).loose_strand.excess_mm; },
                                  drawing.sprockets[0].step_rad);
  stage.slack_mm = found.value;
  const LooseStrand strand = loop.lie(0.0, stage.shifts).loose_strand;
  stage.greatest_bow_mm = std::sqrt(3.0 * strand.span_mm * std::fmax(0.0, stage.slack_mm.greatest) / 8.0);

  const std::string links = fmt::format("{} links", drawing.links);
  const std::string key = loop_key(index) + "chain.links";
  if (strand.links < 1 || stage.slack_mm.least < 0.0) {
    const int more = static_cast<int>(std::ceil(-stage.slack_mm.least / drawing.pitch_mm));
    return {problem_at(key, links, fmt::format("{} or more", drawing.links + std::max(more, 1)),
                       fmt::format("the chain is {:.2f} mm too short for these centres", -stage.slack_mm.least))};
  }
  if (stage.slack_mm.greatest > most_slack_share * strand.span_mm) {
    const int fewer = static_cast<int>(stage.slack_mm.least / drawing.pitch_mm);
    if (fewer == 0)
      return {problem_at(
          sprocket_key({index, engine.loops[index].sprockets.size() - 1}) + ".centre_mm",
          fmt::format("{:.1f} mm of slack in a strand of {:.1f} mm", stage.slack_mm.greatest, strand.span_mm),
          "centres farther apart", "one link less would not reach")};
    return {problem_at(key, links, fmt::format("{}", drawing.links - fewer),
                       fmt::format("the chain is {:.1f} mm too long for these centres", stage.slack_mm.greatest))};
  }
  return {};
}

Problems Drive::measure_travel(std::size_t index) {
  Stage& stage = stages_[index];
  const ChainLoop& loop = stage.loop;
  const LoopDrawing& drawing = loop.drawing();
  const std::array<double, 2>& limits = drawing.shoe->travel_mm;
  const double tooth_rad = drawing.sprockets[0].step_rad;
  const std::string links = fmt::format("{} links", drawing.links);

  // Where the travel is no root, the chain is so much too long or too short whatever the tensioner does.
  double short_mm = 0.0;
  double long_mm = 0.0;
  for (int look = 0; look < looks; ++look) {
    const LoopLie lie = loop.lie(tooth_rad * look / looks, stage.shifts);
    if (lie.loose_strand.links >= 1 && lie.loose_strand.excess_mm == 0.0) continue;
    const std::optional<double> back_mm = loop.excess_at_travel_mm(lie, limits[0]);
    const std::optional<double> out_mm = loop.excess_at_travel_mm(lie, limits[1]);
    if (lie.loose_strand.links < 1 || (back_mm && *back_mm < 0.0))
      short_mm = std::fmax(short_mm, back_mm ? -*back_mm : drawing.pitch_mm * (1 - lie.loose_strand.links));
    else
      long_mm = std::fmax(long_mm, out_mm.value_or(lie.loose_strand.excess_mm));
  }
  const std::string key = loop_key(index) + "chain.links";
  if (short_mm > 0.0)
    return {problem_at(
        key, links, fmt::format("{} or more", drawing.links + static_cast<int>(std::ceil(short_mm / drawing.pitch_mm))),
        fmt::format("the chain is {:.2f} mm too short with the tensioner fully back", short_mm))};
  if (long_mm > 0.0)
    return {problem_at(
        key, links, fmt::format("{} or fewer", drawing.links - static_cast<int>(std::ceil(long_mm / drawing.pitch_mm))),
        fmt::format("the chain is {:.2f} mm too long, however far the tensioner goes", long_mm))};

  const Extremes found =
      extremes([&](double rad) { return loop.lie(rad, stage.shifts).loose_strand.travel_mm; }, tooth_rad);
  stage.travel_mm = found.value;
  const std::string travel = loop_key(index) + "tensioner.travel_mm";
  const std::string allowed_now = fmt::format("[{:g}, {:g}]", limits[0], limits[1]);
  if (found.value.greatest > limits[1]) {
    const std::optional<double> slack_mm =
        loop.excess_at_travel_mm(loop.lie(found.greatest_at, stage.shifts), limits[1]);
    return {problem_at(travel, allowed_now, fmt::format("at least {:.2f} at the far end", found.value.greatest),
                       fmt::format("the tensioner is {:.2f} mm short of taking up the chain{}: fewer links, "
                                   "a new chain, or more travel",
                                   found.value.greatest - limits[1],
                                   slack_mm ? fmt::format(", which hangs {:.2f} mm slack", *slack_mm) : ""))};
  }
  if (found.value.least < limits[0]) {
    const std::optional<double> excess_mm = loop.excess_at_travel_mm(loop.lie(found.least_at, stage.shifts), limits[0]);
    return {problem_at(travel, allowed_now, fmt::format("{:.2f} or less at the near end", found.value.least),
                       fmt::format("the tensioner cannot go back {:.2f} mm further{}: more links, or less travel",
                                   limits[0] - found.value.least,
                                   excess_mm ? fmt::format(", the chain is {:.2f} mm too short", -*excess_mm) : ""))};
  }
  return {};
}

} // namespace phasewright
