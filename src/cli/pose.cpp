// The whole drive at one crank angle.
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/mechanism.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

const char* whose_degrees(const Engine& engine, SprocketPlace place) {
  if (place == SprocketPlace{}) return "crank";
  return sprocket_at(engine, place).camshaft.empty() ? "of its own" : "cam";
}

std::string sprockets_page(const Engine& engine, const DrivePose& pose) {
  std::vector<std::vector<std::string>> rows{{"Sprocket", "its mark points to", "clock degrees", "turned"}};
  for (std::size_t loop = 0; loop < pose.loops.size(); ++loop)
    for (std::size_t i = 0; i < pose.loops[loop].sprockets.size(); ++i) {
      const SprocketPose& sprocket = pose.loops[loop].sprockets[i];
      rows.push_back({sprocket_at(engine, {loop, i}).name, clock_words(sprocket.mark_clock_deg),
                      fixed(sprocket.mark_clock_deg, 1),
                      fmt::format("{}° {}", fixed(sprocket.turned_deg, 2), whose_degrees(engine, {loop, i}))});
    }
  return table({Align::left, Align::left, Align::right, Align::right}, rows);
}

std::string point_words(glm::dvec2 at_mm) {
  return fmt::format("{}, {} mm", fixed(at_mm.x, 1), fixed(at_mm.y, 1));
}

std::string arc_words(const std::string& what, const std::array<std::string, 2>& strand, const ArcPose& arc) {
  std::string words = fmt::format("{}, {} to {}: ", what, strand[0], strand[1]);
  return words + (arc.bears ? fmt::format("bears from {} to {}.\n", point_words(arc.first_mm), point_words(arc.last_mm))
                            : "stands clear of the chain.\n");
}

std::string chain_page(const Engine& engine, const DrivePose& pose, std::size_t loop) {
  const Loop& drawn = engine.loops[loop];
  const LoopPose& posed = pose.loops[loop];
  const std::string chain = engine.loops.size() == 1 ? "Chain" : fmt::format("Chain {}", loop + 1);
  std::string page;
  for (const StrandPose& strand : posed.strands) {
    page +=
        fmt::format("{} from {} to {}: {}, {}", chain, drawn.sprockets[strand.from].name,
                    drawn.sprockets[strand.to].name, count_words(strand.links, "link", "links"), to_word(strand.state));
    page += strand.state == StrandState::slack ? fmt::format(", {} mm to spare, so it bows {} mm at mid-span.\n",
                                                             fixed(strand.slack_mm, 2), fixed(strand.bow_mm, 1))
                                               : ".\n";
  }
  for (std::size_t i = 0; i < drawn.guides.size(); ++i)
    page += arc_words(drawn.guides.size() == 1 ? "Guide" : fmt::format("Guide {}", i + 1), drawn.guides[i].strand,
                      posed.arcs[i]);
  if (posed.tensioner) {
    page += arc_words("Tensioner", drawn.tensioner->shoe.strand, posed.arcs.back());
    page += fmt::format("Tensioner: out {} mm; {} mm of its travel left.\n", fixed(posed.tensioner->travel_mm, 2),
                        fixed(posed.tensioner->travel_left_mm, 2));
  }
  return page;
}

std::string drive_page(const Engine& engine, const DrivePose& pose) {
  std::string page = sprockets_page(engine, pose) + "\n";
  for (std::size_t i = 0; i < pose.camshafts.size(); ++i)
    page += fmt::format("Camshaft \"{}\" at this angle: {}.\n", engine.camshafts[i].name,
                        phase_words(pose.camshafts[i].phase_deg));
  for (std::size_t i = 0; i < pose.loops.size(); ++i) page += chain_page(engine, pose, i);
  return page;
}

