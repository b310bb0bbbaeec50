#include "mechanics/drive.hpp"

#include "geometry/angle.hpp"

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Turns the crank makes while the camshaft and every tooth come back to where they were: crank angles are reduced by
// this much before anything is solved, so that the result repeats to the last bit.
constexpr double cycle_rad = 2.0 * turn_rad;

// A slack strand with more than this share of its span to spare hangs in loops; nobody lays a chain like that.
constexpr double most_slack_share = 0.25;

double worn_pitch_mm(const Engine& engine, const Fitted& fitted) {
  return engine.loops[0].chain.pitch_mm * (1.0 + fitted.elongation_percent / 100.0);
}

double hole_pair_deg(const Fitted& fitted) {
  if (fitted.vernier.hub_holes == 0 || fitted.vernier.sprocket_holes == 0) return 0.0;
  return wrap_180(360.0 * fitted.holes.hub_hole / fitted.vernier.hub_holes -
                  360.0 * fitted.holes.sprocket_hole / fitted.vernier.sprocket_holes);
}

Problems not_covered(const Engine& engine) {
  Problems problems;
  if (engine.loops[0].sprockets.size() != 2)
    problems.push_back(problem_at("sprocket", fmt::format("{} sprockets", engine.loops[0].sprockets.size()), "2",
                                  "drives with idlers or several camshafts are not covered yet"));
  if (!engine.loops[0].guides.empty())
    problems.push_back(problem_at("guide", "a guide", "none", "guides are not covered yet"));
  if (engine.loops[0].tensioner)
    problems.push_back(problem_at("tensioner", "a tensioner", "none", "tensioners are not covered yet"));
  for (std::size_t i = 0; i < engine.loops[0].sprockets.size(); ++i)
    if (engine.loops[0].sprockets[i].wrap == Wrap::outside)
      problems.push_back(problem_at(fmt::format("sprocket[{}].wrap", i + 1), "\"outside\"", "\"inside\"",
                                    "sprockets on the chain's back are not covered yet"));
  return problems;
}

Problems fitted_faults(const Fitted& fitted) {
  Problems problems;
  const auto finite = [&problems](const char* key, double value) {
    if (!std::isfinite(value)) problems.push_back(problem_at(key, fmt::format("{}", value), "a finite figure"));
  };
  finite("fitted.crank_key_deg", fitted.crank_key_deg);
  finite("fitted.cam_key_deg", fitted.cam_key_deg);
  finite("fitted.centre_change_mm", fitted.centre_change_mm);
  finite("fitted.slot_deg", fitted.slot_deg);
  if (!(fitted.elongation_percent >= 0.0 && fitted.elongation_percent <= 100.0))
    problems.push_back(
        problem_at("fitted.elongation_percent", fmt::format("{}", fitted.elongation_percent), "0 to 100 percent"));
  return problems;
}

// Mid-span bow of a strand with so much to spare, drawn as a parabola: length - span = 8 bow^2 / (3 span).
double parabola_bow_mm(double span_mm, double excess_mm) {
  return std::sqrt(3.0 * span_mm * std::max(0.0, excess_mm) / 8.0);
}

// Tip diameter, ISO 606 greatest: d + 1.25 p - d1.
double tip_radius_mm(const Chain& chain, int teeth) {
  return pitch_radius_mm(chain.pitch_mm, teeth) + (1.25 * chain.pitch_mm - chain.roller_mm) / 2.0;
}

Problems layout_faults(const Engine& engine, const Fitted& fitted) {
  Problems problems;
  const Sprocket& crank = engine.loops[0].sprockets[0];
  const Sprocket& cam = engine.loops[0].sprockets[1];
  if (cam.teeth != 2 * crank.teeth)
    problems.push_back(problem_at("sprocket[2].teeth", fmt::format("{}", cam.teeth), fmt::format("{}", 2 * crank.teeth),
                                  "a camshaft turns once for two turns of the crank"));
  const double centres_mm = length2(cam.centre_mm - crank.centre_mm) + fitted.centre_change_mm;
  const double least_mm =
      tip_radius_mm(engine.loops[0].chain, crank.teeth) + tip_radius_mm(engine.loops[0].chain, cam.teeth);
  if (!(centres_mm > least_mm))
    problems.push_back(problem_at("sprocket[2].centre_mm", fmt::format("{:.2f} mm between the centres", centres_mm),
                                  fmt::format("more than {:.2f} mm", least_mm), "the sprockets' teeth would meet"));
  const double pitch_mm = worn_pitch_mm(engine, fitted);
  const double circles_mm = pitch_radius_mm(pitch_mm, crank.teeth) + pitch_radius_mm(pitch_mm, cam.teeth);
  if (problems.empty() && !(centres_mm > circles_mm))
    problems.push_back(problem_at("sprocket[2].centre_mm", fmt::format("{:.2f} mm between the centres", centres_mm),
                                  fmt::format("more than {:.2f} mm", circles_mm), "the pitch circles would overlap"));
  return problems;
}

} // namespace

