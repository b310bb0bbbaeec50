// The pose of everything in a drive at one crank angle.
#include "mechanics/drive_pose.hpp"

#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <cmath>

namespace phasewright {

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

const char* to_word(Turning turning) {
  return turning == Turning::forward ? "forward" : "backward";
}

DrivePose Drive::pose(double crank_deg, Turning turning) const {
  DrivePose made;
  pose(crank_deg, made, turning);
  return made;
}

void Drive::pose(double crank_deg, DrivePose& into, Turning turning) const {
  // Whole cycles are taken off in degrees, where they are exact: a pose repeats to the last bit.
  const double cycles = std::floor(crank_deg / 720.0);
  const double within_rad = radians(crank_deg - 720.0 * cycles);
  std::array<LoopLie, most_loops> lies;
  std::array<LoopLie, most_loops> references;
  std::array<Driven, most_loops> at;
  std::array<Driven, most_loops> reference_at;
  into.crank_deg = crank_deg;
  into.turning = turning;
  into.loops.resize(stages_.size());
  for (std::size_t i = 0; i < stages_.size(); ++i) {
    const Stage& stage = stages_[i];
    const SprocketPlace driver = stage.driver;
    at[i] = i == 0 ? driven_by_crank(cycles, within_rad, false)
                   : driven_by_shaft(i, at[driver.loop], lies[driver.loop].sprockets[driver.sprocket].turn_rad, false);
    reference_at[i] = i == 0 ? driven_by_crank(cycles, within_rad, true)
                             : driven_by_shaft(i, reference_at[driver.loop],
                                               references[driver.loop].sprockets[driver.sprocket].turn_rad, true);
    lies[i] = stage.loop.lie(at[i].turn_rad, stage.shifts, turning);
    const bool same = stage.as_drawn && turning == Turning::forward && at[i].turn_rad == reference_at[i].turn_rad;
    references[i] = same ? lies[i] : stage.reference.pulled(reference_at[i].turn_rad, stage.reference_shifts);
    pose_loop(i, lies[i], at[i].carried_teeth, turning, into.loops[i]);
  }
  // The crank as it was asked for, not by way of radians.
  into.loops[0].sprockets[0].turned_deg = crank_deg + degrees(crank_key_rad_);

  // Seen at this very crank angle: the same angle in the reference assembly is taken off, ripple and all. What the
  // chain has carried on before is whole turns of a camshaft, less what of a tooth the shafts before it have turned
  // instead.
  into.camshafts.resize(camshafts_.size());
  for (std::size_t i = 0; i < camshafts_.size(); ++i) {
    const auto [loop, sprocket] = camshafts_[i].sprocket;
    const double camshaft_rad = lies[loop].sprockets[sprocket].turn_rad + camshafts_[i].offset_rad;
    const double reference_rad = references[loop].sprockets[sprocket].turn_rad;
    const double carried_turns =
        static_cast<double>(at[loop].carried_teeth) / stages_[loop].loop.drawing().sprockets[sprocket].teeth;
    into.camshafts[i] = {degrees(carried_turns * turn_rad + camshaft_rad - stages_[loop].reference_lead_rad[sprocket]),
                         2.0 * degrees(camshaft_rad - reference_rad)};
  }
}

void Drive::pose_loop(std::size_t index, const LoopLie& lie, long long carried_teeth, Turning turning,
                      LoopPose& into) const {
  const Stage& stage = stages_[index];
  const ChainLoop& loop = stage.loop;
  const LoopDrawing& drawing = loop.drawing();
  StrandPaths paths;
  loop.lay_paths(lie, turning, paths);
  const auto pin_index = [&](long long number) {
    const long long rest = (number - carried_teeth) % drawing.links;
    return static_cast<std::size_t>(rest < 0 ? rest + drawing.links : rest);
  };

  const std::size_t count = loop.count();
  const double engine_sign = stages_[0].sign;
  into.sprockets.resize(count);
  into.strands.resize(count);
  for (std::size_t i = 0; i < count; ++i) {
    const SeatPolygon& sprocket = drawing.sprockets[i];
    const double turned_rad = lie.sprockets[i].turn_rad;
    const double carried_deg = 360.0 * static_cast<double>(carried_teeth) / sprocket.teeth;
    const double own_sign = stage.sign * sprocket.sense;
    into.sprockets[i].turned_deg =
        own_sign * engine_sign * (degrees(turned_rad - stage.reference_turn_rad[i]) + carried_deg);
    into.sprockets[i].mark_clock_deg =
        wrap_360(stage.mark_clock_deg[i] + own_sign * degrees(turned_rad) + own_sign * std::fmod(carried_deg, 360.0));

    const LoopLie::Strand& strand = lie.strands[i];
    StrandPose& shown = into.strands[i];
    shown = {i,   i + 1 == count ? 0 : i + 1, strand.links, loop.state(i, turning), 0.0, 0.0,
             0.0, pin_index(strand.first_pin)};
    if (shown.state == StrandState::slack) {
      shown.span_mm = lie.loose_strand.span_mm;
      shown.slack_mm = std::fmax(0.0, lie.loose_strand.excess_mm);
      shown.bow_mm = std::sqrt(3.0 * shown.span_mm * shown.slack_mm / 8.0);
    } else {
      shown.span_mm = drawing.arcs[i].empty() ? strand.links * drawing.pitch_mm : paths[i].length_mm();
    }
  }
  pose_arcs(stage, lie, paths, turning, into);

  into.pins_mm.resize(static_cast<std::size_t>(drawing.links));
  std::size_t pin = pin_index(lie.sprockets[0].first_pin);
  loop.each_pin(lie, turning, paths, [&](glm::dvec2 point) {
    into.pins_mm[pin] = to_world(point, stage.sign);
    if (++pin == into.pins_mm.size()) pin = 0;
  });
}

void Drive::pose_arcs(const Stage& stage, const LoopLie& lie, const StrandPaths& paths, Turning turning,
                      LoopPose& into) {
  const LoopDrawing& drawing = stage.loop.drawing();
  into.arcs.resize(stage.arcs.size());
  for (std::size_t i = 0; i < stage.arcs.size(); ++i) {
    const ArcPlace place = stage.arcs[i];
    const bool stands_off = stage.loop.state(place.strand, turning) == StrandState::slack &&
                            (lie.loose_strand.bows || (place.place == 0 && lie.loose_strand.travel_mm > 0.0));
    PinPath::Contact contact = paths[place.strand].contact(place.place);
    if (stands_off) { // the way is laid over an arc moved off the guide: told is the guide's own nearest point
      const PathArc& guide = drawing.arcs[place.strand][place.place];
      const glm::dvec2 toward = 0.5 * (contact.first_mm + contact.last_mm) - contact.centre_mm;
      contact.centre_mm = guide.centre_mm;
      contact.first_mm = contact.last_mm = guide.centre_mm + toward * (guide.radius_mm / length2(toward));
    }
    into.arcs[i] = {to_world(contact.centre_mm, stage.sign), contact.bears && !stands_off,
                    to_world(contact.first_mm, stage.sign), to_world(contact.last_mm, stage.sign), place.strand};
  }
  into.tensioner.reset();
  if (drawing.shoe) {
    const double travel_mm = turning == Turning::forward ? lie.loose_strand.travel_mm : drawing.shoe->travel_mm[0];
    into.tensioner = {travel_mm, drawing.shoe->travel_mm[1] - travel_mm};
  }
}

} // namespace phasewright
