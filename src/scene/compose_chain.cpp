// Chains with the state of each strand, guides and tensioners.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

std::vector<std::string> strand_figures(const StrandPose& strand, const LoopPose& loop, const SceneOptions& options) {
  std::vector<std::string> figures{fmt::format("{} links", strand.links), length_words(options, strand.span_mm)};
  if (strand.state == StrandState::slack) {
    figures.push_back(length_words(options, strand.slack_mm) + " slack");
    figures.push_back("bows " + length_words(options, strand.bow_mm));
  } else if (strand.state == StrandState::tensioned && loop.tensioner) {
    figures.push_back("tensioner's travel " + length_words(options, loop.tensioner->travel_mm));
  }
  return figures;
}

// A line beside the strand, outside the loop, in front of the plates: solid where it is taut, dashed where it is slack,
// dotted where the tensioner keeps it straight.
Stroke strand_line(const StrandPose& strand, const LoopPose& pose, const LoopLayout& layout, double z_mm,
                   double aside_mm) {
  Stroke line;
  line.width_px = strand.state == StrandState::slack ? 1.6f : 2.4f;
  line.tone = strand.state == StrandState::taut    ? Tone::accent
              : strand.state == StrandState::slack ? Tone::quiet
                                                   : Tone::ink;
  line.style = strand.state == StrandState::taut    ? StrokeStyle::solid
               : strand.state == StrandState::slack ? StrokeStyle::dashed
                                                    : StrokeStyle::dotted;
  const std::size_t count = pose.pins_mm.size();
  const auto pin = [&](int k) { return pose.pins_mm[(strand.first_pin + static_cast<std::size_t>(k)) % count]; };
  for (int k = 0; k <= strand.links; ++k) {
    const glm::dvec2 way = pin(std::min(k + 1, strand.links)) - pin(std::max(k - 1, 0));
    line.points_mm.emplace_back(pin(k) + left_of(way) * (aside_mm / length2(way)),
                                z_mm + layout.chain.pin_half_mm + 0.3);
  }
  return line;
}

// The parts that each pin and the link it starts belong to, and whether its strand is taut.
struct LinkPart {
  std::size_t pin;
  std::size_t plates;
  bool taut;
};

// Each pin and link by itself.
std::vector<LinkPart> pin_parts(const SceneLayout& layout, std::size_t loop, std::string chain, std::size_t count,
                                Scene& scene) {
  const std::string stage = stage_words(layout, loop);
  std::vector<LinkPart> parts;
  for (std::size_t i = 1; i <= count; ++i) {
    const std::size_t pin = add_part(scene, fmt::format("chain pin {}{}", i, stage), {});
    parts.push_back({pin, add_part(scene, fmt::format("chain link {}{}", i, stage), {}), false});
    for (const std::size_t part : {parts.back().pin, parts.back().plates}) scene.parts[part].within = {chain};
  }
  return parts;
}

std::vector<LinkPart> link_parts(const SceneLayout& layout, const Posed& posed, std::size_t loop,
                                 const SceneOptions& options, Scene& scene) {
  const Chain& size = posed.mechanism.engine().loops[loop].chain;
  const std::vector<Sprocket>& sprockets = posed.mechanism.engine().loops[loop].sprockets;
  const LoopPose& pose = posed.pose.drive.loops[loop];
  // The pitch as standards and catalogues have it, whatever lengths are written in.
  std::vector<std::string> figures{fmt::format("{} links of {:.3f} mm", size.links, size.pitch_mm)};
  if (posed.mechanism.fitted().elongation_percent != 0.0)
    figures.push_back(fmt::format("worn {:.2f} %", posed.mechanism.fitted().elongation_percent));
  const std::string chain = size.iso606.empty() ? "chain" : fmt::format("chain {}", size.iso606);
  const std::size_t count = pose.pins_mm.size();
  if (options.every_part) return pin_parts(layout, loop, chain + stage_words(layout, loop), count, scene);
  const std::size_t seated = add_part(scene, chain + stage_words(layout, loop), std::move(figures));
  std::vector<LinkPart> parts(count, {seated, seated, false});
  for (const StrandPose& strand : pose.strands) {
    std::string name = fmt::format("{} strand", to_word(strand.state));
    if (pose.strands.size() > 2 || layout.loops.size() > 1)
      name += fmt::format(", {} to {}", sprockets[strand.from].name, sprockets[strand.to].name);
    const std::size_t part = add_part(scene, std::move(name), strand_figures(strand, pose, options));
    for (int k = 0; k < strand.links; ++k)
      parts[(strand.first_pin + static_cast<std::size_t>(k)) % count] = {part, part, strand.state == StrandState::taut};
  }
  return parts;
}

} // namespace

