// Faulty build files, each with every word of what is said about it.
#include "files/folder.hpp"

using namespace phasewright::testing;

namespace {

struct Broken {
  const char* what;
  Edits edits;
  const char* said;
};

const std::vector<Broken>& broken_files() {
  static const std::vector<Broken> files{
      {"no engine",
       {{"engine = \"marram-1420.toml\"", ""}},
       "sandling-14.build.toml:1:1: engine: found nothing, allowed 1 to 200 characters in quotes, on one line\n"},
      {"engine missing",
       {{"engine = \"marram-1420.toml\"", "engine = \"marram-1421.toml\""}},
       "sandling-14.build.toml:4:10: engine: found \"marram-1421.toml\", allowed an engine file beside the build file "
       "or in the models folder; there is no such file\n"},
      {"engine is a build",
       {{"engine = \"marram-1420.toml\"", "engine = \"sandling-14.build.toml\""}},
       "sandling-14.build.toml:3:10: format: found \"phasewright-build/1\", allowed \"phasewright-engine/1\"\n"},
      {"lay out of range",
       {{"lay = 0", "lay = -11"}},
       "sandling-14.build.toml:8:7: fitted.lay: found -11, allowed a whole number -10 to 10\n"},
      {"lay of a half",
       {{"lay = 0", "lay = 0.5"}},
       "sandling-14.build.toml:8:7: fitted.lay: found 0.5, allowed a whole number -10 to 10\n"},
      {"lay of an unknown camshaft",
       {{"lay = 0", "lay = { cam = 1, exhaust = 0 }"}},
       "sandling-14.build.toml:8:28: fitted.lay.exhaust: found an unknown camshaft, allowed cam\n"},
      {"cam key of an unknown camshaft",
       {{"cam_key_deg = 0.0", "cam_key_deg = { cam = 1, exhaust = 0 }"}},
       "sandling-14.build.toml:10:36: fitted.cam_key_deg.exhaust: found an unknown camshaft, allowed cam\n"},
      {"cam key by name, too far and in words",
       {{"cam_key_deg = 0.0", "cam_key_deg = { cam = -20.5, exhaust = \"none\" }"}},
       "sandling-14.build.toml:10:23: fitted.cam_key_deg.cam: found -20.5, allowed -20 to 20 deg\n"
       "sandling-14.build.toml:10:40: fitted.cam_key_deg.exhaust: found \"none\", allowed -20 to 20 deg\n"},
      {"readings with what an unknown camshaft had",
       {{"float_mm = [0.11", "with = { lay = { intake = 1 }, cam_key_deg = { intake = 2 } }\nfloat_mm = [0.11"}},
       "sandling-14.build.toml:42:27: measured.with.lay.intake: found an unknown camshaft, allowed cam\n"
       "sandling-14.build.toml:42:57: measured.with.cam_key_deg.intake: found an unknown camshaft, allowed cam\n"},
      {"key too far",
       {{"crank_key_deg = 0.0", "crank_key_deg = 21"}},
       "sandling-14.build.toml:9:17: fitted.crank_key_deg: found 21, allowed -20 to 20 deg\n"},
      {"elongation negative",
       {{"elongation_percent = 0.9 ", "elongation_percent = -0.9 "}},
       "sandling-14.build.toml:11:22: fitted.elongation_percent: found -0.9, allowed 0 to 5 %\n"},
      {"holes without a vernier",
       {{"lay = 0", "holes = [3, 4]"}},
       "sandling-14.build.toml:8:9: fitted.holes: found [3, 4], allowed [0, 0] without stock.vernier, which says how "
       "many holes there are\n"},
      {"holes beyond the vernier",
       {{"shim_mm =", "vernier = { hub_holes = 10, sprocket_holes = 11 }\nshim_mm ="}, {"lay = 0", "holes = [10, 4]"}},
       "sandling-14.build.toml:8:9: fitted.holes: found [10, 4], allowed [0 to 9, 0 to 10]\n"},
      {"holes: three",
       {{"lay = 0", "holes = [1, 2, 3]"}},
       "sandling-14.build.toml:8:9: fitted.holes: found 3, allowed at most 2 whole numbers\n"},
      {"two targets",
       {{"inlet_centre_deg = 104", "inlet_centre_deg = 104\nphase_deg = 2"}},
       "sandling-14.build.toml:14:1: target: found several targets, allowed at most one of inlet_centre_deg, "
       "exhaust_centre_deg (or these two), phase_deg, event, equal_lift_at_tdc, effective_ratio\n"},
      {"event of no kind",
       {{"inlet_centre_deg = 104", "event = { inlet_shuts_deg = 60, at_lift_mm = 1 }"}},
       "sandling-14.build.toml:15:9: target.event: found 0 events, allowed exactly one of inlet_opens_btdc_deg, "
       "inlet_closes_abdc_deg, exhaust_opens_bbdc_deg, exhaust_closes_atdc_deg\n"
       "sandling-14.build.toml:15:11: target.event.inlet_shuts_deg: found an unknown key, allowed "
       "inlet_opens_btdc_deg, inlet_closes_abdc_deg, exhaust_opens_bbdc_deg, exhaust_closes_atdc_deg, at_lift_mm\n"},
      {"two events",
       {{"inlet_centre_deg = 104", "event = { inlet_opens_btdc_deg = 3, inlet_closes_abdc_deg = 35 }"}},
       "sandling-14.build.toml:15:9: target.event: found 2 events, allowed exactly one of inlet_opens_btdc_deg, "
       "inlet_closes_abdc_deg, exhaust_opens_bbdc_deg, exhaust_closes_atdc_deg\n"},
      {"slots turned about",
       {{"shim_mm =", "slots_deg = [8, -8]\nshim_mm ="}},
       "sandling-14.build.toml:22:13: stock.slots_deg: found [8, -8], allowed the lesser figure first\n"},
      {"shim of no thickness",
       {{"[0.05, 0.10,", "[0.05, 0,"}},
       "sandling-14.build.toml:22:18: stock.shim_mm[2]: found 0, allowed 0.005 to 10 mm\n"},
      {"stop readings not in pairs",
       {{"[[-47.5, 49.0], [-47.0, 49.5]]", "[[-47.5, 49.0], [-47.0]]"}},
       "sandling-14.build.toml:25:28: measured.stop_deg[2]: found [-47.0], allowed two figures, -360 to 720 deg\n"},
      {"cylinder the engine has not",
       {{"cylinder = 1, lift_mm = 5.0, opens_deg = 51.5", "cylinder = 5, lift_mm = 5.0, opens_deg = 51.5"}},
       "sandling-14.build.toml:27:33: measured.lobe[1].cylinder: found 5, allowed a whole number 1 to 4\n"},
      {"reading with a misspelt key",
       {{"lift_mm = 5.0, opens_deg = 51.5", "lift_mm = 5.0, open_deg = 51.5"}},
       "sandling-14.build.toml:27:3: measured.lobe[1].opens_deg: found nothing, allowed 0 to 720 deg\n"
       "sandling-14.build.toml:27:51: measured.lobe[1].open_deg: found an unknown key; did you mean opens_deg?\n"},
      {"wheel beyond two turns",
       {{"closes_deg = 166.5", "closes_deg = 721"}},
       "sandling-14.build.toml:27:82: measured.lobe[1].closes_deg: found 721, allowed 0 to 720 deg\n"},
      {"valve of another name",
       {{"valve = \"inlet\", crank_deg = 12", "valve = \"intake\", crank_deg = 12"}},
       "sandling-14.build.toml:33:13: measured.clearance[1].valve: found \"intake\", allowed \"inlet\", \"exhaust\"\n"},
      {"feeler under nothing",
       {{"under = \"crank\"", "under = \"idler\""}},
       "sandling-14.build.toml:36:45: measured.gap_mm.under: found \"idler\", allowed a sprocket: \"crank\", "
       "\"cam\"\n"},
      {"limits out of range",
       {{"min_clearance_inlet_mm = 2.0", "min_clearance_radial_mm = -0.1"},
        {"min_clearance_exhaust_mm = 2.5", "min_valve_to_valve_mm = 10.5"}},
       "sandling-14.build.toml:16:27: target.min_clearance_radial_mm: found -0.1, allowed 0 to 10 mm\n"
       "sandling-14.build.toml:17:25: target.min_valve_to_valve_mm: found 10.5, allowed 0 to 10 mm\n"},
      {"dimensions out by too much",
       {{"indicator_mm = 0.01", "dimension_mm = 2.5"}},
       "sandling-14.build.toml:46:16: instruments.dimension_mm: found 2.5, allowed 0 to 2 mm\n"},
      {"instruments perfect",
       {{"wheel_deg = 0.5", "wheel_deg = 0"}},
       "sandling-14.build.toml:45:13: instruments.wheel_deg: found 0, allowed 0.01 to 5 deg\n"},
      {"table in place of a list",
       {{"[0.11, 0.12, 0.11]", "{ first = 0.11 }"}},
       "sandling-14.build.toml:42:12: measured.float_mm: found { first = 0.11 }, allowed a list of figures\n"},
      {"unknown table",
       {{"[instruments]", "[instrument]"}},
       "sandling-14.build.toml:44:2: instrument: found an unknown key; did you mean instruments?\n"},
  };
  return files;
}

} // namespace

TEST_CASE("A faulty build file is told all its faults") {
  for (const Broken& broken : broken_files()) {
    INFO(broken.what);
    const Folder folder;
    folder.copy_build(broken.edits);
    CHECK(folder.problems_of("sandling-14.build.toml") == broken.said);
  }
}
