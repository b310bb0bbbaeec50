// Where the as-fitted camshaft stands, and why.
#include "mechanics/phase.hpp"

#include "bench/mark_count.hpp"
#include "bench/offset_key.hpp"
#include "bench/plan.hpp"
#include "cli/commands.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

// Beyond this a mark, the link count or the centre distance is wrong.
constexpr double most_mark_error_teeth = 0.25;

std::string key_state(KeyAt at, double key_deg) {
  return key_deg == 0.0 ? "straight key" : key_words(at, key_deg);
}

std::string lay_words(int lay) {
  if (lay == 0) return "chain laid on by the marks";
  return fmt::format("chain laid on {} {}", count_words(std::abs(lay), "tooth", "teeth"), lay > 0 ? "forward" : "back");
}

// What is fitted, said beside the cause; empty for what this engine has not got.
std::string cause_words(const std::string& cause, const Engine& engine, const Fitted& fitted) {
  if (cause == "lay") return lay_words(lay_of(fitted, engine.loops[0].sprockets[1].camshaft));
  if (cause == "crank key") return key_state(KeyAt::crank, fitted.crank_key_deg);
  if (cause == "cam key") return key_state(KeyAt::cam, fitted.cam_key_deg);
  if (cause == "elongation")
    return fitted.elongation_percent == 0.0
               ? "chain as new"
               : fmt::format("chain worn {} % longer", fixed(fitted.elongation_percent, 2));
  if (cause == "centre change") {
    if (fitted.centre_change_mm == 0.0) return "centres as the maker had them";
    return fmt::format("centres {} mm {}", fixed(std::fabs(fitted.centre_change_mm), 2),
                       fitted.centre_change_mm > 0.0 ? "further apart" : "closer");
  }
  if (cause == "vernier" && fitted.vernier.hub_holes > 0)
    return fmt::format("hub hole {} on sprocket hole {}", fitted.holes.hub_hole, fitted.holes.sprocket_hole);
  if (cause == "slots" && fitted.slot_deg != 0.0)
    return fmt::format("slots {}° cam {}", fixed(std::fabs(fitted.slot_deg), 2),
                       fitted.slot_deg > 0.0 ? "forward" : "back");
  return {};
}

std::string parts_table(const PhaseBreakdown& phase, const Engine& engine, const Fitted& fitted) {
  std::vector<std::vector<std::string>> rows{{"Cause", "crank degrees", ""}};
  for (const PhasePart& part : phase.parts) {
    const std::string words = cause_words(part.cause, engine, fitted);
    if (words.empty() && part.deg == 0.0) continue;
    rows.push_back({part.cause, signed_fixed(part.deg, 2), words});
  }
  rows.push_back({"together", signed_fixed(phase.phase_deg, 2), ""});
  return table({Align::left, Align::right, Align::left}, rows);
}

struct FittedKey {
  KeyAt at;
  const char* name;
  double deg;
  const ShaftSeat* seat;
};

std::vector<FittedKey> keys_of(const Engine& engine, const Fitted& fitted) {
  std::vector<FittedKey> keys{{KeyAt::crank, "crank", fitted.crank_key_deg, &engine.crank_seat}};
  const auto cam = engine.cam_seats.find(engine.loops[0].sprockets[1].camshaft);
  if (cam != engine.cam_seats.end()) keys.push_back({KeyAt::cam, "cam", fitted.cam_key_deg, &cam->second});
  return keys;
}

std::string keys_page(const std::vector<FittedKey>& keys, Rotation rotation) {
  std::string page;
  for (const FittedKey& key : keys) {
    if (key.deg == 0.0) continue;
    page += fmt::format("{} key: {}° {} on a {} mm shaft: {}.\n", key.at == KeyAt::crank ? "Crank" : "Cam",
                        fixed(std::fabs(key.deg), 2), key.name, key.seat->diameter_mm,
                        step_words(key.at, key.deg, rotation, key.seat->diameter_mm));
  }
  return page;
}