void add_chain(const SceneLayout& layout, const Posed& posed, std::size_t loop, const SceneOptions& options,
               Scene& scene) {
  const LoopPose& pose = posed.pose.drive.loops[loop];
  const ChainLayout& chain = layout.loops[loop].chain;
  const double z_mm = layout.loops[loop].z_mm + posed.apart.loops[loop].chain_mm;
  const std::vector<LinkPart> parts = link_parts(layout, posed, loop, options, scene);
  const std::size_t count = pose.pins_mm.size();
  for (std::size_t i = 0; i < count; ++i) {
    const glm::dvec2 pin = pose.pins_mm[i];
    const glm::dvec2 next = pose.pins_mm[(i + 1) % count];
    const glm::dvec2 way = (next - pin) / length2(next - pin);
    glm::dmat4 placement(1.0);
    placement[3] = {pin, z_mm, 1.0};
    add_instance(scene, chain.roller, parts[i].pin, Material::chain_roller, placement);
    add_instance(scene, chain.pin, parts[i].pin, Material::chain_roller, placement);
    placement[0] = {way, 0.0, 0.0};
    placement[1] = {left_of(way), 0.0, 0.0};
    placement[3] = {(pin + next) / 2.0, z_mm, 1.0};
    // Link 0 is an inner one. With an odd number of links the last one comes after an outer link and meets link 0: its
    // left end is an inner link's, its right end an outer one's.
    const bool closes_odd = count % 2 != 0 && i + 1 == count;
    const std::size_t plates = closes_odd ? chain.cranked_plates : i % 2 == 0 ? chain.inner_plates : chain.outer_plates;
    add_instance(scene, plates, parts[i].plates, parts[i].taut ? Material::taut_plate : Material::chain_plate,
                 placement);
  }
  // The chain travels round the loop as its driving sprocket turns, so that outside is on one side all the way.
  const Chain& size = posed.mechanism.engine().loops[loop].chain;
  const double outside = layout.loops[loop].sprockets[0].sense;
  const double aside_mm = outside * (0.5 * size.plate_height_mm + 0.25 * size.pitch_mm);
  for (const StrandPose& strand : pose.strands)
    scene.strokes.push_back(strand_line(strand, pose, layout.loops[loop], z_mm, aside_mm));
}

void add_rails(const SceneLayout& layout, const Posed& shown, std::size_t loop, const SceneOptions& options,
               Scene& scene) {
  const Loop& stated = shown.mechanism.engine().loops[loop];
  const LoopLayout& at = layout.loops[loop];
  const LoopPose& pose = shown.pose.drive.loops[loop];
  const double z_mm = at.z_mm + shown.apart.loops[loop].rails_mm;
  std::vector<std::string> travel;
  if (pose.tensioner)
    travel = {"travel " + length_words(options, pose.tensioner->travel_mm),
              length_words(options, pose.tensioner->travel_left_mm) + " left"};
  for (std::size_t i = 0; i < at.rails.size() && i < pose.arcs.size(); ++i) {
    const RailLayout& rail = at.rails[i];
    const ArcPose& arc = pose.arcs[i];
    const bool shoe = i >= stated.guides.size();
    const Guide& guide = shoe ? stated.tensioner->shoe : stated.guides[i];
    std::vector<std::string> figures{"face of radius " + length_words(options, rail.radius_mm),
                                     arc.bears ? "the chain bears on it" : "the chain passes clear of it"};
    if (shoe) figures.insert(figures.begin(), travel.begin(), travel.end());
    const std::size_t part = add_part(
        scene, fmt::format("{}, {} to {}", shoe ? "tensioner shoe" : "guide", guide.strand[0], guide.strand[1]),
        std::move(figures));
    const glm::dmat4 placement = moved({arc.centre_mm, z_mm});
    add_instance(scene, rail.face, part, Material::rail, placement);
    add_instance(scene, rail.back, part, Material::cast, placement);
    if (!shoe || !at.tensioner) continue;
    const TensionerLayout& tensioner = *at.tensioner;
    const std::size_t body = add_part(scene, "tensioner" + stage_words(layout, loop), travel);
    const auto along_push = [&](glm::dvec2 origin_mm) {
      return moved({origin_mm, z_mm}) * turned_clock(tensioner.push_clock_deg);
    };
    add_instance(scene, tensioner.plunger,
                 piece_of(body, "tensioner plunger" + stage_words(layout, loop), options, scene), Material::shaft_steel,
                 along_push(arc.centre_mm + tensioner.seat_mm));
    add_instance(scene, tensioner.body, body, Material::cast, along_push(tensioner.mouth_mm));
  }
}

} // namespace phasewright
