// phasewright_bench [--quick]: prints how long the mechanics take. --quick shows that it runs; its figures are rough.

#include "bench/plan.hpp"
#include "benchmark/spread.hpp"
#include "benchmark/timing.hpp"
#include "benchmark/twin_cam.hpp"
#include "files/files.hpp"
#include "files/lobe_table.hpp"
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "model3d/model3d.hpp"
#ifdef PHASEWRIGHT_PAPER
#include "paper/draw_sheet.hpp"
#include "paper/write.hpp"
#endif
#include "reference/drives.hpp"
#include "reference/four_bar.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

using namespace phasewright;
using namespace phasewright::benchmark;

namespace {

constexpr std::size_t angle_count = 1024; // a power of two, so that taking turns costs a mask

std::array<double, angle_count> random_angles(double low, double high) {
  std::mt19937 random(40);
  std::array<double, angle_count> angles{};
  for (double& angle : angles) angle = testing::between(random, low, high);
  return angles;
}

void print_row(std::string_view what, const Timing& timing, std::string_view remark = {}) {
  const double scale = timing.median_ns < 1e3 ? 1.0 : timing.median_ns < 1e6 ? 1e3 : 1e6;
  const char* unit = scale == 1.0 ? "ns" : scale == 1e3 ? "us" : "ms";
  fmt::print("{:<44}{:>9.2f} {}  {:>8.2f} {:>8.2f}   {}\n", what, timing.median_ns / scale, unit,
             timing.least_ns / scale, timing.greatest_ns / scale, remark);
  std::fflush(stdout);
}

TautStrand demo_strand(const Engine& engine) {
  const auto polygon = [&engine](const Sprocket& sprocket) {
    return seat_polygon(sprocket.centre_mm, sprocket.teeth, engine.loops[0].chain.pitch_mm);
  };
  return {polygon(engine.loops[0].sprockets[1]), polygon(engine.loops[0].sprockets[0]), engine.loops[0].chain.pitch_mm};
}

void time_strand(const Effort& effort, const Engine& engine) {
  const TautStrand strand = demo_strand(engine);
  const auto angles = random_angles(0.0, turn_rad);
  const Timing closed = measure(
      effort, [&](long i) { return strand.entering(angles[static_cast<std::size_t>(i) % angle_count]).from_rad; });
  print_row("taut strand, closed form", closed, "aim: 100 ns");

  // The solver is told which pins the strand joins and starts half a tooth astray, which is less than the closed form
  // is asked.
  std::vector<testing::FourBar> linkages;
  for (const double angle : angles) {
    const StrandLie lie = strand.entering(angle);
    const glm::dvec2 arm = lie.from_pin_mm - strand.from().centre_mm;
    const double astray = strand.from().step_rad / 2.0;
    linkages.push_back({lie.to_pin_mm, strand.from().centre_mm, lie.links * engine.loops[0].chain.pitch_mm,
                        strand.from().radius_mm,
                        strand.from().centre_mm + std::cos(astray) * arm + std::sin(astray) * left_of(arm)});
  }
  const Timing solver = measure(effort, [&](long i) {
    const std::optional<glm::dvec2> pin = testing::solve_four_bar(linkages[static_cast<std::size_t>(i) % angle_count]);
    return pin ? pin->x : std::nan("");
  });
  print_row("taut strand, constraint solver (libslvs)", solver,
            fmt::format("{:.0f} times the closed form", solver.median_ns / closed.median_ns));
}

void time_drive(const Effort& effort, const Engine& engine, const Fitted& fitted) {
  const Drive drive = *Drive::assemble(engine, fitted);
  const auto angles = random_angles(0.0, 2.0 * turn_rad);
  print_row("camshaft angle", measure(effort, [&](long i) {
              return drive.camshaft_rad(angles[static_cast<std::size_t>(i) % angle_count]);
            }));
  DrivePose pose;
  print_row(fmt::format("pose with all pins ({} links)", engine.loops[0].chain.links),
            measure(effort,
                    [&](long i) {
                      drive.pose(degrees(angles[static_cast<std::size_t>(i) % angle_count]), pose);
                      return pose.loops[0].pins_mm[0].x;
                    }),
            "aim: 1 us");
  Fitted worn_further = fitted;
  print_row("phase of a worn drive", measure(effort, [&](long i) {
              worn_further.elongation_percent = 1.0 + 1e-4 * static_cast<double>(i % 1000);
              return Drive::phase_deg(engine, worn_further);
            }));
  print_row("assembling engine and build",
            measure(effort, [&](long) { return Mechanism::assemble(engine, fitted)->drive().phase_deg(); }));
}

Timing time_pose(const Effort& effort, const Drive& drive) {
  const auto angles = random_angles(0.0, 720.0);
  DrivePose pose;
  return measure(effort, [&](long i) {
    drive.pose(angles[static_cast<std::size_t>(i) % angle_count], pose);
    return pose.loops[0].pins_mm[0].x;
  });
}

// Least-squares line through times over numbers of pins.
struct Line {
  double at_none_ns = 0;
  double per_pin_ns = 0;
};

Line fitted_line(const std::vector<std::array<double, 2>>& pins_and_ns) {
  double pins = 0.0, ns = 0.0, pins_pins = 0.0, pins_ns = 0.0;
  for (const auto& [n, t] : pins_and_ns) pins += n, ns += t, pins_pins += n * n, pins_ns += n * t;
  const double count = static_cast<double>(pins_and_ns.size());
  const double slope = (count * pins_ns - pins * ns) / (count * pins_pins - pins * pins);
  return {(ns - slope * pins) / count, slope};
}

bool time_loops(const Effort& effort) {
  Fitted worn;
  worn.elongation_percent = 0.2;
  const Engine engine = twin_cam_engine(2);
  const Result<Drive> drive = Drive::assemble(engine, worn);
  if (!drive) {
    fmt::print(stderr, "{}", to_text(drive.problems()));
    return false;
  }
  print_row(fmt::format("pose, twin cams, guide, tensioner ({} links)", engine.loops[0].chain.links),
            time_pose(effort, *drive), "aim: 5 us");
  DrivePose pose;
  print_row("7200 poses over a cycle",
            measure(effort,
                    [&](long) {
                      double sum = 0.0;
                      for (int i = 0; i < 7200; ++i) {
                        drive->pose(0.1 * i, pose);
                        sum += pose.loops[0].pins_mm[0].x;
                      }
                      return sum;
                    }),
            "aim: 40 ms");
  print_row("the same drive assembled",
            measure(effort, [&](long) { return Drive::assemble(engine, worn)->phase_deg(); }));

  // The same layout in eight sizes.
  std::vector<std::array<double, 2>> grown;
  for (int size = 1; size <= 8; ++size) {
    const Engine larger = twin_cam_engine(size);
    const Result<Drive> larger_drive = Drive::assemble(larger, Fitted{});
    if (!larger_drive) {
      fmt::print(stderr, "{}", to_text(larger_drive.problems()));
      return false;
    }
    const Timing timing = time_pose(effort, *larger_drive);
    grown.push_back({static_cast<double>(larger.loops[0].chain.links), timing.median_ns});
    const auto bar = static_cast<std::size_t>(std::lround(timing.median_ns / 250.0));
    print_row(fmt::format("pose of that layout, {:3} pins", larger.loops[0].chain.links), timing,
              std::string(std::min<std::size_t>(bar, 40), '#'));
  }
  const Line line = fitted_line(grown);
  fmt::print("pose takes {:.2f} us and {:.1f} ns for each pin (a # is 0.25 us)\n", line.at_none_ns / 1e3,
             line.per_pin_ns);
  return true;
}

void time_clearance(const Effort& effort, std::string_view what, const Engine& engine, const Build& build, bool aims) {
  const Mechanism mechanism = *Mechanism::assemble(engine, build.fitted);
  const ClearanceModel model = *ClearanceModel::make(mechanism, build.measured, build.instruments);
  const auto row = [&](std::string_view figure, const Timing& timing, std::string_view aim) {
    print_row(fmt::format("{}, {}", figure, what), timing, aims ? aim : std::string_view{});
  };
  row("clearance at one angle",
      measure(effort,
              [&](long i) {
                return model.at(i % 2 == 0 ? ValveKind::inlet : ValveKind::exhaust,
                                0.7 * static_cast<double>(i % 1024));
              }),
      "");
  row("clearance each 0.1 degree", measure(effort, [&](long) { return model.sweep(0.1).axial_mm[0][100]; }),
      "both valves; aim: 1 ms");
  row("clearance at 401 phases",
      measure(effort, [&](long) { return model.phase_curve(-40.0, 40.0, 0.2).least_mm[0][200]; }),
      "both valves; aim: 20 ms");
  row("least clearance",
      measure(effort,
              [&](long) {
                return model.least_axial(ValveKind::inlet).least_mm + model.least_axial(ValveKind::exhaust).least_mm;
              }),
      "both valves, along their axes");
  row("all least distances", measure(effort, [&](long) { return model.least().inlet->least_mm; }), "");
}

bool time_plan(const Effort& effort, std::string_view what, const Engine& engine, const Build& build, int lay_reach,
               std::string_view aim = "") {
  const Result<Plan> plan = plan_corrections(engine, build, lay_reach);
  if (!plan) return false;
  const Timing timing = measure_wall(
      effort.batches, [&] { return plan_corrections(engine, build, lay_reach)->options[0].worst_error_deg; });
  const double options = static_cast<double>(plan->options.size());
  print_row(
      what, timing,
      fmt::format("wall clock; {:.0f} options, {:.2g} a second{}", options, options / timing.median_ns * 1e9, aim));
  return true;
}

// The engine with leaning valves in pockets of a domed crown.
Engine pocketed_engine(Engine engine) {
  engine.block.crown = {CrownShape::domed, 3.0, engine.block.bore_mm * 0.45};
  engine.inlet_valve->inclination_deg = -10.0;
  engine.exhaust_valve->inclination_deg = 10.0;
  engine.inlet_valve->pocket = {2.5, engine.inlet_valve->head_mm / 2.0 + 1.5};
  engine.exhaust_valve->pocket = {2.5, engine.exhaust_valve->head_mm / 2.0 + 1.5};
  return engine;
}

// Twenty sizes of each key and a multi-hole sprocket, two teeth either way.
Build full_shelf(Build build) {
  for (int i = 1; i <= 20; ++i) {
    build.stock.crank_key_deg.push_back(0.25 * i);
    build.stock.cam_key_deg.push_back(0.2 * i);
  }
  build.stock.vernier = Vernier{20, 21};
  return build;
}

bool print_spread(const Engine& engine, const Build& build, bool quick) {
  const std::size_t builds = quick ? 100'000 : 1'000'000;
  const std::optional<SpreadTimes> times = time_spread(engine, build, builds, quick ? 3 : 11);
  if (!times) return false;
  print_row(fmt::format("spread of {} builds, wall clock", builds), times->all_cores,
            quick ? "" : "all cores; aim: 250 ms on two");
  print_row("the same on one thread, wall clock", times->one_thread);
  if (times->numpy)
    print_row("the same model in NumPy, wall clock", *times->numpy,
              fmt::format("{:.1f} times as long as on all cores, {:.1f} times as on one",
                          times->numpy->median_ns / times->all_cores.median_ns,
                          times->numpy->median_ns / times->one_thread.median_ns));
  fmt::print("NumPy: {}\n", times->remark);
  if (!times->agree) fmt::print(stderr, "NumPy does not come to the same spread\n");
  return times->agree;
}

void time_model(const Opened& demo, bool quick) {
  const Mechanism mechanism = *Mechanism::assemble(demo.engine, demo.build.fitted);
  const SceneModel scene(demo.engine);
  Model3d made;
  const Timing timing = measure_wall(quick ? 1 : 5, [&] {
    made = animated_model(scene, mechanism, {});
    return static_cast<double>(made.keys);
  });
  print_row("animated model of a cycle, wall clock", timing,
            fmt::format("{} keys, {:.2f} MB", made.keys, static_cast<double>(made.glb.size()) / 1e6));
}

#ifdef PHASEWRIGHT_PAPER
void time_sheet(const Opened& demo, bool quick) {
  std::size_t pages = 0;
  const Timing timing = measure_wall(quick ? 1 : 9, [&] {
    const paper::Print print = paper::draw_sheet(*paper::build_sheet(demo, {}), paper::PaperSize::a4);
    pages = print.pages.size();
    return static_cast<double>(paper::to_pdf(print).size());
  });
  print_row("build sheet as PDF, wall clock", timing, fmt::format("{} pages; aim: 300 ms", pages));
}
#endif

std::string lobe_table_text(int rows) {
  std::string text = "cam_deg,lift_mm\n";
  const LobeProfile law = *LobeProfile::make(LobePolynomial{7.0, 300.0, {}}, "lobe");
  for (int row = 0; row < rows; ++row) {
    const double cam_deg = -75.0 + 150.0 * row / (rows - 1);
    text += fmt::format("{:.6f},{:.6f}\n", cam_deg, law.lift_mm(radians(cam_deg)));
  }
  return text;
}

bool time_files(const Effort& effort) {
  constexpr int rows = 720;
  const std::string text = lobe_table_text(rows);
  const Result<LobeTable> table = parse_lobe_table(text, "bench.csv");
  if (!table) {
    fmt::print(stderr, "{}", to_text(table.problems()));
    return false;
  }
  print_row(fmt::format("lobe table of {} rows, read", rows),
            measure(effort, [&](long) { return parse_lobe_table(text, "bench.csv")->lift_mm[1]; }));
  print_row("demo build with its engine, read",
            measure(effort, [&](long) { return open_demo()->build.fitted.elongation_percent; }));
  return true;
}

} // namespace

