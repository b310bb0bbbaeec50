// Whether a drive closes: the slack of its loose strands and the travel of its tensioners over a tooth, and what to say
// when there is too little or too much.
#include "mechanics/drive.hpp"
#include "mechanics/over_tooth.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace phasewright {

namespace {

// A slack strand with more than this share of its span to spare hangs in loops; nobody lays a chain like that.
constexpr double most_slack_share = 0.25;

constexpr int looks = 48; // at a tooth

// How slack the chain hangs with the shoe fully out; not at all when the shoe would reach over the strand's end before.
double excess_fully_out_mm(const ChainLoop& loop, double driving_rad, const Shifts& shifts) {
  try {
    return loop.lie_at_travel(driving_rad, shifts, loop.drawing().shoe->travel_mm[1]).loose_strand.excess_mm;
  } catch (const NoWay&) {
    return 0.0;
  }
}

} // namespace

Problems Drive::measure(const Engine& engine) {
  Problems problems;
  for (std::size_t index = 0; index < stages_.size(); ++index) {
    try {
      const Problems more = measure_stage(engine, index);
      problems.insert(problems.end(), more.begin(), more.end());
    } catch (NoWay& fault) {
      fault.loop = index;
      throw;
    }
  }
  return problems;
}

Problems Drive::measure_stage(const Engine& engine, std::size_t index) {
  Problems problems = stages_[index].loop.drawing().shoe ? measure_travel(index) : measure_slack(engine, index);
  if (!problems.empty()) return problems;
  // With guides and a worn chain a sprocket may be wrapped by less than the straight layout shows; and turned backward
  // the chain must find its way as well.
  const Stage& stage = stages_[index];
  const double tooth_rad = stage.loop.drawing().sprockets[0].step_rad;
  std::array<bool, most_sprockets> told{};
  for (int look = 0; look < looks; ++look)
    for (const Turning turning : {Turning::forward, Turning::backward}) {
      const LoopLie lie = stage.loop.lie(tooth_rad * look / looks, stage.shifts, turning);
      // Between the looks the run changes by less than this share of a pitch.
      constexpr double least_run_share = 0.1;
      if (const double pitch_mm = stage.loop.drawing().pitch_mm; lie.least_run_mm < least_run_share * pitch_mm) {
        NoWay fault(no_straight_run(lie.least_run_mm, pitch_mm));
        fault.strand = lie.least_run_strand;
        throw fault;
      }
      const double pitches_short_mm = stage.loop.drawing().pitch_mm * std::max(0, 1 - lie.loose_strand.links);
      const double short_mm = std::fmax(pitches_short_mm, -lie.loose_strand.excess_mm);
      if (turning == Turning::backward && short_mm > 1e-6)
        return {problem_at(loop_key(index) + "guide", fmt::format("{:.2f} mm too little chain", short_mm),
                           "enough to pass the guides when the crank is turned backward",
                           "look at centre_mm and radius_mm of the guides")};
      for (std::size_t i = 0; i < stage.loop.count(); ++i) {
        if (lie.sprockets[i].last_pin >= lie.sprockets[i].first_pin || std::exchange(told[i], true)) continue;
        problems.push_back(problem_at(sprocket_key({index, i}) + ".centre_mm", "wrapped by less than a tooth",
                                      "at least a tooth", "guides or the tensioner lift the chain off it"));
      }
    }
  return problems;
}

Problems Drive::measure_slack(const Engine& engine, std::size_t index) {
  Stage& stage = stages_[index];
  const ChainLoop& loop = stage.loop;
  const LoopDrawing& drawing = loop.drawing();
  stage.slack_mm = over_tooth([&](double rad) { return loop.lie(rad, stage.shifts).loose_strand.excess_mm; },
                              drawing.sprockets[0].step_rad);
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

  // With the shoe fully back the chain must be long enough, fully out it must not be too long.
  double short_mm = 0.0;
  double long_mm = 0.0;
  for (int look = 0; look < looks; ++look) {
    const double rad = tooth_rad * look / looks;
    const LooseStrand back = loop.lie_at_travel(rad, stage.shifts, limits[0]).loose_strand;
    short_mm = std::fmax(short_mm, back.links < 1 ? drawing.pitch_mm * (1 - back.links) : -back.excess_mm);
    long_mm = std::fmax(long_mm, excess_fully_out_mm(loop, rad, stage.shifts));
  }
  const auto pitches = [&](double mm) { return static_cast<int>(std::ceil(mm / drawing.pitch_mm)); };
  if (short_mm > 0.0)
    return {problem_at(loop_key(index) + "chain.links", fmt::format("{} links", drawing.links),
                       fmt::format("{} or more", drawing.links + pitches(short_mm)),
                       fmt::format("the chain is {:.2f} mm too short with the tensioner fully back, at {:g} mm",
                                   short_mm, limits[0]))};
  if (long_mm > 0.0)
    return {problem_at(
        loop_key(index) + "tensioner.travel_mm", fmt::format("[{:g}, {:g}]", limits[0], limits[1]),
        "more at the far end",
        fmt::format("fully out, the tensioner leaves the chain {:.2f} mm slack: a new chain, more travel, or {} links",
                    long_mm, drawing.links - pitches(long_mm)))};
  stage.travel_mm =
      over_tooth([&](double rad) { return loop.lie(rad, stage.shifts).loose_strand.travel_mm; }, tooth_rad);
  return {};
}

} // namespace phasewright
