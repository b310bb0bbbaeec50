// Where the as-fitted camshaft stands, and why.
#include "mechanics/phase.hpp"

#include "bench/mark_count.hpp"
#include "bench/offset_key.hpp"
#include "bench/plan.hpp"
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/fitted_words.hpp"
#include "cli/phase_spread.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

// Beyond this a mark, the link count or the centre distance is wrong.
constexpr double most_mark_error_teeth = 0.25;

std::string parts_table(const PhaseBreakdown& phase, const Engine& engine, const Fitted& fitted) {
  std::vector<std::vector<std::string>> rows{{"Cause", "crank degrees", ""}};
  for (const PhasePart& part : phase.parts) {
    const std::string words = cause_words(part.cause, engine, fitted, phase.camshaft);
    if (words.empty() && part.deg == 0.0) continue;
    rows.push_back({part.cause, signed_fixed(part.deg, 2), words});
  }
  rows.push_back({"together", signed_fixed(phase.phase_deg, 2), ""});
  return table({Align::left, Align::right, Align::left}, rows);
}

struct FittedKey {
  KeyAt at;
  std::string camshaft; // empty at the crank
  double deg;
  const ShaftSeat* seat;
};

FittedKey crank_key(const Engine& engine, const Fitted& fitted) {
  return {KeyAt::crank, {}, fitted.crank_key_deg, &engine.crank_seat};
}

// Nothing when the engine states no seat for that camshaft.
std::optional<FittedKey> cam_key(const Engine& engine, const Fitted& fitted, const std::string& camshaft) {
  const auto seat = engine.cam_seats.find(camshaft);
  if (seat == engine.cam_seats.end()) return std::nullopt;
  return FittedKey{KeyAt::cam, camshaft, cam_key_of(fitted, camshaft), &seat->second};
}

std::string key_page(const FittedKey& key, const Engine& engine) {
  if (key.deg == 0.0) return {};
  const bool crank = key.at == KeyAt::crank;
  return fmt::format("{} key{}: {}° {} on a {} mm shaft: {}.\n", crank ? "Crank" : "Cam",
                     crank || engine.camshafts.size() == 1 ? "" : fmt::format(" at \"{}\"", key.camshaft),
                     fixed(std::fabs(key.deg), 2), crank ? "crank" : "cam", key.seat->diameter_mm,
                     step_words(key.at, key.deg, engine.rotation, key.seat->diameter_mm));
}

Json key_json(const FittedKey& key, Rotation rotation) {
  return Json::object({{"deg", key.deg},
                       {"step_mm", std::fabs(key_step_mm(key.seat->diameter_mm, key.deg))},
                       {"shaft_mm", key.seat->diameter_mm},
                       {"words", key_words(key.at, key.deg)},
                       {"step_words", step_words(key.at, key.deg, rotation, key.seat->diameter_mm)}});
}

// All that is said of one camshaft.
struct OfCamshaft {
  std::size_t index;
  PhaseBreakdown phase;
  std::optional<FittedKey> key;
  std::optional<MarkCount> count; // along the taut side of the first chain
};

Result<std::vector<OfCamshaft>> all_camshafts(const Engine& engine, const Fitted& fitted, const Drive& drive) {
  const MarkPlaces places = mark_places(engine, drive);
  std::vector<OfCamshaft> camshafts;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const std::string& name = engine.camshafts[i].name;
    Result<PhaseBreakdown> phase = phase_breakdown(engine, fitted, i);
    if (!phase) return phase.problems();
    const SprocketPlace place = *find_cam_sprocket(engine, name);
    camshafts.push_back({i, *std::move(phase), cam_key(engine, fitted, name),
                         place.loop == 0 ? pins_between(places, place.sprocket, 0) : std::nullopt});
  }
  return camshafts;
}

std::string marks_page(const Engine& engine, const Drive& drive, const OfCamshaft& camshaft) {
  const std::string at = at_camshaft_words(engine, camshaft.index);
  const double error_teeth = drive.mark_error_teeth(camshaft.index);
  std::string page =
      fmt::format("Marks{}: in the maker's assembly they face within {}° cam, {} of a tooth.\n", at,
                  fixed(std::fabs(drive.mark_error_deg(camshaft.index)), 2), fixed(std::fabs(error_teeth), 2));
  if (const std::optional<MarkCount>& count = camshaft.count)
    page += fmt::format("Lay check{}: with the crank at {}° to {}°, {} between the marks along the taut {}.\n", at,
                        fixed(wrap_720(std::ceil(count->from_crank_deg)), 0),
                        fixed(wrap_720(std::floor(count->to_crank_deg)), 0),
                        count->pins == 1 ? "1 pin lies" : fmt::format("{} pins lie", count->pins),
                        engine.loops[0].sprockets.size() == 2 ? "strand" : "side");
  if (std::fabs(error_teeth) > most_mark_error_teeth)
    page += fmt::format("WARNING: the marks{} stand more than {} of a tooth from facing: a mark, the link count or the "
                        "centre distance is wrong.\n",
                        at, most_mark_error_teeth);
  return page;
}

std::string worn_page(const Engine& engine, const Fitted& fitted) {
  std::string page;
  for (std::size_t i = 0; i < engine.loops.size(); ++i) {
    const double limit_percent = engine.loops[i].chain.wear_limit_percent;
    if (fitted.elongation_percent >= limit_percent)
      page += fmt::format("WARNING: {} is at or beyond its wear limit of {} %: renew it.\n",
                          engine.loops.size() == 1 ? "the chain" : fmt::format("chain {}", i + 1), limit_percent);
  }
  return page;
}