// What the backward turn does to readings taken now.
std::string turning_back_page(const Engine& engine, const std::vector<HangBack>& hang_backs) {
  std::string page;
  double most_deg = 0.0;
  for (std::size_t i = 0; i < hang_backs.size(); ++i) {
    page += fmt::format("TURNED BACKWARD: {} has not come back with the crank and stands {}° cam ahead of its "
                        "place: what is read now is wrong by {}° crank.\n",
                        camshaft_words(engine, i), fixed(hang_backs[i].cam_deg, 2), fixed(hang_backs[i].crank_deg, 2));
    most_deg = std::fmax(most_deg, hang_backs[i].turn_forward_deg);
  }
  return page +
         fmt::format("Turn the crank forward at least {}° before reading.\n\n", fixed(rounded_up(most_deg, 0.1), 1));
}

std::string lift_words(const Pose& pose, ValveKind kind, int cylinder) {
  for (const ValvePose& valve : pose.valves)
    if (valve.valve == kind && valve.cylinder == cylinder)
      return valve.lift_mm > 0.0 ? fixed(valve.lift_mm, 2) : "shut";
  return "none";
}

std::string cylinders_page(const Engine& engine, const Pose& pose) {
  std::vector<std::vector<std::string>> rows{
      {"Cylinder", "mm below TDC", "inlet lift, mm", "exhaust lift, mm", "where it is"}};
  for (const PistonPose& piston : pose.pistons)
    rows.push_back({fmt::format("No. {}", piston.cylinder), fixed(piston.drop_mm, 2),
                    lift_words(pose, ValveKind::inlet, piston.cylinder),
                    lift_words(pose, ValveKind::exhaust, piston.cylinder),
                    stroke_words(wrap_720(pose.drive.crank_deg) - cylinder_delay_deg(engine.block, piston.cylinder))});
  return table({Align::left, Align::right, Align::right, Align::right, Align::left}, rows);
}

Json point_json(glm::dvec2 at_mm) {
  return Json::array({at_mm.x, at_mm.y});
}

Json pins_json(const LoopPose& loop) {
  Json pins = Json::array();
  for (const glm::dvec2& pin : loop.pins_mm) pins.add(point_json(pin));
  return pins;
}

Json tensioner_json(const LoopPose& loop) {
  if (!loop.tensioner) return {};
  return Json::object({{"travel_mm", loop.tensioner->travel_mm}, {"travel_left_mm", loop.tensioner->travel_left_mm}});
}

Json arc_json(const Guide& guide, const ArcPose& arc) {
  return Json::object({{"strand", Json::array({guide.strand[0], guide.strand[1]})},
                       {"bears", arc.bears},
                       {"first_mm", point_json(arc.first_mm)},
                       {"last_mm", point_json(arc.last_mm)}});
}

Json loop_json(const Loop& drawn, const LoopPose& posed, int number) {
  Json guides = Json::array();
  for (std::size_t i = 0; i < drawn.guides.size(); ++i) guides.add(arc_json(drawn.guides[i], posed.arcs[i]));
  Json tensioner = tensioner_json(posed);
  if (posed.tensioner) tensioner.set("shoe", arc_json(drawn.tensioner->shoe, posed.arcs.back()));
  return Json::object({{"loop", number},
                       {"driven_from", drawn.driven_from.empty() ? Json() : Json(drawn.driven_from)},
                       {"links", drawn.chain.links},
                       {"tensioner", tensioner},
                       {"guides", guides},
                       {"pins", pins_json(posed)}});
}

Json strand_json(const Loop& drawn, const StrandPose& strand, int number) {
  return Json::object({{"from", drawn.sprockets[strand.from].name},
                       {"to", drawn.sprockets[strand.to].name},
                       {"links", strand.links},
                       {"state", to_word(strand.state)},
                       {"slack_mm", strand.slack_mm},
                       {"bow_mm", strand.bow_mm},
                       {"span_mm", strand.span_mm},
                       {"first_pin", static_cast<int>(strand.first_pin)},
                       {"loop", number}});
}