const char* to_word(StrandState state) {
  switch (state) {
  case StrandState::taut:
    return "taut";
  case StrandState::slack:
    return "slack";
  case StrandState::tensioned:
    return "tensioned";
  }
  return "";
}

Drive::Drive(const Engine& engine, const Fitted& fitted, const Growth&)
    : loop_(engine, worn_pitch_mm(engine, fitted), fitted.centre_change_mm),
      reference_(engine, engine.loops[0].chain.pitch_mm, 0.0), crank_key_rad_(radians(fitted.crank_key_deg)),
      cam_offset_rad_(radians(fitted.cam_key_deg + hole_pair_deg(fitted) + fitted.slot_deg)),
      clockwise_(engine.rotation == Rotation::clockwise), camshafts_(engine.camshafts.size()) {
  const double sign = clockwise_ ? 1.0 : -1.0;
  crank_mark_rad_ = radians(sign * engine.loops[0].sprockets[0].mark_clock_deg);
  cam_mark_rad_ = radians(sign * engine.loops[0].sprockets[1].mark_clock_deg);
  const int lay = lay_of(fitted, engine.loops[0].sprockets[1].camshaft);
  reference_shift_ = reference_.marked_shift();
  shift_ = reference_shift_ + lay;
  reference_turn_rad_ = reference_.lie(0.0, reference_shift_).cam_turn_rad;
  mark_error_deg_ = degrees(reference_turn_rad_);
  const double reference_lead_rad = reference_.mean_lead_rad();
  reference_lead_rad_ = reference_lead_rad + reference_shift_ * reference_.cam().step_rad;

  // Everything but wear and centres moves the cam by an exact amount; those two by the change of the tooth mean.
  phase_deg_ = set_phase_deg(engine, fitted);
  if (fitted.elongation_percent != 0.0 || fitted.centre_change_mm != 0.0)
    phase_deg_ += 2.0 * degrees(loop_.mean_lead_rad() - reference_lead_rad);
}

Problems Drive::measure_slack() {
  const double tooth_rad = loop_.crank().step_rad;
  const auto excess = [&](double rad) { return loop_.slack(loop_.lie(rad, shift_)).excess_mm; };
  constexpr int looks = 48;
  double least_at = 0.0;
  least_slack_mm_ = greatest_slack_mm_ = excess(0.0);
  for (int i = 1; i < looks; ++i) {
    const double rad = tooth_rad * i / looks;
    const double slack_mm = excess(rad);
    if (slack_mm < least_slack_mm_) least_at = rad;
    least_slack_mm_ = std::min(least_slack_mm_, slack_mm);
    greatest_slack_mm_ = std::max(greatest_slack_mm_, slack_mm);
  }
  const auto refined =
      boost::math::tools::brent_find_minima(excess, least_at - tooth_rad / looks, least_at + tooth_rad / looks, 40);
  least_slack_mm_ = std::min(least_slack_mm_, refined.second);

  const ChainLoop::Slack strand = loop_.slack(loop_.lie(0.0, shift_));
  const std::string found = fmt::format("{} links", loop_.links());
  if (strand.links < 1 || least_slack_mm_ < 0.0) {
    const int more = static_cast<int>(std::ceil(-least_slack_mm_ / loop_.pitch_mm()));
    return {problem_at("chain.links", found, fmt::format("{} or more", loop_.links() + std::max(more, 1)),
                       fmt::format("the chain is {:.2f} mm too short for these centres", -least_slack_mm_))};
  }
  if (greatest_slack_mm_ > most_slack_share * strand.span_mm) {
    const int fewer = static_cast<int>(least_slack_mm_ / loop_.pitch_mm());
    if (fewer == 0)
      return {problem_at("sprocket[2].centre_mm",
                         fmt::format("{:.1f} mm of slack in a strand of {:.1f} mm", greatest_slack_mm_, strand.span_mm),
                         "centres farther apart", "one link less would not reach")};
    return {problem_at("chain.links", found, fmt::format("{}", loop_.links() - fewer),
                       fmt::format("the chain is {:.1f} mm too long for these centres", greatest_slack_mm_))};
  }
  return {};
}

Result<Drive> Drive::assemble(const Engine& engine, const Fitted& fitted, const Growth& growth) {
  if (Problems problems = not_covered(engine); !problems.empty()) return problems;
  if (Problems problems = fitted_faults(fitted); !problems.empty()) return problems;
  if (Problems problems = layout_faults(engine, fitted); !problems.empty()) return problems;
  Drive drive(engine, fitted, growth);
  if (Problems problems = drive.measure_slack(); !problems.empty()) return problems;
  return drive;
}