std::string target_page(const Engine& engine, const std::vector<OfCamshaft>& camshafts,
                        const std::vector<std::size_t>& planned, const Result<std::vector<double>>& targets_deg) {
  if (!targets_deg) return fmt::format("\nTarget: none for this engine. {}", to_text(targets_deg.problems()));
  std::string page = "\n";
  for (std::size_t i = 0; i < planned.size(); ++i)
    page += fmt::format("Target{}: {}; {}° crank to go.\n", at_camshaft_words(engine, planned[i]),
                        phase_words((*targets_deg)[i]),
                        signed_fixed((*targets_deg)[i] - camshafts[planned[i]].phase.phase_deg, 2));
  return page;
}

std::string phase_page(const Engine& engine, const Build& build, const Drive& drive,
                       const std::vector<OfCamshaft>& camshafts, const Result<std::vector<double>>& targets_deg) {
  const Fitted& fitted = build.fitted;
  std::string page = title_words(engine, build) + "\n";
  for (const OfCamshaft& camshaft : camshafts) {
    if (camshaft.index > 0) page += "\n";
    page += stands_words(engine, camshaft.index, camshaft.phase.phase_deg) + "\n\n";
    page += parts_table(camshaft.phase, engine, fitted);
  }
  page += target_page(engine, camshafts, planned_camshafts(engine, build.target), targets_deg);
  page += key_page(crank_key(engine, fitted), engine);
  for (const OfCamshaft& camshaft : camshafts)
    if (camshaft.key) page += key_page(*camshaft.key, engine);
  for (std::size_t i = 0; i < engine.loops.size(); ++i) page += tightness_page(engine, drive, i);
  for (const OfCamshaft& camshaft : camshafts) page += marks_page(engine, drive, camshaft);
  return page + worn_page(engine, fitted);
}

Json parts_json(const PhaseBreakdown& phase) {
  Json parts = Json::array();
  for (const PhasePart& part : phase.parts) parts.add(Json::object({{"cause", part.cause}, {"deg", part.deg}}));
  return parts;
}

Json marks_json(const Drive& drive, std::size_t camshaft) {
  return Json::object({{"error_cam_deg", drive.mark_error_deg(camshaft)},
                       {"error_teeth", drive.mark_error_teeth(camshaft)},
                       {"facing", std::fabs(drive.mark_error_teeth(camshaft)) <= most_mark_error_teeth}});
}

// The first camshaft's figures stand by themselves too, for scripts that know engines with one only.
Json phase_json(const Engine& engine, const Fitted& fitted, const Drive& drive,
                const std::vector<OfCamshaft>& camshafts) {
  const OfCamshaft& first = camshafts.front();
  Json json = Json::object({{"phase_deg", first.phase.phase_deg},
                            {"camshaft", first.phase.camshaft},
                            {"parts", parts_json(first.phase)},
                            {"slack_mm", extent_json(drive.slack_mm())},
                            {"marks", marks_json(drive, 0)},
                            {"pins_between_marks", count_json(first.count)}});
  Json keys = Json::object({{"crank", key_json(crank_key(engine, fitted), engine.rotation)}});
  if (first.key) keys.set("cam", key_json(*first.key, engine.rotation));
  json.set("keys", keys);
  Json all = Json::array();
  for (const OfCamshaft& camshaft : camshafts)
    all.add(Json::object({{"name", camshaft.phase.camshaft},
                          {"phase_deg", camshaft.phase.phase_deg},
                          {"parts", parts_json(camshaft.phase)},
                          {"marks", marks_json(drive, camshaft.index)},
                          {"pins_between_marks", count_json(camshaft.count)},
                          {"key", camshaft.key ? key_json(*camshaft.key, engine.rotation) : Json()}}));
  json.set("camshafts", all);
  Json loops = Json::array();
  for (std::size_t i = 0; i < engine.loops.size(); ++i) loops.add(tightness_json(engine, drive, i));
  return json.set("loops", loops);
}

} // namespace

Result<Answer> phase_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Drive> drive = Drive::assemble(engine, build.fitted);
  if (!drive) return drive.problems();
  const Result<std::vector<OfCamshaft>> camshafts = all_camshafts(engine, build.fitted, *drive);
  if (!camshafts) return camshafts.problems();
  // The phase is known whether or not the target makes sense for this engine.
  const Result<std::vector<double>> targets_deg = target_phases_deg(engine, build);

  Answer answer;
  answer.page = phase_page(engine, build, *drive, *camshafts, targets_deg);
  answer.json = phase_json(engine, build.fitted, *drive, *camshafts);
  answer.json.set("target_phase_deg", targets_deg ? Json(targets_deg->front()) : Json())
      .set("target_camshaft", engine.camshafts[planned_camshafts(engine, build.target).front()].name);
  if (context.options.spread) {
    const Result<std::vector<Spread>> spreads = spread_of(engine, build, *context.options.spread);
    if (!spreads) return spreads.problems();
    answer.page = spread_page(engine, build, *spreads);
    answer.json.set("spread", spread_json(engine, *spreads));
  }
  return answer;
}

} // namespace phasewright::cli
