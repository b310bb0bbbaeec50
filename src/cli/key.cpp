// Keys: how they sit in their keyways, and offset keys' steps.
#include "bench/key_fit.hpp"

#include "bench/offset_key.hpp"
#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

// An offset key's angle and step.
struct Offset {
  double deg = 0; // of its shaft, + = cam advanced
  double step_mm = 0;
};

// All that is said of one shaft's key.
struct OfShaft {
  KeyAt at = KeyAt::crank;
  std::string shaft;
  const ShaftSeat* seat = nullptr;
  Rotation rotation = Rotation::clockwise; // the shaft's own, seen from the timing end
  double keyway_clock_deg = 0;             // with No. 1 at overlap TDC
  std::optional<KeyFit> fit;
  std::string unknown; // why there is none
  std::optional<Offset> offset;

  [[nodiscard]] const char* degrees_of() const { return at == KeyAt::crank ? "crank" : "cam"; }
};

std::vector<OfShaft> asked_shafts(const Engine& engine, const KeyOptions& asked, const Drive& drive) {
  std::vector<OfShaft> shafts;
  if (asked.at != KeyAt::cam) {
    OfShaft& crank = shafts.emplace_back();
    crank.shaft = "crank";
    crank.seat = &engine.crank_seat;
    crank.rotation = engine.rotation;
    crank.keyway_clock_deg = engine.crank_seat.key_clock_deg;
  }
  const DrivePose pose = drive.pose(0.0);
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const std::string& name = engine.camshafts[i].name;
    const auto seat = engine.cam_seats.find(name);
    if (asked.at == KeyAt::crank || (!asked.camshaft.empty() && asked.camshaft != name)) continue;
    if (seat == engine.cam_seats.end()) continue;
    OfShaft& cam = shafts.emplace_back();
    cam.at = KeyAt::cam;
    cam.shaft = name;
    cam.seat = &seat->second;
    cam.rotation = camshaft_rotation(engine, name);
    const double turned_deg = pose.camshafts[i].turned_deg;
    cam.keyway_clock_deg =
        wrap_360(cam.seat->key_clock_deg + (cam.rotation == Rotation::clockwise ? turned_deg : -turned_deg));
  }
  return shafts;
}

std::optional<Problem> add_offset(OfShaft& shaft, const KeyOptions& asked) {
  const double diameter_mm = shaft.seat->diameter_mm;
  if (asked.deg) shaft.offset = {*asked.deg, key_step_mm(diameter_mm, *asked.deg)};
  if (!asked.step_mm) return std::nullopt;
  if (std::fabs(*asked.step_mm) > diameter_mm / 2.0)
    return problem_at(
        "--step", fmt::format("{}", *asked.step_mm),
        fmt::format("up to {} mm either way, the radius of shaft \"{}\"", diameter_mm / 2.0, shaft.shaft));
  shaft.offset = {key_deg_for_step(diameter_mm, *asked.step_mm), *asked.step_mm};
  return std::nullopt;
}

Result<std::vector<OfShaft>> found_shafts(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const KeyOptions& asked = context.options.key;
  if (!asked.camshaft.empty() && find_camshaft(engine, asked.camshaft) == nullptr)
    return problem_at("--camshaft", asked.camshaft, "a camshaft of the engine");
  const Result<Drive> drive = Drive::assemble(engine, build.fitted);
  if (!drive) return drive.problems();
  std::vector<OfShaft> shafts = asked_shafts(engine, asked, *drive);
  if (shafts.empty()) return problem_at("shaft", "no shaft with a key", "a [shaft.NAME] for each camshaft");
  for (OfShaft& shaft : shafts) {
    if (auto problem = add_offset(shaft, asked)) return *problem;
    const Result<KeyFit> fit = key_fit(engine, build.measured, shaft.shaft, build.instruments);
    if (fit)
      shaft.fit = *fit;
    else
      shaft.unknown = fmt::format("{}; {}", fit.problems().front().found, fit.problems().front().advice);
  }
  return shafts;
}

std::string facing_words(const OfShaft& shaft, double advance_deg) {
  const char* half = shaft.at == KeyAt::crank ? "sprocket" : "shaft";
  return fmt::format("{} half {}, {}", half, advance_deg > 0.0 ? "leading" : "trailing",
                     step_words(shaft.at, advance_deg, shaft.rotation, shaft.seat->diameter_mm));
}

