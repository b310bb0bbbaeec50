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

// A duration that neither the lobe as drawn nor a slip explains: more than its readings can be out by, and more than
// wear or lash make of it (our own bound, no source).
bool odd_duration(const PairRead& pair) {
  constexpr double most_deg = 5.0;
  return std::fabs(pair.duration_deg - pair.foretold_duration_deg) > std::fmax(most_deg, 6.0 * pair.u_duration_deg);
}

// An earlier set of readings and what it says.
struct Against {
  std::string which; // "set 1 of 2026-04-21"
  DegreeRead then;
  std::vector<PhaseChange> changes; // none where either set has a slip, for then there is no phase to compare
};

// What came is what was fitted, as far as the readings can tell.
bool as_foretold(const PhaseChange& change) {
  return std::fabs(change.deg - change.foretold_deg) <= cover * change.u_deg;
}

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
  std::vector<std::vector<std::string>> rows{{"Stop pair", "piston down, mm", "correction °", "from the mean °", ""}};
  for (const WheelZero::Pair& pair : wheel.pairs)
    rows.push_back({fmt::format("{}", pair.reading + 1), fixed(pair.drop_mm, 2), signed_fixed(pair.correction_deg, 2),
                    signed_fixed(pair.left_deg, 2), pair.left_out ? "left out" : ""});
  return table({Align::left, Align::right, Align::right, Align::right, Align::left}, rows);
}

std::string lobe_faults(const DegreeRead& read) {
  std::string page;
  for (const LobeRead& lobe : read.lobes) {
    const std::string name = fmt::format("{} of No. {}", phasewright::to_word(lobe.valve), lobe.cylinder);
    if (lobe.leans)
      page += fmt::format("The {} leans {}°/mm where the lobe as drawn has {}, and that is real: a worn flank, or the "
                          "indicator stands out of line.\n",
                          name, signed_fixed(*lobe.asymmetry_deg_per_mm, 2),
                          signed_fixed(lobe.drawn_asymmetry_deg_per_mm, 2));
    if (lobe.scattered)
      page += fmt::format("The pairs of the {} differ by more than the instruments explain: read them again.\n", name);
    for (const PairRead& pair : lobe.pairs)
      if (read.slips.empty() && !pair.left_out && odd_duration(pair))
        page += fmt::format("Reading {}, {}: open for {}° where the lobe as drawn has {}°; read it again, for what "
                            "follows rests on it.\n",
                            pair.reading + 1, name, fixed(pair.duration_deg, 1), fixed(pair.foretold_duration_deg, 1));
  }
  return page;
}