int main(int argc, char** argv) {
  const bool quick = argc == 2 && std::string_view(argv[1]) == "--quick";
  if (argc > 1 && !quick) {
    fmt::print(stderr, "usage: phasewright_bench [--quick]\n");
    return 2;
  }
  const Effort effort = quick ? Effort{3, 1e6} : Effort{15, 4e7};
  const Result<Opened> demo = open_demo();
  if (!demo) {
    fmt::print(stderr, "{}", to_text(demo.problems()));
    return 1;
  }
  const Engine& engine = *demo->engine;

#ifdef __clang__
  const char* compiler = "clang++ ";
#else
  const char* compiler = "g++ ";
#endif
  fmt::print("{}\n{}{}, {}; processor time, median of {} batches of {:.0f} ms or more\n\n", processor(), compiler,
             __VERSION__, PHASEWRIGHT_BUILD_TYPE, effort.batches, effort.batch_ns / 1e6);
  fmt::print("{:<44}{:>9}     {:>8} {:>8}\n", "", "median", "least", "greatest");
  time_strand(effort, engine);
  time_drive(effort, engine, demo->build.fitted);
  time_clearance(effort, "demo", engine, demo->build, true);
  const Engine pocketed = pocketed_engine(engine);
  time_clearance(effort, "pockets", pocketed, demo->build, false);
  const Build shelf = full_shelf(demo->build);
  const bool whole = time_loops(effort) && time_plan(effort, "plan, demo stock", engine, demo->build, 1) &&
                     time_plan(effort, "plan, full shelf", engine, shelf, 2, "; aim: 20 ms") &&
                     time_plan(effort, "plan, pockets, full shelf", pocketed, shelf, 2) &&
                     print_spread(engine, demo->build, quick) && time_files(effort);
  time_model(*demo, quick);
#ifdef PHASEWRIGHT_PAPER
  time_sheet(*demo, quick);
#endif
  return whole ? 0 : 1;
}
