// The curves that go to other programs: read back from the file, against what the other commands answer.
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <map>
#include <numbers>
#include <sstream>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

struct Curves {
  std::vector<std::string> comments;
  std::vector<std::string> columns;
  std::vector<std::vector<double>> rows; // NaN for an empty cell

  [[nodiscard]] std::size_t column(const std::string& name) const {
    const auto found = std::find(columns.begin(), columns.end(), name);
    INFO("column " << name);
    REQUIRE(found != columns.end());
    return static_cast<std::size_t>(found - columns.begin());
  }
  [[nodiscard]] double at(std::size_t row, const std::string& name) const { return rows.at(row)[column(name)]; }
};

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line)
    if (c == ',')
      cells.emplace_back();
    else
      cells.back() += c;
  return cells;
}

Curves parsed(const std::string& text) {
  Curves curves;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.front() == '#') {
      CHECK(curves.columns.empty()); // comments come on top only
      curves.comments.push_back(line);
    } else if (curves.columns.empty()) {
      curves.columns = cells_of(line);
    } else {
      std::vector<double> row;
      for (const std::string& cell : cells_of(line)) row.push_back(cell.empty() ? std::nan("") : std::stod(cell));
      REQUIRE(row.size() == curves.columns.size());
      curves.rows.push_back(std::move(row));
    }
  }
  return curves;
}

Curves exported(std::vector<std::string> arguments) {
  const Scratch scratch;
  const std::string file = scratch / "curves.csv";
  arguments.insert(arguments.begin(), "export");
  arguments.insert(arguments.end(), {"-o", file});
  const Run run = run_program(arguments);
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  CHECK(run.err.empty());
  CHECK(scratch.files() == 1);
  return parsed(read_file(file));
}

json answer(std::vector<std::string> arguments) {
  arguments.emplace_back("--json");
  return json::parse(run_program(arguments).out);
}

// The rate of a column by differences of the rows about one.
double rate(const Curves& curves, std::size_t row, const std::string& name) {
  return (curves.at(row + 1, name) - curves.at(row - 1, name)) /
         (curves.at(row + 1, curves.columns[0]) - curves.at(row - 1, curves.columns[0]));
}

} // namespace

TEST_CASE("export: the cycle has the figures of pose, degree by degree", "[cli][export]") {
  const Curves curves = exported({});
  REQUIRE(curves.rows.size() == 721);
  CHECK(curves.at(0, "crank_deg") == 0.0);
  CHECK(curves.at(720, "crank_deg") == 720.0);
  for (const std::size_t deg : {0u, 12u, 110u, 350u, 700u}) {
    const json pose = answer({"pose", "--crank", std::to_string(deg)});
    INFO("crank " << deg);
    CHECK_THAT(curves.at(deg, "inlet_valve_mm"), WithinAbs(pose["valves"][0]["lift_mm"].get<double>(), 1e-8));
    CHECK_THAT(curves.at(deg, "exhaust_valve_mm"), WithinAbs(pose["valves"][1]["lift_mm"].get<double>(), 1e-8));
    CHECK_THAT(curves.at(deg, "inlet_tappet_mm"), WithinAbs(pose["valves"][0]["tappet_mm"].get<double>(), 1e-8));
    CHECK_THAT(curves.at(deg, "piston_drop_mm"), WithinAbs(pose["pistons"][0]["drop_mm"].get<double>(), 1e-7));
    CHECK_THAT(curves.at(deg, "piston_mm_per_deg"), WithinAbs(pose["pistons"][0]["mm_per_deg"].get<double>(), 1e-8));
    CHECK_THAT(curves.at(deg, "rod_deg"), WithinAbs(pose["pistons"][0]["rod_deg"].get<double>(), 1e-8));
    CHECK_THAT(curves.at(deg, "camshaft_1_deg"), WithinAbs(pose["camshafts"][0]["turned_deg"].get<double>(), 1e-6));
  }
  // What the engine file's dimensions make of chamber, gasket, deck and dish.
  const double quarter_pi = std::numbers::pi / 4.0;
  const double left_cc = 34.0 + quarter_pi * (7.35 * 7.35 * 0.09 + 7.2 * 7.2 * 0.035) + 4.5;
  CHECK_THAT(curves.at(0, "volume_cc"), WithinAbs(left_cc, 1e-7));
  CHECK_THAT(curves.at(180, "volume_cc"), WithinAbs(left_cc + quarter_pi * 7.2 * 7.2 * 8.7, 1e-6));
}

