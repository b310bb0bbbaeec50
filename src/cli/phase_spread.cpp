#include "cli/phase_spread.hpp"

#include "cli/drive_words.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

// Of spread_levels.
constexpr std::size_t level_0_5 = 0, level_2_5 = 1, level_16 = 2, level_84 = 4, level_97_5 = 5, level_99_5 = 6;

// "1,000,000"
std::string grouped(std::size_t count) {
  if (count < 1000) return fmt::format("{}", count);
  return grouped(count / 1000) + fmt::format(",{:03}", count % 1000);
}

// "84 in 100"; a share that is not quite all or nothing is not said to be.
std::string in_100(double share) {
  const double hundred = 100.0 * share;
  if (share > 0.0 && hundred < 0.5) return "fewer than 1 in 100";
  if (share < 1.0 && hundred > 99.5) return "more than 99 in 100";
  return fmt::format("{} in 100", fixed(hundred, 0));
}

std::string limit_words(const SpreadPart& part) {
  if (part.one_sided) return fmt::format("0 to +{:g} {}", 2.0 * part.half_width, part.unit);
  if (part.unit != "deg") return fmt::format("±{:g} {}", part.half_width, part.unit);
  const bool between = part.cause.find('"') != std::string::npos;
  return fmt::format("±{:g}° {}", part.half_width,
                     between                           ? "of its shaft"
                     : part.cause.starts_with("crank") ? "crank"
                                                       : "cam");
}

std::string share_words(double share) {
  return share < 0.01 ? "under 1 %" : fmt::format("{} %", fixed(100.0 * share, 0));
}

std::string phase_table(const Spread& spread) {
  const auto from_to = [&spread](std::size_t low, std::size_t high) {
    return fmt::format("{} to {}", signed_fixed(spread.percentile_deg[low], 2),
                       signed_fixed(spread.percentile_deg[high], 2));
  };
  return table({Align::left, Align::right}, {{"Phase", "crank degrees"},
                                             {"with nothing out", signed_fixed(spread.nominal_deg, 2)},
                                             {"mean of all builds", signed_fixed(spread.mean_deg, 2)},
                                             {"standard deviation", fixed(spread.deviation_deg, 2)},
                                             {"68 in 100 builds", from_to(level_16, level_84)},
                                             {"95 in 100", from_to(level_2_5, level_97_5)},
                                             {"99 in 100", from_to(level_0_5, level_99_5)}});
}

std::string parts_table(const Spread& spread) {
  std::vector<std::vector<std::string>> rows{{"What may be out", "by", "alone, crank °", "share"}};
  for (const SpreadPart& part : spread.parts)
    rows.push_back({part.cause, limit_words(part), fixed(part.deviation_deg, 2), share_words(part.share)});
  return table({Align::left, Align::left, Align::right, Align::right}, rows);
}

// As many marks as make the longest bar at most this.
constexpr double longest_bar = 50.0;

// A round number of builds in a thousand for each mark.
double per_mark(const std::vector<double>& histogram) {
  const double greatest = *std::ranges::max_element(histogram);
  double mark = 0.001;
  for (const double step : {0.001, 0.002, 0.005, 0.01, 0.02}) {
    mark = step;
    if (greatest / mark <= longest_bar) break;
  }
  return mark;
}

std::string bars(const Spread& spread) {
  const double mark = per_mark(spread.histogram);
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(spread.bin_deg) - 1e-9)));
  std::vector<std::vector<std::string>> rows{
      {"crank degrees", fmt::format("a # is {:g} builds in 1000; o where nothing is out", 1000.0 * mark)}};
  const auto bar_of = [&](std::size_t bin) {
    const double from_deg = spread.low_deg + spread.bin_deg * static_cast<double>(bin);
    std::string bar(static_cast<std::size_t>(std::lround(spread.histogram[bin] / mark)), '#');
    if (spread.nominal_deg >= from_deg && spread.nominal_deg < from_deg + spread.bin_deg) bar += "o";
    return bar;
  };
  // The ends, where hardly a build lies, are left out.
  std::size_t begin = 0;
  std::size_t end = spread.histogram.size();
  while (bar_of(begin).empty()) ++begin;
  while (bar_of(end - 1).empty()) --end;
  for (std::size_t bin = begin; bin < end; ++bin) {
    const double from_deg = spread.low_deg + spread.bin_deg * static_cast<double>(bin);
    rows.push_back(
        {fmt::format("{} to {}", signed_fixed(from_deg, decimals), signed_fixed(from_deg + spread.bin_deg, decimals)),
         bar_of(bin)});
  }
  return table({Align::right, Align::left}, rows);
}