std::string drive_page(const Engine& engine, const Drive& drive, const Fitted& fitted,
                       const std::optional<MarkCount>& count) {
  std::string page = fmt::format(
      "Slack strand: {} to {} mm of chain to spare as a tooth goes by; it bows {} mm at mid-span.\n",
      fixed(drive.slack_mm().least, 2), fixed(drive.slack_mm().greatest, 2), fixed(drive.greatest_bow_mm(), 1));
  page += fmt::format("Marks: in the maker's assembly they face within {}° cam, {} of a tooth.\n",
                      fixed(std::fabs(drive.mark_error_deg()), 2), fixed(std::fabs(drive.mark_error_teeth()), 2));
  if (count)
    page += fmt::format(
        "Lay check: with the crank between {}° and {}° crank, {} between the marks along the taut strand.\n",
        fixed(wrap_720(std::ceil(count->from_crank_deg)), 0), fixed(wrap_720(std::floor(count->to_crank_deg)), 0),
        count->pins == 1 ? "1 pin lies" : fmt::format("{} pins lie", count->pins));
  if (std::fabs(drive.mark_error_teeth()) > most_mark_error_teeth)
    page += fmt::format("WARNING: the marks stand more than {} of a tooth from facing: a mark, the link count or the "
                        "centre distance is wrong.\n",
                        most_mark_error_teeth);
  if (fitted.elongation_percent >= engine.loops[0].chain.wear_limit_percent)
    page += fmt::format("WARNING: the chain is at or beyond its wear limit of {} %: renew it.\n",
                        engine.loops[0].chain.wear_limit_percent);
  return page;
}

Json keys_json(const std::vector<FittedKey>& keys, Rotation rotation) {
  Json json = Json::object();
  for (const FittedKey& key : keys)
    json.set(key.name, Json::object({{"deg", key.deg},
                                     {"step_mm", std::fabs(key_step_mm(key.seat->diameter_mm, key.deg))},
                                     {"shaft_mm", key.seat->diameter_mm},
                                     {"words", key_words(key.at, key.deg)},
                                     {"step_words", step_words(key.at, key.deg, rotation, key.seat->diameter_mm)}}));
  return json;
}

Json phase_json(const PhaseBreakdown& phase, const Drive& drive, const std::optional<MarkCount>& count) {
  Json parts = Json::array();
  for (const PhasePart& part : phase.parts) parts.add(Json::object({{"cause", part.cause}, {"deg", part.deg}}));
  Json json = Json::object({{"phase_deg", phase.phase_deg}, {"camshaft", phase.camshaft}, {"parts", parts}});
  json.set("slack_mm", Json::object({{"least", drive.slack_mm().least}, {"greatest", drive.slack_mm().greatest}}));
  json.set("marks", Json::object({{"error_cam_deg", drive.mark_error_deg()},
                                  {"error_teeth", drive.mark_error_teeth()},
                                  {"facing", std::fabs(drive.mark_error_teeth()) <= most_mark_error_teeth}}));
  json.set("pins_between_marks", count ? Json::object({{"pins", count->pins},
                                                       {"from_crank_deg", count->from_crank_deg},
                                                       {"to_crank_deg", wrap_720(count->to_crank_deg)}})
                                       : Json());
  return json;
}

} // namespace

Result<Answer> phase_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<PhaseBreakdown> phase = phase_breakdown(engine, build.fitted);
  if (!phase) return phase.problems();
  const Result<Drive> drive = Drive::assemble(engine, build.fitted);
  if (!drive) return drive.problems();
  // The phase is known whether or not the target makes sense for this engine.
  const Result<double> target_deg = target_phase_deg(engine, build);
  const std::optional<MarkCount> count = pins_between_marks(engine, *drive);
  const std::vector<FittedKey> keys = keys_of(engine, build.fitted);

  Answer answer;
  answer.page =
      fmt::format("{}\nThe camshaft stands {}.\n\n", title_words(engine, build), phase_words(phase->phase_deg));
  answer.page += parts_table(*phase, engine, build.fitted);
  answer.page += target_deg ? fmt::format("\nTarget: {}; {}° crank to go.\n", phase_words(*target_deg),
                                          signed_fixed(*target_deg - phase->phase_deg, 2))
                            : fmt::format("\nTarget: none for this engine. {}", to_text(target_deg.problems()));
  answer.page += keys_page(keys, engine.rotation) + drive_page(engine, *drive, build.fitted, count);
  answer.json = phase_json(*phase, *drive, count);
  answer.json.set("target_phase_deg", target_deg ? Json(*target_deg) : Json())
      .set("keys", keys_json(keys, engine.rotation));
  return answer;
}

} // namespace phasewright::cli