Json drive_json(const Engine& engine, const DrivePose& pose) {
  Json sprockets = Json::array();
  Json strands = Json::array();
  Json loops = Json::array();
  Json tensioner; // of the first loop that has one
  bool has_tensioner = false;
  for (std::size_t loop = 0; loop < pose.loops.size(); ++loop) {
    const Loop& drawn = engine.loops[loop];
    const LoopPose& posed = pose.loops[loop];
    const int number = static_cast<int>(loop) + 1;
    for (std::size_t i = 0; i < posed.sprockets.size(); ++i)
      sprockets.add(Json::object({{"name", drawn.sprockets[i].name},
                                  {"mark_clock_deg", posed.sprockets[i].mark_clock_deg},
                                  {"turned_deg", posed.sprockets[i].turned_deg},
                                  {"loop", number}}));
    for (const StrandPose& strand : posed.strands) strands.add(strand_json(drawn, strand, number));
    loops.add(loop_json(drawn, posed, number));
    if (posed.tensioner && !has_tensioner) tensioner = tensioner_json(posed);
    has_tensioner = has_tensioner || posed.tensioner;
  }
  Json camshafts = Json::array();
  for (std::size_t i = 0; i < pose.camshafts.size(); ++i)
    camshafts.add(Json::object({{"name", engine.camshafts[i].name},
                                {"phase_deg", pose.camshafts[i].phase_deg},
                                {"turned_deg", pose.camshafts[i].turned_deg}}));
  return Json::object({{"crank_deg", pose.crank_deg},
                       {"turned", to_word(pose.turning)},
                       {"sprockets", sprockets},
                       {"camshafts", camshafts},
                       {"strands", strands},
                       {"tensioner", tensioner},
                       {"pins", pins_json(pose.loops[0])},
                       {"loops", loops}});
}

Json turning_back_json(const Engine& engine, const std::vector<HangBack>& hang_backs) {
  Json json = Json::array();
  for (std::size_t i = 0; i < hang_backs.size(); ++i)
    json.add(Json::object({{"camshaft", engine.camshafts[i].name},
                           {"cam_deg", hang_backs[i].cam_deg},
                           {"crank_deg", hang_backs[i].crank_deg},
                           {"turn_forward_deg", hang_backs[i].turn_forward_deg}}));
  return json;
}

} // namespace

Result<Answer> pose_command(const Context& context) {
  Result<Mechanism> mechanism = Mechanism::assemble(context.opened.engine, context.opened.build.fitted);
  if (!mechanism) return mechanism.problems();
  const Engine& engine = mechanism->engine();
  const Turning turning = context.options.turning;
  const double crank_deg = context.options.crank_deg;
  const Pose pose = mechanism->pose(crank_deg, turning);
  std::vector<HangBack> hang_backs;
  if (turning == Turning::backward)
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i)
      hang_backs.push_back(mechanism->drive().hang_back(crank_deg, i));

  Answer answer;
  answer.page = fmt::format("{}\nCrank at {}° crank; No. 1 at {}.\n\n", title_words(engine, context.opened.build),
                            fixed(pose.drive.crank_deg, 1), stroke_words(pose.drive.crank_deg));
  if (turning == Turning::backward) answer.page += turning_back_page(engine, hang_backs);
  answer.page += drive_page(engine, pose.drive) + "\n" + cylinders_page(engine, pose);

  answer.json = drive_json(engine, pose.drive);
  answer.json.set("turning_back", turning_back_json(engine, hang_backs));
  Json valves = Json::array();
  for (const ValvePose& valve : pose.valves)
    valves.add(Json::object({{"valve", to_word(valve.valve)},
                             {"cylinder", valve.cylinder},
                             {"lift_mm", valve.lift_mm},
                             {"tappet_mm", valve.tappet_mm}}));
  Json pistons = Json::array();
  for (const PistonPose& piston : pose.pistons) {
    const PistonState state =
        mechanism->slider_crank().at(crank_deg - cylinder_delay_deg(engine.block, piston.cylinder));
    pistons.add(Json::object({{"cylinder", piston.cylinder},
                              {"drop_mm", piston.drop_mm},
                              {"mm_per_deg", radians(state.per_rad_mm)},
                              {"rod_deg", state.rod_deg}}));
  }
  answer.json.set("valves", valves).set("pistons", pistons);
  return answer;
}

} // namespace phasewright::cli
