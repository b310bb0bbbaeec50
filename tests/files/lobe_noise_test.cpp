// Readings that stray from their neighbours: every bad one is found, and no smooth lobe is blamed.
#include "files/folder.hpp"
#include "files/lobe_noise.hpp"
#include "files/lobe_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

enum class Rise { p4567, p345, cycloidal };

// Rise over height of three common laws at a share `x` of the flank (textbooks on cams; also in the reference tests).
double rise(Rise law, double x) {
  if (law == Rise::p4567) return x * x * x * x * (35 - 84 * x + 70 * x * x - 20 * x * x * x);
  if (law == Rise::p345) return x * x * x * (10 - 15 * x + 6 * x * x);
  return x - std::sin(2 * std::numbers::pi * x) / (2 * std::numbers::pi);
}

struct Shape {
  Rise law = Rise::p4567;
  double opening_deg = 70; // cam degrees, nose to base circle or ramp
  double closing_deg = 70;
  double lift_mm = 8;
  double ramp_mm = 0; // straight, of constant speed
  double ramp_deg = 15;
};

double lift_of(const Shape& shape, double cam_deg) {
  const double flank_deg = cam_deg < 0 ? shape.opening_deg : shape.closing_deg;
  const double past = std::abs(cam_deg);
  const double up = rise(shape.law, std::clamp(1 - past / flank_deg, 0.0, 1.0)) * (shape.lift_mm - shape.ramp_mm);
  return up + shape.ramp_mm * std::clamp((flank_deg + shape.ramp_deg - past) / shape.ramp_deg, 0.0, 1.0);
}

struct Rows {
  std::vector<double> cam_deg;
  std::vector<double> lift_mm;
};

double rounded(double lift_mm) {
  return std::round(lift_mm * 100) / 100;
}

// Rows from base circle to base circle, rounded to 0.01 mm; none of them need stand at the nose.
Rows rows_of(const Shape& shape, double step_deg, double shifted_rows = 0) {
  Rows rows;
  const double half_deg =
      std::ceil((std::max(shape.opening_deg, shape.closing_deg) + shape.ramp_deg) / step_deg + 2) * step_deg;
  for (double deg = -half_deg; deg <= half_deg; deg += step_deg) {
    rows.cam_deg.push_back(deg);
    rows.lift_mm.push_back(rounded(lift_of(shape, deg + shifted_rows * step_deg)));
  }
  return rows;
}

std::vector<Shape> shapes() {
  std::vector<Shape> all;
  for (const Rise law : {Rise::p4567, Rise::p345, Rise::cycloidal})
    for (const double flank_deg : {50.0, 60.0, 75.0, 95.0})
      for (const double skew : {1.0, 1.15})
        for (const double lift_mm : {5.0, 8.0, 11.0})
          for (const double ramp_mm : {0.0, 0.3, 0.4})
            all.push_back({law, flank_deg, flank_deg * skew, lift_mm, ramp_mm, ramp_mm > 0.35 ? 10.0 : 15.0});
  return all;
}

} // namespace

TEST_CASE("No smooth lobe is blamed, at any usual step") {
  int lobes = 0;
  for (const double step_deg : {0.5, 1.0, 2.0, 5.0, 10.0})
    for (const Shape& shape : shapes())
      for (const double shifted_rows : {0.0, 0.3, 0.5}) {
        const Rows rows = rows_of(shape, step_deg, shifted_rows);
        INFO("step " << step_deg << ", law " << static_cast<int>(shape.law) << ", flank " << shape.opening_deg
                     << " and " << shape.closing_deg << ", lift " << shape.lift_mm << ", ramp " << shape.ramp_mm
                     << ", shifted " << shifted_rows);
        CHECK(stray_readings(rows.cam_deg, rows.lift_mm).empty());
        ++lobes;
      }
  CHECK(lobes == 5 * 216 * 3);
}

// What is put off, where, and by how much: said of that row alone, and within the rounding of the others.
TEST_CASE("One bad reading is found and no other is blamed") {
  struct Bad {
    double step_deg;
    double off_mm;
  };
  for (const Bad& bad : {Bad{1, 0.08}, Bad{1, -0.5}, Bad{2, 0.08}, Bad{2, -0.3}, Bad{5, 0.3}, Bad{5, -1}})
    for (const Rise law : {Rise::p4567, Rise::p345, Rise::cycloidal}) {
      const Rows rows = rows_of({law, 62, 70, 8, 0.3, 15}, bad.step_deg);
      for (std::size_t row = 3; row + 3 < rows.lift_mm.size(); ++row) {
        INFO("step " << bad.step_deg << ", off " << bad.off_mm << ", row " << row);
        std::vector<double> lift_mm = rows.lift_mm;
        lift_mm[row] += bad.off_mm;
        const auto found = stray_readings(rows.cam_deg, lift_mm);
        REQUIRE(found.size() == 1);
        CHECK(found[0].row == row);
        CHECK_THAT(found[0].off_mm, WithinAbs(bad.off_mm, bad.step_deg > 2 ? 0.12 : 0.03));
      }
    }
}

