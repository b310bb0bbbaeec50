// What wear does to one chain, up to its limit.
#include "cli/chain_sections.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

// The study has steps for a curve; the page shows every third of them.
constexpr std::size_t page_every = 3;

std::string ride_out_page(const ChainCase& chain, const WearStudy& study) {
  std::vector<std::vector<std::string>> rows{
      {"Sprocket", "rollers ride out, mm", "teeth reach, mm", "left, mm", "chain climbs at"}};
  for (const RideOut& sprocket : study.at_limit)
    rows.push_back({sprocket.sprocket, fixed(sprocket.ride_out_mm, 2), fixed(sprocket.working_height_mm, 2),
                    fixed(sprocket.margin_mm, 2), fixed(sprocket.climbs_at_percent, 1) + " %"});
  return fmt::format("Wear: on the teeth, with the chain at its limit of {} %\n",
                     fixed(chain.drawn().chain.wear_limit_percent, 2)) +
         table({Align::left, Align::right, Align::right, Align::right, Align::right}, rows);
}

std::string curve_page(const ChainCase& chain, const WearStudy& study) {
  const bool tensioned = chain.drawn().tensioner.has_value();
  std::vector<std::string> heading{"Longer by"};
  std::vector<Align> columns{Align::right};
  for (const Camshaft& camshaft : chain.engine.camshafts) {
    heading.push_back(fmt::format("\"{}\", crank °", camshaft.name));
    columns.push_back(Align::right);
  }
  heading.emplace_back(tensioned ? "tensioner out, mm" : "slack, mm");
  heading.emplace_back(tensioned ? "travel left, mm" : "of its strand");
  columns.insert(columns.end(), 2, Align::right);
  std::vector<std::vector<std::string>> rows{heading};
  for (std::size_t i = 0; i < study.curve.size(); i += page_every) {
    const WearPoint& point = study.curve[i];
    std::vector<std::string> row{fixed(point.elongation_percent, 2) + " %"};
    for (std::size_t k = 0; k < chain.engine.camshafts.size(); ++k)
      row.push_back(k < point.phase_deg.size() ? signed_fixed(point.phase_deg[k], 2) : "");
    if (tensioned) {
      row.push_back(point.travel_mm ? fixed(point.travel_mm->greatest, 2) : "run out");
      row.push_back(point.travel_mm ? fixed(point.travel_left_mm, 2) : "");
    } else {
      row.push_back(point.runs ? fixed(point.slack_mm, 2) : "too slack");
      row.push_back(
          point.runs && point.slack_span_mm > 0.0 ? fixed(100.0 * point.slack_mm / point.slack_span_mm, 1) + " %" : "");
    }
    rows.push_back(std::move(row));
  }
  return table(columns, rows);
}

std::string run_out_page(const ChainCase& chain, const WearStudy& study) {
  const std::string most = fmt::format("{} %", fixed(wear_study_most_percent, 0));
  if (!study.runs_out_percent)
    return chain.drawn().tensioner ? fmt::format("The tensioner does not run out up to {}.\n", most)
                                   : fmt::format("Up to {} the slack stays within what can be laid.\n", most);
  std::string page = fmt::format("{} once the chain is {} % longer", capital(gives_out_words(chain, study)),
                                 fixed(*study.runs_out_percent, 2));
  if (*study.runs_out_percent < chain.drawn().chain.wear_limit_percent) page += ", before its wear limit";
  return page + ".\n";
}

std::string band_page(const ChainCase& chain, const WearStudy& study) {
  std::string page;
  for (std::size_t i = 0; i < study.leaves_band_percent.size(); ++i) {
    const std::optional<double>& leaves = study.leaves_band_percent[i];
    const std::string band = fmt::format("{}° crank of where a new chain has it", fixed(chain.asked.band_deg, 2));
    const std::string who = capital(camshaft_words(chain.engine, i));
    page += leaves ? fmt::format("{} is more than {} once the chain is {} % longer.\n", who, band, fixed(*leaves, 2))
                   : fmt::format("{} stays within {} up to {} %.\n", who, band, fixed(wear_study_most_percent, 0));
  }
  return page;
}

Json curve_json(const WearStudy& study) {
  Json curve = Json::array();
  for (const WearPoint& point : study.curve) {
    Json phases = Json::array();
    for (const double phase_deg : point.phase_deg) phases.add(phase_deg);
    curve.add(Json::object({{"elongation_percent", point.elongation_percent},
                            {"phase_deg", phases},
                            {"runs", point.runs},
                            {"travel_mm", point.travel_mm ? extent_json(*point.travel_mm) : Json()},
                            {"travel_left_mm", point.travel_mm ? Json(point.travel_left_mm) : Json()},
                            {"slack_mm", point.runs ? Json(point.slack_mm) : Json()},
                            {"slack_span_mm", point.runs ? Json(point.slack_span_mm) : Json()}}));
  }
  return curve;
}

} // namespace

std::string gives_out_words(const ChainCase& chain, const WearStudy& study) {
  const std::string& key = study.runs_out_why.front().key;
  std::size_t loop = 0;
  for (std::size_t i = 1; i < chain.engine.loops.size(); ++i)
    if (key.starts_with(loop_key(i))) loop = i;
  const std::string of_chain = of_chain_words(chain.engine, loop);
  if (key.ends_with("travel_mm")) return fmt::format("the tensioner{} runs out of travel", of_chain);
  if (key.ends_with("links") || study.runs_out_why.front().found.find("slack") != std::string::npos)
    return fmt::format("the slack{} is more than can be laid", of_chain);
  return fmt::format("the way{} leaves no room between sprockets, guides and tensioner", of_chain);
}

Section wear_section(const ChainCase& chain, const WearStudy& study) {
  Section section;
  section.page = ride_out_page(chain, study) + "\n" + curve_page(chain, study) + "\n";
  section.page += band_page(chain, study) + run_out_page(chain, study);
  section.page +=
      fmt::format("By the handbook's rule, 200 / teeth of the largest sprocket, it would be renewed at {} %.\n",
                  fixed(study.large_sprocket_percent, 1));
  Json at_limit = Json::array();
  for (const RideOut& sprocket : study.at_limit)
    at_limit.add(Json::object({{"sprocket", sprocket.sprocket},
                               {"ride_out_mm", sprocket.ride_out_mm},
                               {"working_height_mm", sprocket.working_height_mm},
                               {"margin_mm", sprocket.margin_mm},
                               {"climbs_at_percent", sprocket.climbs_at_percent}}));
  Json leaves = Json::array();
  for (std::size_t i = 0; i < study.leaves_band_percent.size(); ++i)
    leaves.add(Json::object(
        {{"camshaft", chain.engine.camshafts[i].name}, {"elongation_percent", study.leaves_band_percent[i]}}));
  section.json =
      Json::object({{"at_limit", at_limit},
                    {"curve", curve_json(study)},
                    {"band_deg", chain.asked.band_deg},
                    {"leaves_band", leaves},
                    {"runs_out_percent", study.runs_out_percent},
                    {"runs_out_why", study.runs_out_why.empty() ? Json() : Json(to_text(study.runs_out_why.front()))},
                    {"large_sprocket_percent", study.large_sprocket_percent}});
  return section;
}

} // namespace phasewright::cli