std::string lobes_table(const DegreeRead& read) {
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
         "higher up.\n" +
         lobe_faults(read);
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

std::string against_page(const Engine& engine, const DegreeRead& now, const Against& against) {
  std::string page = fmt::format("\nAgainst {}:\n", against.which);
  for (const SlipFound& slip : against.then.slips) page += fmt::format("WRITTEN WRONGLY then: {}.\n", slip.words);
  if (!now.slips.empty() || !against.then.slips.empty())
    return page + "Nothing is compared with readings that are written wrongly.\n";
  if (against.changes.empty()) return page + "No camshaft was read in both.\n";
  for (const PhaseChange& change : against.changes) {
    const std::string name =
        engine.camshafts.size() > 1 ? fmt::format(" of \"{}\"", engine.camshafts[change.camshaft].name) : std::string();
    page +=
        fmt::format("The phase{} has changed by {}° crank (±{}), {}. By what was fitted {}° was to be expected: {}.\n",
                    name, signed_fixed(change.deg, 2), fixed(cover * change.u_deg, 2),
                    change.real ? "which is real" : "which may be chance", signed_fixed(change.foretold_deg, 2),
                    as_foretold(change) ? "the two agree"
                                        : "the two do not agree, and that is real; something is fitted otherwise "
                                          "than the file says, or has moved");
  }
  return page;
}

std::string page_of(const Engine& engine, const Build& build, const DegreeRead& read,
                    const std::optional<Against>& against) {
  std::string page;
  for (const SlipFound& slip : read.slips) page += fmt::format("WRITTEN WRONGLY: {}.\n", slip.words);
  page += fmt::format("{}\n{}", title_words(engine, build), wheel_page(read.wheel));
  if (!read.wheel.pairs.empty()) page += fmt::format("\n{}", stops_table(read.wheel));
  if (!read.lobes.empty()) page += fmt::format("\n{}\n", lobes_table(read));
  if (read.slips.empty())
    for (const CamshaftRead& cam : read.camshafts) page += camshaft_page(engine, cam);
  else
    page += "These figures go by what is written: put that right before anything is made of them.\n";
  for (const std::string& outlier : read.outliers) page += capital(outlier) + ".\n";
  if (against) page += against_page(engine, read, *against);
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

// A set's own readings are at fault, not those on the bench.
Problems of_history(Problems problems, std::size_t set) {
  for (Problem& problem : problems)
    for (const auto& [bench, within] : {std::pair("measured", ""), std::pair("fitted", ".with")})
      if (const std::string key = bench; problem.key == key || problem.key.starts_with(key + "."))
        problem.key = fmt::format("history[{}]{}{}", set + 1, within, problem.key.substr(key.size()));
  return problems;
}

Result<Against> compare(const Engine& engine, const Build& build, const DegreeRead& now, const std::string& which) {
  const Result<std::size_t> at = set_named(build.history, which);
  if (!at) return at.problems();
  const Measured& set = build.history[*at];
  Result<DegreeRead> then = read_degree(engine, set, build.instruments);
  if (!then) return of_history(then.problems(), *at);
  Against against{fmt::format("set {}", set_words(*at, set)), *std::move(then), {}};
  if (now.slips.empty() && against.then.slips.empty()) against.changes = phase_changes(against.then, now);
  return against;
}

template <class T, class Write>
Json list_of(const std::vector<T>& items, Write write) {
  Json list = Json::array();
  for (const T& item : items) list.add(write(item));
  return list;
}

Json pair_json(const PairRead& pair) {
  return Json::object({{"reading", static_cast<int>(pair.reading + 1)},
                       {"middle_deg", pair.middle_deg},
                       {"foretold_deg", pair.foretold_deg},
                       {"u_deg", pair.u_deg},
                       {"left_deg", pair.left_deg},
                       {"duration_deg", pair.duration_deg},
                       {"foretold_duration_deg", pair.foretold_duration_deg},
                       {"u_duration_deg", pair.u_duration_deg},
                       {"odd_duration", odd_duration(pair)},
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
                       {"drawn_asymmetry_deg_per_mm", lobe.drawn_asymmetry_deg_per_mm},
                       {"leans", lobe.leans},
                       {"scattered", lobe.scattered},
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

Json stop_json(const WheelZero::Pair& pair) {
  return Json::object({{"reading", static_cast<int>(pair.reading + 1)},
                       {"correction_deg", pair.correction_deg},
                       {"left_deg", pair.left_deg},
                       {"drop_mm", pair.drop_mm},
                       {"left_out", pair.left_out}});
}

// Readings counted from 1, as they stand in the file.
Json slip_json(const SlipFound& slip) {
  const auto counted = [](std::size_t reading) { return Json(static_cast<int>(reading + 1)); };
  return Json::object({{"slip", to_word(slip.slip)},
                       {"lobe", list_of(slip.lobe, counted)},
                       {"stop", list_of(slip.stop, counted)},
                       {"words", slip.words}});
}

Json change_json(const Engine& engine, const PhaseChange& change) {
  return Json::object({{"name", engine.camshafts[change.camshaft].name},
                       {"deg", change.deg},
                       {"u_deg", change.u_deg},
                       {"real", change.real},
                       {"foretold_deg", change.foretold_deg},
                       {"as_foretold", as_foretold(change)}});
}

Json json_of(const Engine& engine, const DegreeRead& read, const std::optional<Against>& against) {
  Json json = Json::object();
  json.set("tdc_correction_deg", read.wheel.tdc_correction_deg).set("u_tdc_deg", read.wheel.u_deg);
  json.set("stop_read", read.wheel.read).set("stops", list_of(read.wheel.pairs, stop_json));
  json.set("stops_scattered", read.wheel.scattered);
  json.set("lobes", list_of(read.lobes, lobe_json));
  const bool any = !read.camshafts.empty();
  json.set("phase_deg", any ? Json(read.camshafts[0].phase_deg) : Json());
  json.set("u_phase_deg", any ? Json(read.camshafts[0].u_deg) : Json());
  json.set("camshafts", list_of(read.camshafts, [&](const CamshaftRead& cam) { return camshaft_json(engine, cam); }));
  json.set("slips", list_of(read.slips, slip_json));
  json.set("outliers", words_json(read.outliers));
  if (!against) return json;
  json.set("against", against->which).set("against_slips", list_of(against->then.slips, slip_json));
  json.set("changes",
           list_of(against->changes, [&](const PhaseChange& change) { return change_json(engine, change); }));
  return json;
}

} // namespace

Result<Answer> degree_command(const Context& context) {
  const Build& build = context.opened.build;
  const Engine& engine = *context.opened.engine;
  if (!has_readings(build.measured) && !build.history.empty())
    return problem_at("measured", "no readings", "stop_deg or lobe, as read since the last set was put by",
                      fmt::format("the history has {}",
                                  count_words(static_cast<int>(build.history.size()), "earlier set", "earlier sets")));
  const Result<DegreeRead> read = read_degree(engine, build.measured, build.instruments);
  if (!read) return read.problems();
  std::optional<Against> against;
  if (!context.options.against.empty()) {
    Result<Against> compared = compare(engine, build, *read, context.options.against);
    if (!compared) return compared.problems();
    against = *std::move(compared);
  }
  Answer answer;
  const bool slipped = !read->slips.empty() || (against && !against->then.slips.empty());
  answer.exit_code = !slipped ? exit_done : exit_out_of_limits;
  answer.page = page_of(engine, build, *read, against);
  answer.json = json_of(engine, *read, against);
  return answer;
}

} // namespace phasewright::cli
