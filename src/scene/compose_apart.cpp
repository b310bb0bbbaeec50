// What is added while the drive is apart: a line along each shaft, and the parts' names in the order they go on.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr double line_past_mm = 6.0; // in front of the last part

// Every sprocket, those further back first: the order in which loops go on.
std::vector<SprocketPlace> places_in_order(const SceneLayout& layout) {
  std::vector<SprocketPlace> places;
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) places.push_back({l, i});
  std::ranges::stable_sort(places, {}, [&](SprocketPlace place) { return layout.loops[place.loop].z_mm; });
  return places;
}

void add_lines(const SceneLayout& layout, const Posed& shown, Scene& scene) {
  const auto dashed = [&](glm::dvec3 from, glm::dvec3 to) {
    scene.strokes.push_back({{from, to}, Tone::ink, 1.2f, StrokeStyle::dashed});
  };
  for (const SprocketPlace place : places_in_order(layout)) {
    const SprocketLayout& sprocket = layout.sprocket(place);
    const SprocketState& state = shown.at(place);
    if (sprocket.in_front || sprocket.mount == Mount::idler) {
      const glm::dvec2 at{state.centre_mm};
      dashed({at, layout.plate_back_mm}, {at, shown.apart.end_mm + line_past_mm});
    }
    if (!sprocket.keyed) continue;
    // From the shaft's line to its key.
    const double clock_deg = state.key.shaft_clock_deg;
    const double forward_mm = sprocket.hub_front_mm + shown.apart.keys_mm - state.apart_mm;
    dashed(around(state, clock_deg, 0.0, forward_mm),
           around(state, clock_deg, sprocket.bore_radius_mm + shown.apart.keys_out_mm, forward_mm));
  }
}

// Names parts one after the other.
class Numbered {
public:
  Numbered(const Posed& shown, Scene& scene) : shown_(shown), scene_(scene) {}

  void add(std::string words, std::string figure, glm::dvec3 anchor_mm) {
    Label label;
    label.key = fmt::format("part {}", words);
    // Loops may have guides of one name.
    const auto taken = [&] { return std::ranges::find(scene_.labels, label.key, &Label::key) != scene_.labels.end(); };
    while (taken()) label.key += " too";
    label.title = fmt::format("{}  {}", ++number_, words);
    label.figure = std::move(figure);
    label.anchor_mm = anchor_mm;
    label.rank = 1 + number_;
    scene_.labels.push_back(std::move(label));
  }
  [[nodiscard]] const Posed& shown() const { return shown_; }

private:
  const Posed& shown_;
  Scene& scene_;
  int number_ = 0;
};

// The highest of the plate: over the highest of its sprockets.
glm::dvec3 plate_mm(const SceneLayout& layout, const Posed& shown) {
  glm::dvec2 top{0.0, -1e300};
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (const SprocketLayout& sprocket : layout.loops[l].sprockets) {
      const glm::dvec2 point =
          sprocket.centre_mm +
          glm::dvec2{0.0, sprocket.form.tip_radius_mm + 0.8 * shown.mechanism.engine().loops[l].chain.pitch_mm};
      if (point.y > top.y) top = point;
    }
  return {top, layout.plate_front_mm + shown.apart.plate_mm};
}

std::string shaft_name(const SceneLayout& layout, const Posed& shown, SprocketPlace place) {
  const SprocketLayout& sprocket = layout.sprocket(place);
  if (sprocket.mount == Mount::crank || sprocket.mount == Mount::camshaft) return shaft_words(layout, sprocket);
  return sprocket_at(shown.mechanism.engine(), place).name;
}

// What the maker gives for what holds a shaft's sprocket: "crank nut", "cam bolt".
const Fastener* fastener_of(const Engine& engine, const std::string& shaft) {
  for (const auto& [name, fastener] : engine.fasteners)
    if (name == shaft + " nut" || name == shaft + " bolt") return &fastener;
  return nullptr;
}