TEST_CASE("A bad reading is found between uneven steps, and two are told apart") {
  const Shape shape{Rise::p4567, 65, 65, 8, 0, 15};
  Rows rows;
  std::mt19937 random(4567); // NOLINT: the same steps every time
  for (double deg = -80; deg <= 80; deg += 1 + static_cast<double>(random() % 3u) / 2) {
    rows.cam_deg.push_back(deg);
    rows.lift_mm.push_back(rounded(lift_of(shape, deg)));
  }
  CHECK(stray_readings(rows.cam_deg, rows.lift_mm).empty());
  rows.lift_mm[30] += 0.3;
  rows.lift_mm[34] -= 0.2;
  const auto found = stray_readings(rows.cam_deg, rows.lift_mm);
  REQUIRE(found.size() == 2);
  CHECK(found[0].row == 30);
  CHECK(found[1].row == 34);
}

TEST_CASE("An unsteady hand is not called a bad reading, and a bad one is still found among its readings") {
  Rows rows = rows_of({}, 2);
  std::mt19937 random(1420); // NOLINT: the same readings every time
  std::normal_distribution<double> error_mm(0, 0.015);
  for (double& lift_mm : rows.lift_mm) lift_mm = rounded(lift_mm + error_mm(random));
  CHECK(stray_readings(rows.cam_deg, rows.lift_mm).empty());
  rows.lift_mm[40] += 0.5;
  const auto found = stray_readings(rows.cam_deg, rows.lift_mm);
  REQUIRE(found.size() == 1);
  CHECK(found[0].row == 40);
}

TEST_CASE("Too few rows, or none, tell nothing") {
  CHECK(stray_readings({}, {}).empty());
  CHECK(stray_readings({-40, -30, -20, -10, 0, 10, 20, 30, 40}, {0, 0.5, 2, 4, 7, 4, 2, 0.5, 0}).empty());
}

TEST_CASE("A table with many bad readings is told twenty of them") {
  Rows rows = rows_of({}, 1);
  for (std::size_t row = 20; row + 12 < rows.lift_mm.size(); row += 3) rows.lift_mm[row] += 0.4;
  CHECK(stray_readings(rows.cam_deg, rows.lift_mm).size() <= 20);
}

TEST_CASE("A stray reading is said with file, line and row, in the table's own unit") {
  std::string text = "# by hand\ncam_deg,lift_mm\n";
  std::string inches = "crank_deg,lobe_in\n";
  const Shape shape{Rise::p4567, 60, 60, 8, 0, 15};
  for (int deg = -70; deg <= 70; deg += 2) {
    const double off_mm = deg == -30 ? -0.127 : 0;
    text += fmt::format("{},{:.2f}\n", deg, lift_of(shape, deg) + off_mm);
    inches += fmt::format("{},{:.4f}\n", 2 * deg, (lift_of(shape, deg) - off_mm) / 25.4);
  }
  std::vector<std::string> cautions;
  REQUIRE(parse_lobe_table(text, "lobe.csv", &cautions).ok());
  CHECK(cautions == std::vector<std::string>{
                        "lobe.csv:23: row 21: 0.13 mm below the curve through its neighbours; check the reading"});
  cautions.clear();
  REQUIRE(parse_lobe_table(inches, "lobe.csv", &cautions).ok());
  CHECK(cautions == std::vector<std::string>{
                        "lobe.csv:22: row 21: 0.0051 in above the curve through its neighbours; check the reading"});
}

TEST_CASE("Cautions come with the engine, each once, whether an engine or a build is opened") {
  const phasewright::testing::Folder folder;
  folder.copy_build();
  folder.copy_engine({{"marram-exhaust.csv", "marram-inlet.csv"}});
  folder.write("marram-inlet.csv",
               edited(slurp(models_folder() / "marram-inlet.csv"), {{"\n-40,3.4003", "\n-40,3.6003"}}));
  const std::vector<std::string> said{
      "marram-inlet.csv:26: row 22: 0.20 mm above the curve through its neighbours; check the reading"};
  for (const char* name : {"sandling-14.build.toml", "marram-1420.toml"}) {
    const auto opened = open_any(folder / name);
    REQUIRE(opened.ok());
    REQUIRE(opened->cautions.size() == 1);
    CHECK(opened->cautions[0].substr(opened->cautions[0].find("marram-inlet.csv")) == said[0]);
  }
  CHECK(open_demo()->cautions.empty());
}