std::string offset_page(const OfShaft& shaft) {
  const Offset& offset = *shaft.offset;
  const double deg = std::fabs(offset.deg);
  const WrongWay wrong = key_wrong_way(shaft.at, offset.deg);
  std::string page = fmt::format("Key of \"{}\", {} mm shaft: {}° {} is a step of {} mm ({} thou)", shaft.shaft,
                                 shaft.seat->diameter_mm, fixed(deg, 3), shaft.degrees_of(),
                                 fixed(std::fabs(offset.step_mm), 3), fixed(std::fabs(offset.step_mm) / 0.0254, 1));
  if (deg == 0.0) return page + ": a straight key.\n";
  page += fmt::format(", and moves the cam by {}° crank.\n", fixed(std::fabs(wrong.meant_deg), 3));
  page += fmt::format("  To advance the cam: {}.\n", facing_words(shaft, deg));
  page += fmt::format("  To retard the cam: {}.\n", facing_words(shaft, -deg));
  page += fmt::format("  {}\n", wrong.words);
  if (const std::string caution = step_caution(shaft.seat->key.width_mm, offset.step_mm); !caution.empty())
    page += "  Caution: " + caution + ".\n";
  return page;
}

std::string play_words(const std::array<double, 2>& play_mm) {
  if (play_mm[0] == play_mm[1]) return signed_fixed(play_mm[0], 3);
  return fmt::format("{} to {}", signed_fixed(play_mm[0], 3), signed_fixed(play_mm[1], 3));
}

std::string depths_table(const std::vector<OfShaft>& shafts) {
  std::vector<std::vector<std::string>> rows{
      {"Half-round key, mm", "size", "shaft", "deep in shaft", "in sprocket", "stands out", "room over it"}};
  for (const OfShaft& shaft : shafts)
    rows.push_back({shaft.shaft, to_text(shaft.seat->key), fixed(shaft.seat->diameter_mm, 1),
                    shaft.fit ? fixed(shaft.fit->seat_depth_mm, 2) : "",
                    shaft.fit ? fixed(shaft.fit->hub_depth_mm, 2) : "", shaft.fit ? fixed(shaft.fit->proud_mm, 2) : "",
                    shaft.fit ? fixed(shaft.fit->top_gap_mm, 2) : "not known"});
  return table({Align::left, Align::left, Align::right, Align::right, Align::right, Align::right, Align::right}, rows);
}

std::string keyways_words(const std::vector<OfShaft>& shafts) {
  std::string words;
  for (const OfShaft& shaft : shafts)
    words += fmt::format("{}{} {}", words.empty() ? "" : "; ", shaft.shaft, clock_words(shaft.keyway_clock_deg));
  return fmt::format("Keyways with No. 1 at overlap TDC: {}.\n", words);
}

std::string plays_table(const std::vector<OfShaft>& shafts) {
  std::vector<std::vector<std::string>> rows{
      {"Sideways, mm", "in shaft", "in sprocket", "sprocket can turn, ° of its shaft"}};
  for (const OfShaft& shaft : shafts)
    if (shaft.fit)
      rows.push_back({shaft.shaft, play_words(shaft.fit->seat_play_mm), play_words(shaft.fit->hub_play_mm),
                      fixed(shaft.fit->play_deg, 2)});
  return rows.size() == 1 ? "" : table({Align::left, Align::right, Align::right, Align::right}, rows) + "\n";
}

std::string fit_page(const std::vector<OfShaft>& shafts) {
  std::string page = depths_table(shafts) + "\n" + plays_table(shafts) + keyways_words(shafts);
  bool any_measured = false;
  bool any_not = false;
  for (const OfShaft& shaft : shafts) {
    if (!shaft.fit) {
      page += fmt::format("\"{}\": {}.\n", shaft.shaft, shaft.unknown);
      continue;
    }
    (shaft.fit->measured ? any_measured : any_not) = true;
    if (shaft.fit->measured || is_out_of_limits(*shaft.fit))
      page += fmt::format("\"{}\": {}\n", shaft.shaft, shaft.fit->words);
  }
  page += "Sideways + is play, - is pressed in; how far the sprocket can turn is from stop to stop, on the mean.\n";
  if (any_not)
    page += fmt::format("Depths by DIN 6888, greatest key and shallowest keyways; widths by its sliding fit, key h9, "
                        "shaft N9, sprocket JS9{}.\n",
                        any_measured ? ", where nothing was measured" : ". Nothing was measured");
  return page;
}