double Drive::set_phase_deg(const Engine& engine, const Fitted& fitted, std::size_t) {
  const Sprocket& cam = engine.loops[0].sprockets[1];
  return 720.0 / cam.teeth * lay_of(fitted, cam.camshaft) + fitted.crank_key_deg +
         2.0 * (fitted.cam_key_deg + hole_pair_deg(fitted) + fitted.slot_deg);
}

double Drive::phase_deg(std::size_t) const {
  return phase_deg_;
}

double Drive::phase_deg(const Engine& engine, const Fitted& fitted, std::size_t) {
  return Drive(engine, fitted, {}).phase_deg_;
}

double Drive::camshaft_rad(double crank_rad, std::size_t, Turning) const {
  const double cycles = std::floor(crank_rad / cycle_rad);
  const double within_rad = crank_rad - cycles * cycle_rad;
  const ChainLoop::Lie lie = loop_.lie(within_rad + crank_key_rad_, shift_);
  return cycles * turn_rad + lie.cam_turn_rad + cam_offset_rad_ - reference_lead_rad_;
}

Extent Drive::slack_mm(std::size_t) const {
  return {least_slack_mm_, greatest_slack_mm_};
}

Extent Drive::travel_mm(std::size_t) const {
  return {};
}

double Drive::mark_error_deg(std::size_t) const {
  return mark_error_deg_;
}

double Drive::greatest_bow_mm(std::size_t) const {
  return parabola_bow_mm(loop_.slack(loop_.lie(0.0, shift_)).span_mm, greatest_slack_mm_);
}

double Drive::mark_error_teeth(std::size_t) const {
  return mark_error_deg_ / degrees(loop_.cam().step_rad);
}

glm::dvec2 Drive::to_world(glm::dvec2 running_plane_mm) const {
  return {clockwise_ ? running_plane_mm.y : -running_plane_mm.y, running_plane_mm.x};
}

DrivePose Drive::pose(double crank_deg, Turning turning) const {
  DrivePose made;
  pose(crank_deg, made, turning);
  return made;
}

void Drive::pose(double crank_deg, DrivePose& into, Turning) const {
  into.loops.resize(1);
  const double crank_rad = radians(crank_deg);
  const double cycles = std::floor(crank_rad / cycle_rad);
  const double within_rad = crank_rad - cycles * cycle_rad;
  const double sprocket_rad = within_rad + crank_key_rad_;
  const ChainLoop::Lie lie = loop_.lie(sprocket_rad, shift_);
  const ChainLoop::Slack slack = loop_.slack(lie);
  const double cam_rad = cycles * turn_rad + lie.cam_turn_rad;
  const double sign = clockwise_ ? 1.0 : -1.0;

  into.crank_deg = crank_deg;
  into.loops[0].sprockets.resize(2);
  into.loops[0].sprockets[0] = {crank_deg + degrees(crank_key_rad_),
                                wrap_360(sign * degrees(crank_mark_rad_ + sprocket_rad))};
  into.loops[0].sprockets[1] = {degrees(cam_rad - reference_turn_rad_),
                                wrap_360(sign * degrees(cam_mark_rad_ + lie.cam_turn_rad))};

  // Seen at this very crank angle: the same angle in the reference assembly is taken off, ripple and all.
  const double reference_rad = reference_.lie(within_rad, reference_shift_).cam_turn_rad;
  into.camshafts.resize(camshafts_);
  for (CamshaftPose& camshaft : into.camshafts)
    camshaft = {degrees(cam_rad + cam_offset_rad_ - reference_lead_rad_),
                2.0 * degrees(lie.cam_turn_rad + cam_offset_rad_ - reference_rad)};

  const int chain_links = loop_.links();
  const auto pin_index = [chain_links](long long number) {
    const long long rest = number % chain_links;
    return static_cast<std::size_t>(rest < 0 ? rest + chain_links : rest);
  };
  // The crank's seats repeat after a cycle, the chain's pins do not: a chain has no whole number of cycles in it.
  const long long carried = static_cast<long long>(cycles) * 2 * loop_.crank().teeth;
  const double bow_mm = parabola_bow_mm(slack.span_mm, slack.excess_mm);
  const int cam_wrapped = lie.cam_seat - slack.cam_seat;
  into.loops[0].strands.resize(2);
  into.loops[0].strands[0] = {0,
                              1,
                              slack.links,
                              StrandState::slack,
                              slack.span_mm,
                              slack.excess_mm,
                              bow_mm,
                              pin_index(slack.crank_seat - carried)};
  into.loops[0].strands[1] = {1,
                              0,
                              lie.taut.links,
                              StrandState::taut,
                              lie.taut.links * loop_.pitch_mm(),
                              0.0,
                              0.0,
                              pin_index(slack.crank_seat + slack.links + cam_wrapped - carried)};
  place_pins(lie, slack, carried, into);
}

} // namespace phasewright
