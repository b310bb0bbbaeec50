// What is written beside the picture.
#include "bench/figure_words.hpp"
#include "geometry/angle.hpp"
#include "scene/compose.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

// The strand's middle, just in front of the plates.
glm::dvec3 middle_of(const StrandPose& strand, const LoopPose& pose, const LoopLayout& loop) {
  const std::size_t pin = (strand.first_pin + static_cast<std::size_t>(strand.links) / 2) % pose.pins_mm.size();
  return {pose.pins_mm[pin], loop.z_mm + loop.chain.pin_half_mm};
}

void say_taut(const StrandPose& strand, const SceneOptions& options, bool counted, Label& label) {
  label.title = fmt::format("taut: {} links", strand.links);
  const std::optional<MarkCount>& count = options.pins_between_marks;
  if (counted && count &&
      wrap_720(options.crank_deg - count->from_crank_deg) <= count->to_crank_deg - count->from_crank_deg)
    label.figure = fmt::format("pins from mark to mark {}", count->pins);
  else
    label.figure = length_words(options, strand.span_mm);
  label.tone = Tone::accent;
}

// A tensioned strand says what its tensioner does where the shoe bears on it, else how long it is.
void say_tensioned(const StrandPose& strand, const std::optional<TensionerPose>& tensioner, const SceneOptions& options,
                   Label& label) {
  if (tensioner) {
    label.title = "tensioned: travel " + length_words(options, tensioner->travel_mm);
    label.figure = length_words(options, tensioner->travel_left_mm) + " left";
    if (tensioner->travel_left_mm < 0.0) label.tone = Tone::warning;
  } else {
    label.title = fmt::format("tensioned: {} links", strand.links);
    label.figure = length_words(options, strand.span_mm);
  }
}

void add_strand_labels(const SceneLayout& layout, const Posed& shown, std::size_t loop, const SceneOptions& options,
                       Scene& scene) {
  const LoopPose& pose = shown.pose.drive.loops[loop];
  // The strand that the shoe bears on; none = past the last.
  const std::size_t shoe = pose.tensioner && !pose.arcs.empty() ? pose.arcs.back().strand : pose.strands.size();
  for (std::size_t i = 0; i < pose.strands.size(); ++i) {
    const StrandPose& strand = pose.strands[i];
    Label label;
    label.key = fmt::format("strand {}.{}", loop, i);
    label.anchor_mm = middle_of(strand, pose, layout.loops[loop]);
    const bool enters_first = strand.to == 0; // what is counted along the taut side is counted here
    switch (strand.state) {
    case StrandState::taut:
      say_taut(strand, options, loop == 0 && enters_first && options.turning == Turning::forward, label);
      label.rank = enters_first ? 1 : 5;
      break;
    case StrandState::tensioned:
      say_tensioned(strand, shoe == i ? pose.tensioner : std::nullopt, options, label);
      label.rank = shoe == i ? 3 : 6;
      break;
    case StrandState::slack:
      label.title = "slack: " + length_words(options, strand.slack_mm);
      label.figure = "bows " + length_words(options, strand.bow_mm);
      label.rank = 3;
      break;
    }
    scene.labels.push_back(std::move(label));
  }
}

} // namespace

std::string length_words(const SceneOptions& options, double mm) {
  if (options.length_words) return options.length_words(mm);
  const std::string figure = fmt::format("{:.2f} mm", std::fabs(mm));
  return mm < 0.0 && figure != "0.00 mm" ? "\u2212" + figure : figure;
}

std::string clock_words(double clock_deg) {
  const int halves = static_cast<int>(std::lround(wrap_360(clock_deg) / 15.0)) % 24;
  const int hour = halves / 2 == 0 ? 12 : halves / 2;
  return halves % 2 == 0 ? fmt::format("{} o'clock", hour) : fmt::format("half past {}", hour);
}

Label key_label(const SceneLayout& layout, const Posed& shown, SprocketPlace place) {
  const SprocketLayout& sprocket = layout.sprocket(place);
  const SprocketState& state = shown.at(place);
  const double key_deg = key_deg_at(sprocket, shown.mechanism.engine(), shown.mechanism.fitted());
  const std::string shaft = shaft_words(layout, sprocket);
  Label label;
  label.key = shaft + " key";
  label.anchor_mm = around(state, state.key.drawn_hub_clock_deg, sprocket.bore_radius_mm, sprocket.hub_front_mm + 0.3);
  if (key_deg == 0.0) {
    label.title = fmt::format("{} key, straight", shaft);
    label.figure = clock_words(state.key.shaft_clock_deg);
  } else {
    label.title = fmt::format("{} key, {} step", shaft, key_angle_text(key_deg));
    const bool leads = key_deg > 0.0;
    label.figure = fmt::format("{} half {}: {}", sprocket.mount == Mount::crank ? "sprocket" : "shaft",
                               leads ? "leads" : "trails", leads ? "advances" : "retards");
    label.tone = Tone::accent;
  }
  label.rank = 2;
  return label;
}

void add_labels(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l) add_strand_labels(layout, shown, l, options, scene);
  for (const CamshaftLayout& camshaft : layout.camshafts)
    if (camshaft.sprocket && layout.sprocket(*camshaft.sprocket).keyed)
      scene.labels.push_back(key_label(layout, shown, *camshaft.sprocket));
  if (layout.sprocket({0, 0}).keyed) scene.labels.push_back(key_label(layout, shown, {0, 0}));
}

} // namespace phasewright