std::vector<std::string> faults_of(const std::vector<OfShaft>& shafts) {
  std::vector<std::string> faults;
  for (const OfShaft& shaft : shafts) {
    if (!shaft.fit) continue;
    const KeyFit& fit = *shaft.fit;
    const auto add = [&](bool wrong, const char* words) {
      if (wrong) faults.push_back(fmt::format("the key of \"{}\" {}", shaft.shaft, words));
    };
    add(fit.bears_on_top, "bears on the sprocket's keyway");
    add(!fit.bears_on_top && fit.dress_top_mm > 0.0, "has too little room over it");
    add(fit.too_low, "sits too low");
    add(fit.too_loose, "is loose sideways");
    add(fit.too_tight, "is too tight sideways");
  }
  return faults;
}

void add_fit(Json& json, const KeyFit& fit) {
  json.set("standard", fit.standard)
      .set("measured", fit.measured)
      .set("height_mm", fit.height_mm)
      .set("seat_depth_mm", fit.seat_depth_mm)
      .set("hub_depth_mm", fit.hub_depth_mm)
      .set("proud_mm", fit.proud_mm)
      .set("top_gap_mm", fit.top_gap_mm)
      .set("u_top_gap_mm", fit.u_top_gap_mm)
      .set("least_top_gap_mm", fit.least_top_gap_mm)
      .set("dress_top_mm", fit.dress_top_mm)
      .set("dress_limit_mm", fit.dress_limit_mm)
      .set("seat_play_mm", Json::array({fit.seat_play_mm[0], fit.seat_play_mm[1]}))
      .set("hub_play_mm", Json::array({fit.hub_play_mm[0], fit.hub_play_mm[1]}))
      .set("play_deg", fit.play_deg)
      .set("bears_on_top", fit.bears_on_top)
      .set("too_low", fit.too_low)
      .set("too_loose", fit.too_loose)
      .set("too_tight", fit.too_tight)
      .set("words", fit.words);
}

void add_offset(Json& json, const OfShaft& shaft) {
  const Offset& offset = *shaft.offset;
  const WrongWay wrong = key_wrong_way(shaft.at, offset.deg);
  json.set("deg", offset.deg)
      .set("step_mm", offset.step_mm)
      .set("crank_deg", wrong.meant_deg)
      .set("to_advance", offset.deg == 0.0 ? "" : facing_words(shaft, std::fabs(offset.deg)))
      .set("to_retard", offset.deg == 0.0 ? "" : facing_words(shaft, -std::fabs(offset.deg)))
      .set("wrong_way", Json::object({{"meant_deg", wrong.meant_deg},
                                      {"got_deg", wrong.got_deg},
                                      {"error_deg", wrong.error_deg},
                                      {"words", wrong.words}}));
}

Json shaft_json(const OfShaft& shaft) {
  Json json = Json::object({{"at", shaft.degrees_of()},
                            {"shaft", shaft.shaft},
                            {"shaft_mm", shaft.seat->diameter_mm},
                            {"size", to_text(shaft.seat->key)},
                            {"keyway_clock_deg", shaft.keyway_clock_deg}});
  if (shaft.fit)
    add_fit(json, *shaft.fit);
  else
    json.set("proud_mm", Json()).set("top_gap_mm", Json()).set("words", shaft.unknown);
  if (shaft.offset) add_offset(json, shaft);
  return json;
}

} // namespace

Result<Answer> key_command(const Context& context) {
  const Result<std::vector<OfShaft>> found = found_shafts(context);
  if (!found) return found.problems();
  const std::vector<OfShaft>& shafts = *found;
  std::string page = title_words(*context.opened.engine, context.opened.build) + "\n";
  Json all = Json::array();
  std::vector<std::string> advice;
  for (const OfShaft& shaft : shafts) {
    if (shaft.offset) page += offset_page(shaft);
    all.add(shaft_json(shaft));
    for (const std::string& words : shaft.fit ? shaft.fit->advice : std::vector<std::string>{})
      advice.push_back(fmt::format("\"{}\": {}", shaft.shaft, words));
  }
  if (shafts.front().offset && shafts.front().offset->deg != 0.0)
    page += "An offset key moves every valve event: look at the clearances with it before it goes in.\n\n";
  page += fit_page(shafts);
  // The first shaft's figures stand by themselves too, for scripts that ask about one.
  Json json = shaft_json(shafts.front());
  json.set("keys", all);
  return fit_answer(faults_of(shafts), page, advice, std::move(json));
}

} // namespace phasewright::cli
