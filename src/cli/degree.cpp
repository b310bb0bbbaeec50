// What wheel and indicator say.
#include "bench/degree.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/numbers.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

constexpr double cover = 2.0; // k

const char* to_word(Slip slip) {
  switch (slip) {
  case Slip::cam_degrees:
    return "cam degrees";
  case Slip::sides_swapped:
    return "sides swapped";
  case Slip::wheel_reversed:
    return "wheel reversed";
  case Slip::other_cylinder:
    return "other cylinder";
  case Slip::other_valve:
    return "other valve";
  case Slip::full_turn:
    return "full turn";
  case Slip::other_lift:
    return "other lift";
  case Slip::turned_backward:
    return "turned backward";
  }
  return "";
}

// An earlier set of readings and what it says.
struct Against {
  std::string which; // "set 1 of 2026-04-21"
  std::vector<PhaseChange> changes;
};

std::string wheel_page(const WheelZero& wheel) {
  if (!wheel.read)
    return fmt::format("No piston stop was read: the wheel is taken to stand on TDC, ±{}°.\n",
                       fixed(cover * wheel.u_deg, 2));
  const double shows_deg = -wheel.tdc_correction_deg;
  std::string page = fixed(std::fabs(shows_deg), 2) == "0.00"
                         ? fmt::format("The wheel stands on TDC, ±{}°.\n", fixed(cover * wheel.u_deg, 2))
                         : fmt::format("The wheel shows {}° (±{}) too {} at TDC: {} {}° on every reading.\n",
                                       fixed(std::fabs(shows_deg), 2), fixed(cover * wheel.u_deg, 2),
                                       shows_deg > 0.0 ? "much" : "little", shows_deg > 0.0 ? "take off" : "add",
                                       fixed(std::fabs(shows_deg), 2));
  if (wheel.scattered) page += "The stop pairs differ by more than the wheel's limit explains: read them again.\n";
  return page;
}

std::string stops_table(const WheelZero& wheel) {
  if (wheel.pairs.empty()) return {};
  std::vector<std::vector<std::string>> rows{{"Stop pair", "piston down, mm", "correction °", "from the mean °", ""}};
  for (const WheelZero::Pair& pair : wheel.pairs)
    rows.push_back({fmt::format("{}", pair.reading + 1), fixed(pair.drop_mm, 2), signed_fixed(pair.correction_deg, 2),
                    signed_fixed(pair.left_deg, 2), pair.left_out ? "left out" : ""});
  return table({Align::left, Align::right, Align::right, Align::right, Align::left}, rows);
}

std::string lobes_table(const DegreeRead& read) {
  if (read.lobes.empty()) return {};
  std::vector<std::vector<std::string>> rows{
      {"Lobe", "centre °", "±", "card °", "should be °", "leans °/mm", "±", "pairs", ""}};
  for (const LobeRead& lobe : read.lobes) {
    const bool leans = lobe.asymmetry_deg_per_mm.has_value();
    const auto kept = std::ranges::count_if(lobe.pairs, [](const PairRead& pair) { return !pair.left_out; });
    rows.push_back({fmt::format("{} No. {}, {}", phasewright::to_word(lobe.valve), lobe.cylinder,
                                lobe.valve == ValveKind::inlet ? "ATDC" : "BTDC"),
                    fixed(lobe.centre_deg, 2), fixed(cover * lobe.u_deg, 2), fixed(lobe.card_deg, 1),
                    fixed(lobe.drawn_deg, 2), leans ? signed_fixed(*lobe.asymmetry_deg_per_mm, 2) : "-",
                    leans ? fixed(cover * *lobe.u_asymmetry_deg_per_mm, 2) : "-",
                    fmt::format("{} of {}", kept, lobe.pairs.size()),
                    lobe.leans       ? "leans"
                    : lobe.scattered ? "scattered"
                                     : ""});
  }
  return table({Align::left, Align::right, Align::right, Align::right, Align::right, Align::right, Align::right,
                Align::right, Align::left},
               rows) +
         "should be: with what was fitted, as the drive is figured. leans: how the middle moves with lift, + = later "
         "higher up.\n";
}

