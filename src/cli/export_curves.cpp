// Curves for other programs, as a table of comma-separated values.
#include "bench/clearance_read.hpp"
#include "bench/curves.hpp"
#include "bench/degree.hpp"
#include "cli/export.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace phasewright::cli {

namespace {

const char* to_word(CurvesOf of) {
  switch (of) {
  case CurvesOf::cycle:
    return "cycle";
  case CurvesOf::phase:
    return "phase";
  case CurvesOf::lobe:
    return "lobe";
  }
  return "";
}

const char* what_of(CurvesOf of) {
  switch (of) {
  case CurvesOf::cycle:
    return "cylinder No. 1 over the cycle";
  case CurvesOf::phase:
    return "least clearance against phase";
  case CurvesOf::lobe:
    return "the lobes";
  }
  return "";
}

// What the columns mean, a comment line each.
std::vector<std::string> column_words(const Engine& engine, CurvesOf of) {
  std::vector<std::string> lines;
  const auto camshafts = [&](const char* column) {
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i)
      lines.push_back(fmt::format("{}_{}_deg is of camshaft \"{}\"", column, i + 1, engine.camshafts[i].name));
  };
  if (of == CurvesOf::cycle) {
    lines = {
        "crank_deg: crank degrees in the running direction, 0 = No. 1 at overlap TDC",
        "camshaft_N_deg: cam degrees in the running direction, 0 where it stands at crank 0 in the maker's assembly"};
    camshafts("camshaft");
    lines.insert(
        lines.end(),
        {"lifts are positive opening, drop is below TDC, both + = growing; _per_deg is per crank degree",
         "derivatives of lifts take the camshaft to turn at an even half of the crank's speed; the lifts have the "
         "chain's ripple",
         "the third derivative (jerk) of a lobe given as a table is a step from row to row of that table",
         "rod_deg: rod to cylinder axis, + = big end on the side the throw is on just after TDC; volume_cc in cm3",
         "axial: valve to piston along the valve's axis, negative = they meet; distance: in any direction, 0 = they "
         "meet"});
  } else if (of == CurvesOf::phase) {
    lines = {"extra_deg: crank degrees, + = every camshaft so much further advanced than it is fitted",
             "phase_N_deg: the phase that makes, crank degrees, + = advanced against the maker's assembly"};
    camshafts("phase");
    lines.emplace_back("least: over the cycle, valve to piston along the valve's axis, negative = they meet");
  } else {
    lines = {
        "cam_deg: cam degrees from the nose, + = closing side; _per_deg is per cam degree",
        "lift is the tappet's; valve is the valve's, lash taken off; ratio is valve to tappet travel there",
        "x, y: where the lobe touches its follower, from the camshaft's axis, nose along +y, running anticlockwise",
        "curvature: radius of the outline there, negative = hollow, empty = straight",
        "the third derivative (jerk) of a lobe given as a table is a step from row to row of that table"};
  }
  return lines;
}

std::string csv_text(const std::vector<std::string>& comments, const CurveTable& table) {
  std::string text;
  for (const std::string& comment : comments) text += fmt::format("# {}\n", comment);
  text += fmt::format("{}\n", fmt::join(table.columns, ","));
  for (const std::vector<double>& row : table.rows) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (i > 0) text += ',';
      // + 0.0: -0 reads oddly. A straight outline's radius has no figure.
      if (std::isfinite(row[i])) fmt::format_to(std::back_inserter(text), "{:.10g}", row[i] + 0.0);
    }
    text += '\n';
  }
  return text;
}

// The curves, and what has to be said of clearances that could not be had.
struct Made {
  CurveTable table;
  std::string left_out;
};

Result<Made> make_curves(const Context& context, const Mechanism& mechanism) {
  const ExportOptions& asked = context.options.curves;
  const Build& build = context.opened.build;
  if (asked.of == CurvesOf::lobe) return Made{lobe_curves(mechanism, asked.step_deg), {}};
  const Result<ClearanceModel> clearances = clearance_as_read(mechanism, build);
  if (asked.of == CurvesOf::phase) {
    if (!clearances) return clearances.problems();
    return Made{phase_curves(mechanism, *clearances, asked.step_deg), {}};
  }
  Made made{cycle_curves(mechanism, clearances ? &*clearances : nullptr, asked.step_deg), {}};
  if (!clearances) made.left_out = "clearances are left out: " + phasewright::to_text(clearances.problems().front());
  return made;
}

// The file's text, and what is said of it besides.
struct CurvesFile {
  std::string text;
  Made made;
  std::vector<std::string> by_readings;
};

Result<CurvesFile> make_file(const Context& context) {
  const Build& build = context.opened.build;
  const Engine& engine = *context.opened.engine;
  Result<Mechanism> mechanism = Mechanism::assemble(context.opened.engine, fitted_as_read(engine, build));
  if (!mechanism) return mechanism.problems();
  Result<Made> made = make_curves(context, *mechanism);
  if (!made) return made.problems();

  const CurvesOf of = context.options.curves.of;
  std::vector<std::string> comments{
      fmt::format("phasewright {}: {}", PHASEWRIGHT_VERSION, what_of(of)), "engine: " + engine.name,
      "build: " + (build.title.empty() ? "none, the engine as its maker drew it" : build.title),
      "a plan, computed and not measured: confirm clearances physically before starting the engine",
      "lengths in mm, angles in degrees; 10 figures; a point for the decimals, a comma between the columns"};
  std::vector<std::string> by_readings;
  for (const auto& [camshaft, deg] : left_out_of(engine, build))
    by_readings.push_back(found_words(engine, camshaft, deg) + "; the curves go by the readings");
  std::ranges::copy(by_readings, std::back_inserter(comments));
  std::ranges::copy(column_words(engine, of), std::back_inserter(comments));
  if (!made->left_out.empty()) comments.push_back(made->left_out);
  std::string text = csv_text(comments, made->table);
  return CurvesFile{std::move(text), *std::move(made), std::move(by_readings)};
}

} // namespace

Result<std::string> curves_text(const Context& context) {
  Result<CurvesFile> file = make_file(context);
  if (!file) return file.problems();
  return std::move(file->text);
}

Result<Answer> export_curves(const Context& context) {
  const ExportOptions& asked = context.options.curves;
  const Result<CurvesFile> file = make_file(context);
  if (!file) return file.problems();
  const CurveTable& table = file->made.table;
  if (std::optional<Problem> trouble = write_atomic(asked.output, file->text)) return *std::move(trouble);

  Answer answer;
  answer.page = fmt::format("{}: {}, {} rows of {} columns, every {}° of {}.\n", asked.output, what_of(asked.of),
                            table.rows.size(), table.columns.size(), asked.step_deg,
                            asked.of == CurvesOf::lobe ? "cam" : "crank");
  for (const std::string& words : file->by_readings) answer.page += words + ".\n";
  if (!file->made.left_out.empty()) answer.page += capital(file->made.left_out) + "\n";
  Json columns = Json::array();
  for (const std::string& column : table.columns) columns.add(column);
  answer.json = Json::object({{"file", asked.output},
                              {"of", to_word(asked.of)},
                              {"step_deg", asked.step_deg},
                              {"rows", static_cast<int>(table.rows.size())},
                              {"columns", columns}});
  return answer;
}

} // namespace phasewright::cli