TEST_CASE("export: rates are those of the columns they stand beside", "[cli][export]") {
  const Curves curves = exported({"--step", "0.1"});
  REQUIRE(curves.rows.size() == 7201);
  for (const std::size_t row : {301u, 751u, 1101u, 5601u}) {
    INFO("row " << row);
    CHECK_THAT(rate(curves, row, "piston_drop_mm"), WithinAbs(curves.at(row, "piston_mm_per_deg"), 1e-5));
    CHECK_THAT(rate(curves, row, "piston_mm_per_deg"), WithinAbs(curves.at(row, "piston_mm_per_deg2"), 1e-5));
    for (const char* what : {"inlet_tappet", "inlet_valve", "exhaust_tappet", "exhaust_valve"}) {
      INFO(what);
      const std::string name = what;
      // The chain's ripple is in the lifts and not in the rates: 2 % of them at most with these few teeth.
      const double speed = curves.at(row, name + "_mm_per_deg");
      CHECK_THAT(rate(curves, row, name + "_mm"), WithinAbs(speed, 1e-4 + 0.02 * std::fabs(speed)));
      const double acceleration = curves.at(row, name + "_mm_per_deg2");
      CHECK_THAT(rate(curves, row, name + "_mm_per_deg"),
                 WithinAbs(acceleration, 1e-4 + 0.02 * std::fabs(acceleration)));
    }
  }
}

TEST_CASE("export: its least clearances are those of the clearance command", "[cli][export]") {
  const Curves curves = exported({"--step", "0.25"});
  const json clear = answer({"clearance"});
  for (const char* valve : {"inlet", "exhaust"}) {
    double least_mm = 1e9, distance_mm = 1e9;
    for (std::size_t row = 0; row < curves.rows.size(); ++row) {
      least_mm = std::min(least_mm, curves.at(row, std::string(valve) + "_axial_mm"));
      distance_mm = std::min(distance_mm, curves.at(row, std::string(valve) + "_distance_mm"));
    }
    CHECK_THAT(least_mm, WithinAbs(clear[valve]["least_mm"].get<double>(), 2e-3));
    CHECK_THAT(distance_mm, WithinAbs(clear[valve]["distance_mm"].get<double>(), 2e-3));
  }
}

TEST_CASE("export: against phase, as the curve of the clearance command", "[cli][export]") {
  const Curves curves = exported({"--of", "phase"});
  REQUIRE(curves.rows.size() == 41);
  const json clear = answer({"clearance", "--curve"});
  const json& curve = clear["phase_curve"];
  REQUIRE(curve["extra_deg"].size() == 401);
  for (std::size_t i = 0; i < 41; ++i) {
    CHECK_THAT(curves.at(i, "extra_deg"), WithinAbs(curve["extra_deg"][10 * i].get<double>(), 1e-9));
    CHECK_THAT(curves.at(i, "inlet_least_mm"), WithinAbs(curve["inlet_mm"][10 * i].get<double>(), 1e-6));
    CHECK_THAT(curves.at(i, "exhaust_least_mm"), WithinAbs(curve["exhaust_mm"][10 * i].get<double>(), 1e-6));
  }
  CHECK_THAT(curves.at(20, "inlet_least_mm"), WithinAbs(clear["inlet"]["least_mm"].get<double>(), 1e-6));
  CHECK_THAT(curves.at(20, "phase_1_deg"), WithinAbs(answer({"phase"})["phase_deg"].get<double>(), 1e-8));
  CHECK_THAT(curves.at(40, "phase_1_deg") - curves.at(20, "phase_1_deg"), WithinAbs(20.0, 1e-8));
}