// How it is found out before the engine goes together, or that it is not.
std::string advice_of(const SpreadPart& part, const Fitted& fitted) {
  const std::string& cause = part.cause;
  if (cause == "lobe centre")
    return "No mark shows how a lobe was ground: only indicator and wheel do, once the camshaft is in.";
  if (part.one_sided)
    return fitted.elongation_percent > 0.0
               ? fmt::format("It stands on top of the {:g} % that is fitted. Where that was measured on this very "
                             "chain, it is known: tolerance.chain_percent=0 leaves it out.",
                             fitted.elongation_percent)
               : "Measure the chain over many pitches under load, put that into fitted.elongation_percent, and "
                 "tolerance.chain_percent=0 leaves it out.";
  if (cause == "centre distance")
    return "Measure the centres, put the difference into fitted.centre_change_mm, and narrow tolerance.centre_mm.";
  if (cause.find("keyway") != std::string::npos)
    return "Keys that fit their keyways without play take it away: see phasewright key.";
  if (cause.find("key step") != std::string::npos)
    return "Measure the key's step before it goes in: phasewright key says what it ought to be.";
  return "No mark shows how a sprocket's keyway was cut against its teeth: the wheel does, or another sprocket tried.";
}

std::string camshaft_page(const Engine& engine, const Build& build, const Spread& spread) {
  std::string page = fmt::format("With nothing out, {} stands {}.\n\n", camshaft_words(engine, spread.camshaft),
                                 phase_words(spread.nominal_deg));
  if (spread.parts.empty()) return page + "Every tolerance is 0: nothing is out, and every build stands there.\n";
  page += phase_table(spread) + "\n" + parts_table(spread) + "\n" + bars(spread) + "\n";
  page += fmt::format("{} builds stand within 1° of crank of where they would with nothing out.\n",
                      capital(in_100(spread.within_1_deg)));
  const double mean_off_deg = spread.mean_deg - spread.nominal_deg;
  constexpr double worth_saying_deg = 0.05;
  if (std::fabs(mean_off_deg) >= worth_saying_deg)
    page += fmt::format("In the mean they are {}° of crank {}: a chain may be long, never short.\n",
                        fixed(std::fabs(mean_off_deg), 2), mean_off_deg > 0.0 ? "early" : "late");
  const SpreadPart& first = spread.parts.front();
  page += fmt::format("What matters most is the {}, {} of the spread (of its variance). {}\n", first.cause,
                      share_words(first.share), advice_of(first, build.fitted));
  return page;
}

} // namespace

std::string spread_page(const Engine& engine, const Build& build, const std::vector<Spread>& spreads) {
  std::string page = title_words(engine, build) + "\n";
  page += fmt::format("What to expect before anything is fitted: {} builds (seed {}), every part out by anything up to "
                      "its tolerance.\n",
                      grouped(spreads.front().builds), spreads.front().seed);
  for (const Spread& spread : spreads) page += fmt::format("\n{}", camshaft_page(engine, build, spread));
  const bool widest_known = std::ranges::all_of(spreads, [](const Spread& spread) { return spread.parts.empty(); });
  if (!widest_known)
    page += "\nAlone: the standard deviation each would make by itself. Share: what would go from the variance, on "
            "average, if that one thing were known.\nLaid by the marks, "
            "this engine will be one of these builds; the wheel says which. An offset key bought before it has been "
            "read may correct what is not there.\n"
            "Not in it: one lobe ground off against another, guides and tensioner out of place, teeth off their "
            "pitch.\n";
  return page + "\n" + cautions();
}

Json spread_json(const Engine& engine, const std::vector<Spread>& spreads) {
  Json all = Json::array();
  for (const Spread& spread : spreads) {
    Json percentiles = Json::array();
    for (std::size_t i = 0; i < spread_levels.size(); ++i)
      percentiles.add(Json::object({{"percent", spread_levels[i]}, {"phase_deg", spread.percentile_deg[i]}}));
    Json parts = Json::array();
    for (const SpreadPart& part : spread.parts)
      parts.add(Json::object({{"cause", part.cause},
                              {"half_width", part.half_width},
                              {"unit", part.unit},
                              {"one_sided", part.one_sided},
                              {"deviation_deg", part.deviation_deg},
                              {"share", part.share}}));
    Json shares = Json::array();
    for (const double share : spread.histogram) shares.add(share);
    all.add(Json::object(
        {{"camshaft", engine.camshafts[spread.camshaft].name},
         {"builds", static_cast<long long>(spread.builds)},
         {"seed", static_cast<long long>(spread.seed)},
         {"nominal_deg", spread.nominal_deg},
         {"mean_deg", spread.mean_deg},
         {"deviation_deg", spread.deviation_deg},
         {"percentiles", percentiles},
         {"parts", parts},
         {"within_1_deg", spread.within_1_deg},
         {"histogram", Json::object({{"low_deg", spread.low_deg}, {"bin_deg", spread.bin_deg}, {"share", shares}})}}));
  }
  return all;
}

} // namespace phasewright::cli