std::string camshaft_page(const Engine& engine, const CamshaftRead& cam) {
  const std::string name = engine.camshafts.size() > 1
                               ? fmt::format("Camshaft \"{}\"", engine.camshafts[cam.camshaft].name)
                               : std::string("The camshaft");
  std::string page = fmt::format("{} stands {} (±{}). ", name, phase_words(cam.phase_deg), fixed(cover * cam.u_deg, 2));
  page +=
      cam.off_card ? "That it is off the maker's card is real.\n" : "That it is off the maker's card may be chance.\n";
  page += fmt::format("What is fitted accounts for {}° crank; {}° crank is left, {}.\n",
                      signed_fixed(cam.drawn_phase_deg, 2), signed_fixed(cam.extra_deg, 2),
                      cam.off_drawn ? "which is real: see explain" : "which may be chance");
  if (cam.lobes_apart_deg && cam.lobes_disagree)
    page +=
        fmt::format("Its exhaust and inlet lobes say phases {}° crank apart, which is real: a lobe ground off, or a "
                    "reading wrong.\n",
                    fixed(std::fabs(*cam.lobes_apart_deg), 2));
  return page;
}

std::string against_page(const Engine& engine, const Against& against) {
  std::string page = fmt::format("\nAgainst {}:\n", against.which);
  if (against.changes.empty()) return page + "no camshaft was read in both.\n";
  for (const PhaseChange& change : against.changes) {
    const std::string name =
        engine.camshafts.size() > 1 ? fmt::format(" of \"{}\"", engine.camshafts[change.camshaft].name) : std::string();
    page += fmt::format("phase{} {}° crank (±{}), {}; by what was fitted {}° was to be expected.\n", name,
                        signed_fixed(change.deg, 2), fixed(cover * change.u_deg, 2),
                        change.real ? "a real change" : "which may be chance", signed_fixed(change.foretold_deg, 2));
  }
  return page;
}

std::string page_of(const Engine& engine, const Build& build, const DegreeRead& read,
                    const std::optional<Against>& against) {
  std::string page;
  for (const SlipFound& slip : read.slips) page += fmt::format("WRITTEN WRONGLY: {}.\n", slip.words);
  page += fmt::format("{}\n{}\n{}", title_words(engine, build), wheel_page(read.wheel), stops_table(read.wheel));
  if (!read.lobes.empty()) page += fmt::format("\n{}\n", lobes_table(read));
  if (read.slips.empty())
    for (const CamshaftRead& cam : read.camshafts) page += camshaft_page(engine, cam);
  else
    page += "These figures go by what is written: put that right before anything is made of them.\n";
  for (const std::string& outlier : read.outliers) page += capital(outlier) + ".\n";
  if (against) page += against_page(engine, *against);
  page += "\nAngles are crank degrees; ±: what the figure may be out by (k = 2). Turn the engine by hand only, in the "
          "running direction, plugs out, and come to every reading from the same side. Take the piston stop out before "
          "the engine is turned through TDC or cranked.\n";
  return wrapped(page);
}

// "1 of 2026-04-21".
std::string set_words(std::size_t index, const Measured& set) {
  return set.date.empty() ? fmt::format("{}", index + 1) : fmt::format("{} of {}", index + 1, set.date);
}

// The set that --against names.
Result<std::size_t> set_named(const std::vector<Measured>& history, const std::string& which) {
  std::string there;
  for (std::size_t i = 0; i < history.size(); ++i)
    there += fmt::format("{}{}", there.empty() ? "" : ", ", set_words(i, history[i]));
  if (history.empty()) return problem_at("--against", which, "a set of [[history]], of which there is none");
  if (which == "last") return history.size() - 1;
  for (std::size_t i = history.size(); i-- > 0;)
    if (history[i].date == which) return i;
  if (const std::optional<int> number = read_whole_number(which);
      number && *number >= 1 && static_cast<std::size_t>(*number) <= history.size())
    return static_cast<std::size_t>(*number - 1);
  return problem_at("--against", which, "last, or one of the sets of [[history]]: " + there);
}

Result<Against> compare(const Engine& engine, const Build& build, const DegreeRead& now, const std::string& which) {
  const Result<std::size_t> at = set_named(build.history, which);
  if (!at) return at.problems();
  const Measured& set = build.history[*at];
  const Result<DegreeRead> then = read_degree(set.engine ? *set.engine : engine, set, build.instruments);
  if (!then) return then.problems();
  return Against{fmt::format("set {}", set_words(*at, set)), phase_changes(*then, now)};
}