TEST_CASE("export: a lobe's outline closes about its base circle, and its nose has the card's lift", "[cli][export]") {
  const Curves curves = exported({"--of", "lobe"});
  REQUIRE(curves.rows.size() == 361);
  CHECK(curves.at(0, "cam_deg") == -180.0);
  CHECK(curves.at(360, "cam_deg") == 180.0);
  const json events = answer({"events"});
  const json& cam = events["camshafts"][0];
  for (const char* valve : {"inlet", "exhaust"}) {
    INFO(valve);
    const std::string name = valve;
    double most_mm = 0.0, most_valve_mm = 0.0;
    for (std::size_t row = 0; row < curves.rows.size(); ++row) {
      most_mm = std::max(most_mm, curves.at(row, name + "_lift_mm"));
      most_valve_mm = std::max(most_valve_mm, curves.at(row, name + "_valve_mm"));
      // A flat tappet touches as high over the camshaft's axis as base circle and lift make together.
      const double reach_mm = std::hypot(curves.at(row, name + "_x_mm"), curves.at(row, name + "_y_mm"));
      const double height_mm = curves.at(0, name + "_y_mm") < 0.0 ? -curves.at(0, name + "_y_mm") : 0.0;
      CHECK(reach_mm >= height_mm + curves.at(row, name + "_lift_mm") - 1e-6);
    }
    CHECK_THAT(most_valve_mm, WithinAbs(cam[valve]["greatest_lift_mm"].get<double>(), 1e-3));
    CHECK_THAT(curves.at(0, name + "_x_mm"), WithinAbs(curves.at(360, name + "_x_mm"), 1e-7));
    CHECK_THAT(curves.at(0, name + "_lift_mm"), WithinAbs(0.0, 1e-12));
    // At the back of the base circle the outline's radius is the circle's own.
    CHECK_THAT(curves.at(0, name + "_curvature_mm"), WithinAbs(-curves.at(0, name + "_y_mm"), 1e-6));
    CHECK(most_mm > 5.0);
  }
}

TEST_CASE("export: a step that does not divide the span ends with its end all the same", "[cli][export]") {
  const Curves curves = exported({"--step", "7"});
  REQUIRE(curves.rows.size() == 104); // 0, 7 ... 714, 720
  CHECK(curves.at(102, "crank_deg") == 714.0);
  CHECK(curves.at(103, "crank_deg") == 720.0);
  for (std::size_t column = 1; column < curves.columns.size(); ++column)
    if (curves.columns[column] != "camshaft_1_deg")
      CHECK_THAT(curves.rows[103][column], WithinAbs(curves.rows[0][column], 1e-9));
  CHECK(exported({"--of", "phase", "--step", "15"}).rows.size() == 4);   // -20, -5, 10, 20
  CHECK(exported({"--of", "lobe", "--step", "0.7"}).rows.size() == 516); // 514 whole steps and a rest
  CHECK(exported({"--step", "0.3"}).rows.size() == 2401);                // no row twice for a rounded last step
}

TEST_CASE("export: the comments say what the figures are", "[cli][export]") {
  for (const char* of : {"cycle", "phase", "lobe"}) {
    const Curves curves = exported({models_path("dunlin-3.build.toml"), "--of", of, "--step", "10"});
    std::string comments;
    for (const std::string& comment : curves.comments) {
      CHECK(comment.rfind("# ", 0) == 0);
      comments += comment + "\n";
    }
    INFO(comments);
    for (const char* said : {"Marram 2050", "Dunlin", "a plan", "lengths in mm, angles in degrees"})
      CHECK(comments.find(said) != std::string::npos);
  }
  const Curves twin = exported({models_path("dunlin-3.build.toml"), "--step", "20"});
  CHECK(twin.column("camshaft_2_deg") == 2);
}

TEST_CASE("export: it says what it wrote, in words and in JSON", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "cycle.csv";
  const Run page = run_program({"export", "-o", file});
  CHECK(page.out.find("cycle.csv: cylinder No. 1 over the cycle, 721 rows of ") != std::string::npos);
  const json said = answer({"export", "-o", file, "--of", "lobe", "--step", "2"});
  CHECK(said["file"] == file);
  CHECK(said["of"] == "lobe");
  CHECK(said["rows"] == 181);
  CHECK(said["step_deg"] == 2.0);
  const Curves curves = parsed(read_file(file)); // the old file is replaced
  CHECK(curves.rows.size() == 181);
  CHECK(said["columns"].get<std::vector<std::string>>() == curves.columns);
}

