// The chain and its sprockets: sizes, wear, centres, counting.
#include "cli/chain_sections.hpp"
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "parts/sprocket_sizes.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

Section chain_section(const ChainCase& chain, const Drive* drive) {
  const Chain& drawn = chain.drawn().chain;
  const double play_mm = side_play_mm(drawn);
  Section section;
  section.page =
      fmt::format("{}: {}, {} of {} mm pitch, {}.\n",
                  chain.engine.loops.size() == 1 ? "Chain" : fmt::format("Chain {}", chain.loop + 1),
                  drawn.iso606.empty() ? "of the maker's own sizes" : drawn.iso606,
                  count_words(drawn.links, "link", "links"), drawn.pitch_mm, count_words(drawn.rows, "row", "rows"));
  section.page +=
      fmt::format("It is {} % longer than new; at {} % it is renewed. New, it can move {} mm sideways on its\n"
                  "sprockets, from stop to stop.\n",
                  fixed(chain.fitted.elongation_percent, 2), fixed(drawn.wear_limit_percent, 2), fixed(play_mm, 2));
  section.json =
      Json::object({{"iso606", drawn.iso606.empty() ? Json() : Json(drawn.iso606)},
                    {"links", drawn.links},
                    {"pitch_mm", drawn.pitch_mm},
                    {"rows", drawn.rows},
                    {"elongation_percent", chain.fitted.elongation_percent},
                    {"wear_limit_percent", drawn.wear_limit_percent},
                    {"side_play_mm", play_mm},
                    {"fitted", drive != nullptr ? tightness_json(chain.engine, *drive, chain.loop) : Json()}});
  return section;
}

Json range_json(SizeRange range) {
  return Json::object({{"least", range.least_mm}, {"greatest", range.greatest_mm}});
}

Json sizes_json(const Sprocket& sprocket, const SprocketSizes& sizes) {
  return Json::object({{"name", sprocket.name},
                       {"teeth", sizes.teeth},
                       {"pitch_diameter_mm", sizes.pitch_diameter_mm},
                       {"tip_diameter_mm", range_json(sizes.tip_diameter_mm)},
                       {"turned_diameter_mm", sizes.turned_diameter_mm},
                       {"root_diameter_mm", sizes.root_diameter_mm},
                       {"measuring_pin_mm", sizes.measuring_pin_mm},
                       {"over_pins_mm", sizes.over_pins_mm},
                       {"caliper_mm", sizes.caliper_mm},
                       {"tooth_width_mm", sizes.tooth_width_mm},
                       {"width_over_rows_mm", sizes.width_over_rows_mm},
                       {"side_relief_mm", range_json(sizes.side_relief_mm)},
                       {"least_side_radius_mm", sizes.least_side_radius_mm},
                       {"shroud_limit_mm", sizes.shroud_limit_mm},
                       {"radial_run_out_mm", sizes.radial_run_out_mm},
                       {"axial_run_out_mm", sizes.axial_run_out_mm}});
}

Section sprockets_section(const ChainCase& chain) {
  std::vector<std::vector<std::string>> rows{
      {"Sprocket, mm", "teeth", "pitch dia.", "tip dia.", "root dia.", "over pins", "tooth width"}};
  Section section{{}, Json::array()};
  for (const Sprocket& sprocket : chain.drawn().sprockets) {
    const SprocketSizes sizes = sprocket_sizes(chain.drawn().chain, sprocket.teeth);
    rows.push_back(
        {sprocket.name, fmt::format("{}", sizes.teeth), fixed(sizes.pitch_diameter_mm, 3),
         fmt::format("{} to {}", fixed(sizes.tip_diameter_mm.least_mm, 2), fixed(sizes.tip_diameter_mm.greatest_mm, 2)),
         fixed(sizes.root_diameter_mm, 2), fixed(sizes.over_pins_mm, 2), fixed(sizes.tooth_width_mm, 2)});
    section.json.add(sizes_json(sprocket, sizes));
  }
  section.page = "Sprockets for this chain, by ISO 606\n";
  section.page +=
      table({Align::left, Align::right, Align::right, Align::right, Align::right, Align::right, Align::right}, rows);
  section.page +=
      fmt::format("Over pins: across two pins of {} mm laid in opposite gaps; with an odd number of teeth, in the\n"
                  "two nearest to opposite.\n",
                  fixed(chain.drawn().chain.roller_mm, 2));
  return section;
}

// What is wrong with the chain as it is fitted, worst first; empty when it is within its limits.
std::vector<std::string> out_of_limits(const ChainCase& chain, const WearStudy& study) {
  const double worn_percent = chain.fitted.elongation_percent;
  const Chain& drawn = chain.drawn().chain;
  std::vector<std::string> faults;
  for (const RideOut& sprocket : study.at_limit)
    if (worn_percent >= sprocket.climbs_at_percent)
      faults.push_back(fmt::format("the chain climbs the teeth of \"{}\"", sprocket.sprocket));
  if (study.runs_out_percent && worn_percent >= *study.runs_out_percent)
    faults.push_back(gives_out_words(chain, study));
  if (worn_percent >= drawn.wear_limit_percent)
    faults.push_back(fmt::format("the chain is {} % longer than new, its wear limit is {} %: renew it",
                                 fixed(worn_percent, 2), fixed(drawn.wear_limit_percent, 2)));
  return faults;
}

Result<ChainCase> chain_case(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const ChainOptions& asked = context.options.chain;
  if (static_cast<std::size_t>(asked.loop) > engine.loops.size())
    return problem_at("--loop", fmt::format("{}", asked.loop),
                      engine.loops.size() == 1 ? "1: the engine has one chain"
                                               : fmt::format("1 to {}", engine.loops.size()));
  return ChainCase{engine, context.opened.build.fitted, static_cast<std::size_t>(asked.loop) - 1, asked};
}

} // namespace

Result<Answer> chain_command(const Context& context) {
  const Result<ChainCase> found = chain_case(context);
  if (!found) return found.problems();
  const ChainCase& chain = *found;
  const Result<WearStudy> study = wear_study(chain.engine, chain.fitted, chain.asked.band_deg, chain.loop);
  if (!study) return study.problems();
  const std::vector<std::string> faults = out_of_limits(chain, *study);
  const Result<Drive> drive = Drive::assemble(chain.engine, chain.fitted);
  // A drive worn past what it can take up is an answer; any other that cannot be is not.
  if (!drive && faults.empty()) return drive.problems();
  const Drive* as_fitted = drive ? &*drive : nullptr;
  const Result<Section> centres = centres_section(chain);
  if (!centres) return centres.problems();
  const Result<Section> counting = counting_section(chain, as_fitted);
  if (!counting) return counting.problems();

  Answer answer;
  answer.exit_code = faults.empty() ? exit_done : exit_out_of_limits;
  Json reasons = Json::array();
  for (const std::string& fault : faults) {
    answer.page += fmt::format("OUT OF LIMITS: {}.\n", fault);
    reasons.add(fault);
  }
  answer.page += title_words(chain.engine, context.opened.build) + "\n";
  answer.json =
      Json::object({{"loop", chain.asked.loop}, {"within_limits", faults.empty()}, {"out_of_limits", reasons}});
  const auto add = [&answer](const char* key, const Section& section) {
    answer.page += section.page + "\n";
    answer.json.set(key, section.json);
  };
  add("chain", chain_section(chain, as_fitted));
  add("sprockets", sprockets_section(chain));
  add("wear", wear_section(chain, *study));
  add("centres", *centres);
  add("counting", *counting);
  answer.page += cautions();
  return answer;
}

} // namespace phasewright::cli