Json pair_json(const PairRead& pair) {
  return Json::object({{"reading", static_cast<int>(pair.reading + 1)},
                       {"middle_deg", pair.middle_deg},
                       {"foretold_deg", pair.foretold_deg},
                       {"u_deg", pair.u_deg},
                       {"left_deg", pair.left_deg},
                       {"duration_deg", pair.duration_deg},
                       {"foretold_duration_deg", pair.foretold_duration_deg},
                       {"left_out", pair.left_out}});
}

Json lobe_json(const LobeRead& lobe) {
  Json pairs = Json::array();
  for (const PairRead& pair : lobe.pairs) pairs.add(pair_json(pair));
  return Json::object({{"valve", phasewright::to_word(lobe.valve)},
                       {"cylinder", lobe.cylinder},
                       {"centre_deg", lobe.centre_deg},
                       {"u_deg", lobe.u_deg},
                       {"card_deg", lobe.card_deg},
                       {"drawn_deg", lobe.drawn_deg},
                       {"asymmetry_deg_per_mm", lobe.asymmetry_deg_per_mm},
                       {"u_asymmetry_deg_per_mm", lobe.u_asymmetry_deg_per_mm},
                       {"leans", lobe.leans},
                       {"pairs", pairs}});
}

Json camshaft_json(const Engine& engine, const CamshaftRead& cam) {
  return Json::object({{"name", engine.camshafts[cam.camshaft].name},
                       {"phase_deg", cam.phase_deg},
                       {"u_phase_deg", cam.u_deg},
                       {"drawn_phase_deg", cam.drawn_phase_deg},
                       {"extra_deg", cam.extra_deg},
                       {"off_card", cam.off_card},
                       {"off_drawn", cam.off_drawn},
                       {"lobes_apart_deg", cam.lobes_apart_deg},
                       {"lobes_disagree", cam.lobes_disagree}});
}

template <class T, class Write>
Json list_of(const std::vector<T>& items, Write write) {
  Json list = Json::array();
  for (const T& item : items) list.add(write(item));
  return list;
}

Json json_of(const Engine& engine, const DegreeRead& read, const std::optional<Against>& against) {
  Json json = Json::object();
  json.set("tdc_correction_deg", read.wheel.tdc_correction_deg).set("u_tdc_deg", read.wheel.u_deg);
  json.set("stop_read", read.wheel.read);
  json.set("lobes", list_of(read.lobes, lobe_json));
  const bool any = !read.camshafts.empty();
  json.set("phase_deg", any ? Json(read.camshafts[0].phase_deg) : Json());
  json.set("u_phase_deg", any ? Json(read.camshafts[0].u_deg) : Json());
  json.set("camshafts", list_of(read.camshafts, [&](const CamshaftRead& cam) { return camshaft_json(engine, cam); }));
  json.set("slips", list_of(read.slips, [](const SlipFound& slip) {
             return Json::object({{"slip", to_word(slip.slip)}, {"words", slip.words}});
           }));
  json.set("outliers", words_json(read.outliers));
  if (!against) return json;
  json.set("against", against->which);
  json.set("changes", list_of(against->changes, [&](const PhaseChange& change) {
             return Json::object({{"name", engine.camshafts[change.camshaft].name},
                                  {"deg", change.deg},
                                  {"u_deg", change.u_deg},
                                  {"real", change.real},
                                  {"foretold_deg", change.foretold_deg}});
           }));
  return json;
}

} // namespace

Result<Answer> degree_command(const Context& context) {
  const Build& build = context.opened.build;
  const Engine& engine = *context.opened.engine;
  const Result<DegreeRead> read =
      read_degree(build.measured.engine ? *build.measured.engine : engine, build.measured, build.instruments);
  if (!read) return read.problems();
  std::optional<Against> against;
  if (!context.options.against.empty()) {
    Result<Against> compared = compare(engine, build, *read, context.options.against);
    if (!compared) return compared.problems();
    against = *std::move(compared);
  }
  Answer answer;
  answer.exit_code = read->slips.empty() ? exit_done : exit_out_of_limits;
  answer.page = page_of(engine, build, *read, against);
  answer.json = json_of(engine, *read, against);
  return answer;
}

} // namespace phasewright::cli
