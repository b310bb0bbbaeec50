// The whole drive at one crank angle.
#include "cli/commands.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/mechanism.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

// Any finite angle, also one so large that counting its turns would overflow. Camshaft, pistons and valves come round
// every 720 degrees and the same pins every `links` times that; only what has turned keeps the whole angle.
Pose pose_at(const Mechanism& mechanism, double crank_deg) {
  const double within_deg = std::fmod(crank_deg, 720.0 * mechanism.engine().loops[0].chain.links);
  Pose pose = mechanism.pose(within_deg);
  const double left_out_deg = crank_deg - within_deg;
  pose.drive.crank_deg = crank_deg;
  const int crank_teeth = mechanism.engine().loops[0].sprockets.front().teeth;
  for (std::size_t i = 0; i < pose.drive.loops[0].sprockets.size(); ++i)
    pose.drive.loops[0].sprockets[i].turned_deg +=
        left_out_deg * crank_teeth / mechanism.engine().loops[0].sprockets[i].teeth;
  for (CamshaftPose& camshaft : pose.drive.camshafts) camshaft.turned_deg += left_out_deg / 2.0;
  return pose;
}

std::string drive_page(const Engine& engine, const DrivePose& pose) {
  std::vector<std::vector<std::string>> rows{{"Sprocket", "its mark points to", "clock degrees", "turned"}};
  for (std::size_t i = 0; i < pose.loops[0].sprockets.size(); ++i) {
    const SprocketPose& sprocket = pose.loops[0].sprockets[i];
    rows.push_back({engine.loops[0].sprockets[i].name, clock_words(sprocket.mark_clock_deg),
                    fixed(sprocket.mark_clock_deg, 1),
                    fmt::format("{}° {}", fixed(sprocket.turned_deg, 2), i == 0 ? "crank" : "cam")});
  }
  std::string page = table({Align::left, Align::left, Align::right, Align::right}, rows) + "\n";
  for (std::size_t i = 0; i < pose.camshafts.size(); ++i)
    page += fmt::format("Camshaft \"{}\" at this angle: {}.\n", engine.camshafts[i].name,
                        phase_words(pose.camshafts[i].phase_deg));
  for (const StrandPose& strand : pose.loops[0].strands) {
    page += fmt::format("Chain from {} to {}: {}, {}", engine.loops[0].sprockets[strand.from].name,
                        engine.loops[0].sprockets[strand.to].name, count_words(strand.links, "link", "links"),
                        to_word(strand.state));
    page += strand.state == StrandState::slack ? fmt::format(", {} mm to spare, so it bows {} mm at mid-span.\n",
                                                             fixed(strand.slack_mm, 2), fixed(strand.bow_mm, 1))
                                               : ".\n";
  }
  return page;
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

Json drive_json(const Engine& engine, const DrivePose& pose) {
  Json json = Json::object({{"crank_deg", pose.crank_deg}});
  Json sprockets = Json::array();
  for (std::size_t i = 0; i < pose.loops[0].sprockets.size(); ++i)
    sprockets.add(Json::object({{"name", engine.loops[0].sprockets[i].name},
                                {"mark_clock_deg", pose.loops[0].sprockets[i].mark_clock_deg},
                                {"turned_deg", pose.loops[0].sprockets[i].turned_deg}}));
  Json camshafts = Json::array();
  for (std::size_t i = 0; i < pose.camshafts.size(); ++i)
    camshafts.add(Json::object({{"name", engine.camshafts[i].name},
                                {"phase_deg", pose.camshafts[i].phase_deg},
                                {"turned_deg", pose.camshafts[i].turned_deg}}));
  Json strands = Json::array();
  for (const StrandPose& strand : pose.loops[0].strands)
    strands.add(Json::object({{"from", engine.loops[0].sprockets[strand.from].name},
                              {"to", engine.loops[0].sprockets[strand.to].name},
                              {"links", strand.links},
                              {"state", to_word(strand.state)},
                              {"slack_mm", strand.slack_mm},
                              {"bow_mm", strand.bow_mm},
                              {"span_mm", strand.span_mm},
                              {"first_pin", static_cast<int>(strand.first_pin)}}));
  Json pins = Json::array();
  for (const glm::dvec2& pin : pose.loops[0].pins_mm) pins.add(Json::array({pin.x, pin.y}));
  json.set("sprockets", sprockets).set("camshafts", camshafts).set("strands", strands);
  json.set("tensioner", Json()).set("pins", pins);
  return json;
}

} // namespace

Result<Answer> pose_command(const Context& context) {
  Result<Mechanism> mechanism = Mechanism::assemble(context.opened.engine, context.opened.build.fitted);
  if (!mechanism) return mechanism.problems();
  const Engine& engine = mechanism->engine();
  const Pose pose = pose_at(*mechanism, context.options.crank_deg);

  Answer answer;
  answer.page = fmt::format("{}\nCrank at {}° crank; No. 1 at {}.\n\n", title_words(engine, context.opened.build),
                            fixed(pose.drive.crank_deg, 1), stroke_words(pose.drive.crank_deg));
  answer.page += drive_page(engine, pose.drive) + "\n" + cylinders_page(engine, pose);

  answer.json = drive_json(engine, pose.drive);
  Json valves = Json::array();
  for (const ValvePose& valve : pose.valves)
    valves.add(Json::object({{"valve", to_word(valve.valve)},
                             {"cylinder", valve.cylinder},
                             {"lift_mm", valve.lift_mm},
                             {"tappet_mm", valve.tappet_mm}}));
  Json pistons = Json::array();
  for (const PistonPose& piston : pose.pistons)
    pistons.add(Json::object({{"cylinder", piston.cylinder}, {"drop_mm", piston.drop_mm}}));
  answer.json.set("valves", valves).set("pistons", pistons);
  return answer;
}

} // namespace phasewright::cli