TEST_CASE("export: what cannot be written is refused and leaves nothing behind", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "a.csv";
  const std::vector<std::pair<std::vector<std::string>, std::string>> refusals{
      {{}, "say where it goes: -o drive.glb for a model, -o cycle.csv for curves, -o all.json for all answers"},
      {{"-o", scratch / "a.txt"}, "allowed a file name that ends in .glb, .csv or .json"},
      {{"-o", scratch / "a.gltf"}, "allowed a file name that ends in .glb, .csv or .json"},
      {{"-o", ".csv"}, "allowed a file name that ends in .glb, .csv or .json"},
      {{"-o", ".glb"}, "allowed a file name that ends in .glb, .csv or .json"},
      {{"-o", scratch / "none/a.csv"}, "a.csv: cannot be written"},
      {{"-o", file, "--of", "valve"}, "--of: found valve, allowed cycle, phase or lobe"},
      {{"-o", file, "--step", "0"}, "--step: found 0, allowed 0.01 to 20 degrees"},
      {{"-o", file, "--step", "-1"}, "--step: found -1"},
      {{"-o", file, "--step", "21"}, "--step: found 21"},
      {{"-o", file, "--step", "nan"}, "--step: found nan"},
      {{"-o", file, "--crank", "3"}, "no such option: --crank"},
      {{"-o", file, "--as", "reference"}, "--as: found curves, FILE.csv, allowed only with FILE.glb"},
      {{"-o", file, "--plan", "1"}, "--plan: found curves, FILE.csv, allowed only with FILE.glb"},
      {{"-o", file, "--nuts"}, "--nuts: found curves, FILE.csv, allowed only with FILE.glb"},
      {{"-o", scratch / "all.json", "--step", "2"}, "--step: found all answers, FILE.json, allowed only with FILE.csv"},
      {{"-o", scratch / "none/all.json"}, "all.json: cannot be written"},
      {{"-o", file, "--set", "fitted.lay=11"}, "fitted.lay: found 11"},
      {{"none.toml", "-o", file}, "there is no such file"},
  };
  for (const auto& [arguments, said] : refusals) {
    std::vector<std::string> words{"export"};
    words.insert(words.end(), arguments.begin(), arguments.end());
    check_refused(run_program(words), said);
  }
  CHECK(scratch.files() == 0);
  // A file already there stays as it was.
  CHECK(scratch.write("a.csv", "kept") == file);
  CHECK(run_program({"export", "-o", file, "--set", "fitted.lay=11"}).exit_code == 2);
  CHECK(read_file(file) == "kept");
}

TEST_CASE("export: all answers in one file are what each command answers by itself", "[cli][export]") {
  const Scratch scratch;
  const std::vector<std::string> set{"--set", "fitted.lay=1"};
  const std::string file = scratch / "all.json";
  const Run run = run_program({"export", "-o", file, set[0], set[1], "--json"});
  REQUIRE(run.exit_code == 0);
  const json all = json::parse(read_file(file));
  const json said = json::parse(run.out);
  REQUIRE(said["given"].size() == 11);
  CHECK(said["refused"].empty());
  for (const std::string name : said["given"]) {
    const Run alone = run_program({name, set[0], set[1], "--json"});
    INFO(name);
    REQUIRE(alone.exit_code != 2);
    json answer = json::parse(alone.out);
    answer.erase("cautions"); // once for all of them
    CHECK(all[name] == answer);
  }
  // What cannot be answered says why, and the rest is there.
  const std::string engine = scratch / "engine.json";
  REQUIRE(run_program({"export", models_path("marram-1420.toml"), "-o", engine}).exit_code == 0);
  const json bare = json::parse(read_file(engine));
  CHECK(bare["pose"].contains("pins"));
  REQUIRE(bare["endfloat"].contains("problems"));
  CHECK(bare["endfloat"]["problems"][0].get<std::string>().find("measured.float_mm") != std::string::npos);
}

TEST_CASE("export: curves go by the readings, as clearance does", "[cli][export]") {
  // Readings of a chain that is a tooth back, which the file does not say.
  const std::vector<std::string> build{models_path("curlew-7.build.toml")};
  const Curves curves = exported(build);
  const Run clearance = run_program({"clearance", build[0], "--json"});
  const json answer = json::parse(clearance.out);
  REQUIRE(answer["goes_by_readings"] == true);
  double least_mm = 1000.0;
  for (std::size_t row = 0; row < curves.rows.size(); ++row)
    least_mm = std::min(least_mm, curves.at(row, "inlet_axial_mm"));
  CHECK(std::fabs(least_mm - answer["inlet"]["least_mm"].get<double>()) < 0.01); // a row a degree
  const auto says = [](const std::string& comment) { return comment.find("go by the readings") != std::string::npos; };
  CHECK(std::any_of(curves.comments.begin(), curves.comments.end(), says));
}