void name_behind(const SceneLayout& layout, Numbered& names) {
  const Posed& shown = names.shown();
  names.add("backing plate", "on the engine's front", plate_mm(layout, shown));
  const std::vector<SprocketPlace> places = places_in_order(layout);
  for (const SprocketPlace place : places) {
    const SprocketLayout& sprocket = layout.sprocket(place);
    if (!sprocket.keyed) continue;
    const SprocketState& state = shown.at(place);
    const Label key = key_label(layout, shown, place);
    names.add(key.title, key.figure,
              around(state, state.key.shaft_clock_deg,
                     sprocket.bore_radius_mm + sprocket.key_proud_mm + shown.apart.keys_out_mm,
                     sprocket.hub_front_mm + shown.apart.keys_mm - state.apart_mm));
  }
}

void name_loop(const SceneLayout& layout, std::size_t l, Numbered& names) {
  const Posed& shown = names.shown();
  const Loop& stated = shown.mechanism.engine().loops[l];
  const LoopLayout& loop = layout.loops[l];
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    // Beside its mark, which is on the face.
    const SprocketState& state = shown.at({l, i});
    names.add(stated.sprockets[i].name + " sprocket", fmt::format("{} teeth", stated.sprockets[i].teeth),
              around(state, 90.0, loop.sprockets[i].form.gap_bottom_radius_mm, loop.chain.rows_mm.back()));
  }
  const LoopPose& pose = shown.pose.drive.loops[l];
  const StrandPose& strand = pose.strands.front();
  const std::size_t pin = (strand.first_pin + static_cast<std::size_t>(strand.links) / 2) % pose.pins_mm.size();
  names.add("chain" + stage_words(layout, l), fmt::format("{} links", stated.chain.links),
            {pose.pins_mm[pin], loop.z_mm + loop.chain.pin_half_mm + shown.apart.loops[l].chain_mm});
  for (std::size_t i = 0; i < loop.rails.size() && i < pose.arcs.size(); ++i) {
    const RailLayout& rail = loop.rails[i];
    const bool shoe = i >= stated.guides.size();
    const Guide& guide = shoe ? stated.tensioner->shoe : stated.guides[i];
    names.add(shoe ? "tensioner" : "guide", fmt::format("{} to {}", guide.strand[0], guide.strand[1]),
              {pose.arcs[i].centre_mm + rail.radius_mm * unit_vector((rail.from_rad + rail.to_rad) / 2.0),
               loop.z_mm + shown.apart.loops[l].rails_mm});
  }
}

void name_nuts(const SceneLayout& layout, Numbered& names) {
  const Posed& shown = names.shown();
  const Engine& engine = shown.mechanism.engine();
  for (const bool nut : {false, true})
    for (const SprocketPlace place : places_in_order(layout)) {
      const SprocketLayout& sprocket = layout.sprocket(place);
      if (sprocket.nut == no_mesh) continue;
      const SprocketState& state = shown.at(place);
      const NutSizes sizes = nut_sizes(sprocket);
      const std::string shaft = shaft_name(layout, shown, place);
      const Fastener* fastener = fastener_of(engine, shaft);
      if (nut) {
        const double from_mm = sizes.from_mm + sizes.tab_mm + sizes.nut_mm + shown.apart.nuts_mm - state.apart_mm;
        names.add(shaft + " nut",
                  fastener != nullptr && fastener->torque_nm > 0.0 ? fmt::format("{:.0f} Nm", fastener->torque_nm)
                                                                   : "the maker's torque",
                  around(state, 60.0, sprocket.bore_radius_mm, from_mm));
      } else {
        names.add(shaft + " lock tab",
                  "bent up last", // over the nut once that is tight
                  around(state, 120.0, 1.2 * sprocket.bore_radius_mm,
                         sizes.from_mm + shown.apart.lock_tabs_mm - state.apart_mm));
      }
    }
}

} // namespace

void add_apart(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  add_lines(layout, shown, scene);
  if (!options.labels) return;
  Numbered names(shown, scene);
  name_behind(layout, names);
  std::vector<std::size_t> named;
  for (const SprocketPlace place : places_in_order(layout)) {
    if (std::ranges::find(named, place.loop) != named.end()) continue;
    named.push_back(place.loop);
    name_loop(layout, place.loop, names);
  }
  name_nuts(layout, names);
}

} // namespace phasewright
