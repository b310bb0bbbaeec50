// Faults in what a builder writes of fittings, aims, readings, earlier sets and tolerances, each with every word of
// what is said about it.
#include "files/folder.hpp"

using namespace phasewright::testing;

namespace {

struct Broken {
  const char* what;
  Edits edits;
  const char* said;
};

const std::vector<Broken>& broken_builds() {
  static const std::vector<Broken> files{
      {"holes of an unknown camshaft",
       {{"lay = 0 ", "holes = { cam = [0, 0], exhaust = [0, 0] } #"}},
       "sandling-14.build.toml:8:35: fitted.holes.exhaust: found an unknown camshaft, allowed cam\n"},
      {"holes by name without a vernier",
       {{"lay = 0 ", "holes = { cam = [1, 2] } #"}},
       "sandling-14.build.toml:8:17: fitted.holes.cam: found [1, 2], allowed [0, 0] without stock.vernier, which says "
       "how many holes there are\n"},
      {"slot by name too far",
       {{"lay = 0 ", "slot_deg = { cam = 21 } #"}},
       "sandling-14.build.toml:8:20: fitted.slot_deg.cam: found 21, allowed -20 to 20 deg\n"},
      {"found by readings too far",
       {{"lay = 0 ", "found_deg = 61 #"}},
       "sandling-14.build.toml:8:13: fitted.found_deg: found 61, allowed -60 to 60 deg\n"},
      {"found of an unknown camshaft",
       {{"lay = 0 ", "found_deg = { intake = 2 } #"}},
       "sandling-14.build.toml:8:24: fitted.found_deg.intake: found an unknown camshaft, allowed cam\n"},
      {"fitted shim of no thickness",
       {{"lay = 0 ", "shim_mm = [0.25, 0.001] #"}},
       "sandling-14.build.toml:8:18: fitted.shim_mm[2]: found 0.001, allowed 0.005 to 10 mm\n"},
      {"exhaust centre of the only camshaft with the inlet's",
       {{"inlet_centre_deg = 104", "inlet_centre_deg = 104\nexhaust_centre_deg = 110"}},
       "sandling-14.build.toml:16:22: target.exhaust_centre_deg: found a second centre, allowed inlet_centre_deg or "
       "exhaust_centre_deg: one camshaft has both lobes, and they move together\n"},
      {"exhaust centre too early",
       {{"inlet_centre_deg = 104", "exhaust_centre_deg = 50"}},
       "sandling-14.build.toml:15:22: target.exhaust_centre_deg: found 50, allowed 60 to 160 deg\n"},
      {"equal lift in words",
       {{"inlet_centre_deg = 104", "equal_lift_at_tdc = \"yes\""}},
       "sandling-14.build.toml:15:21: target.equal_lift_at_tdc: found \"yes\", allowed true or false\n"},
      {"ratio of no engine",
       {{"inlet_centre_deg = 104", "effective_ratio = 1.5"}},
       "sandling-14.build.toml:15:19: target.effective_ratio: found 1.5, allowed 2 to 25\n"},
      {"ratio and phase",
       {{"inlet_centre_deg = 104", "effective_ratio = 8.5\nphase_deg = 1"}},
       "sandling-14.build.toml:14:1: target: found several targets, allowed at most one of inlet_centre_deg, "
       "exhaust_centre_deg (or these two), phase_deg, event, equal_lift_at_tdc, effective_ratio\n"},
      {"target of an unknown camshaft",
       {{"inlet_centre_deg = 104", "phase_deg = 1\ncamshaft = \"exhaust\""}},
       "sandling-14.build.toml:16:12: target.camshaft: found \"exhaust\", allowed a camshaft: cam\n"},
      {"wear as a figure",
       {{"inlet_centre_deg = 104", "inlet_centre_deg = 104\npreset_for_wear = 1"}},
       "sandling-14.build.toml:16:19: target.preset_for_wear: found 1, allowed true or false\n"},
      {"indicator nowhere",
       {{"lift_mm = 5.0, opens_deg = 51.5", "at = \"rocker\", lift_mm = 5.0, opens_deg = 51.5"}},
       "sandling-14.build.toml:27:41: measured.lobe[1].at: found \"rocker\", allowed \"tappet\", \"valve\"\n"},
      {"a day the calendar has not",
       {{"\"2026-05-14\"", "\"2026-02-30\""}},
       "sandling-14.build.toml:41:8: measured.date: found \"2026-02-30\", allowed a day as \"YYYY-MM-DD\", in "
       "quotes\n"},
      {"a day the other way round",
       {{"\"2026-05-14\"", "\"14-05-2026\""}},
       "sandling-14.build.toml:41:8: measured.date: found \"14-05-2026\", allowed a day as \"YYYY-MM-DD\", in "
       "quotes\n"},
      {"a day out of quotes",
       {{"\"2026-05-14\"", "2026-05-14"}},
       "sandling-14.build.toml:41:8: measured.date: found 2026-05-14, allowed 1 to 200 characters in quotes, on one "
       "line\n"},
      {"pins of an unknown camshaft",
       {{"pins = 16 ", "pins = { intake = 16 } #"}},
       "sandling-14.build.toml:37:19: measured.pins.intake: found an unknown camshaft, allowed cam\n"},
      {"a negative count of pins",
       {{"pins = 16 ", "pins = -1 #"}},
       "sandling-14.build.toml:37:8: measured.pins: found -1, allowed a whole number 0 to 1000\n"},
      {"key of an unknown shaft",
       {{"shaft = \"cam\"", "shaft = \"magneto\""}},
       "sandling-14.build.toml:38:18: measured.key[1].shaft: found \"magneto\", allowed a shaft: crank, cam\n"},
      {"key of no height",
       {{"height_mm = 6.48", "height_mm = 0"}},
       "sandling-14.build.toml:38:37: measured.key[1].height_mm: found 0, allowed 0.1 to 50 mm\n"},
      {"key with an unknown figure",
       {{"height_mm = 6.48", "hight_mm = 6.48"}},
       "sandling-14.build.toml:38:25: measured.key[1].hight_mm: found an unknown key; did you mean height_mm?\n"},
      {"float of an unknown camshaft",
       {{"float_mm = [0.11", "float_of = \"inlet\"\nfloat_mm = [0.11"}},
       "sandling-14.build.toml:42:12: measured.float_of: found \"inlet\", allowed a camshaft: cam\n"},
      {"plate of no thickness",
       {{"plate_mm = 3.98", "plate_mm = 0.4"}},
       "sandling-14.build.toml:39:12: measured.plate_mm: found 0.4, allowed 0.5 to 30 mm\n"},
      {"boss too long",
       {{"boss_mm = 4.09", "boss_mm = 101"}},
       "sandling-14.build.toml:40:11: measured.boss_mm: found 101, allowed 0.5 to 100 mm\n"},
      {"feeler perfect",
       {{"indicator_mm = 0.01", "feeler_mm = 0"}},
       "sandling-14.build.toml:46:13: instruments.feeler_mm: found 0, allowed 0.001 to 1 mm\n"},
      {"caliper of wood",
       {{"indicator_mm = 0.01", "caliper_mm = 1.5"}},
       "sandling-14.build.toml:46:14: instruments.caliper_mm: found 1.5, allowed 0.001 to 1 mm\n"},
      {"earlier readings without what was fitted",
       {{"with = { elongation_percent = 0.90 }\n", ""}},
       "sandling-14.build.toml:48:1: history[1].with: found nothing, allowed what was fitted when these were read: "
       "with = { lay = 0, ... }, or {} for nothing but what the maker drew\n"},
      {"earlier readings with what an unknown camshaft had",
       {{"with = { elongation_percent = 0.90 }", "with = { lay = { intake = 1 } }"}},
       "sandling-14.build.toml:51:27: history[1].with.lay.intake: found an unknown camshaft, allowed cam\n"},
      {"earlier readings of a cylinder the engine has not",
       {{"cylinder = 1, lift_mm = 5.0, opens_deg = 49.5", "cylinder = 5, lift_mm = 5.0, opens_deg = 49.5"}},
       "sandling-14.build.toml:54:33: history[1].lobe[1].cylinder: found 5, allowed a whole number 1 to 4\n"},
      {"earlier readings misspelt",
       {{"note = ", "notes = "}},
       "sandling-14.build.toml:50:1: history[1].notes: found an unknown key; did you mean note?\n"},
      {"one earlier set in single brackets",
       {{"[[history]] ", "[history] "}},
       "sandling-14.build.toml:48:1: history: found a table, allowed at most 200 sets of readings; write [[history]] "
       "for each\n"},
      {"tolerance out of range",
       {{"[instruments] ", "[tolerance]\ncentre_mm = 2.5\nchain_percent = -0.1\n\n[instruments] "}},
       "sandling-14.build.toml:45:13: tolerance.centre_mm: found 2.5, allowed 0 to 2 mm\n"
       "sandling-14.build.toml:46:17: tolerance.chain_percent: found -0.1, allowed 0 to 2 %\n"},
      {"tolerance misspelt",
       {{"[instruments] ", "[tolerance]\nkey_mm = 0.1\n\n[instruments] "}},
       "sandling-14.build.toml:45:1: tolerance.key_mm: found an unknown key, allowed centre_mm, chain_percent, "
       "keyway_mm, crank_sprocket_deg, cam_sprocket_deg, key_deg, lobe_centre_deg\n"},
      {"tolerances by another name",
       {{"[instruments] ", "[tolerances]\n[instruments] "}},
       "sandling-14.build.toml:44:2: tolerances: found an unknown key; did you mean tolerance?\n"},
  };
  return files;
}

const std::vector<Broken>& broken_engines() {
  static const std::vector<Broken> files{
      {"plate thicker than the boss",
       {{"boss_mm = 4.12", "boss_mm = 3.9"}},
       "marram-1420.toml:52:11: shaft.cam.boss_mm: found 3.9, allowed more than plate_mm: the difference is the end "
       "float\n"},
      {"plate too thick",
       {{"plate_mm = 4.00", "plate_mm = 31"}},
       "marram-1420.toml:51:12: shaft.cam.plate_mm: found 31, allowed 0.5 to 30 mm\n"},
      {"alignment limit of no width",
       {{"wear_limit_percent = 1.5", "wear_limit_percent = 1.5\nalignment_mm = 0"}},
       "marram-1420.toml:25:16: chain.alignment_mm: found 0, allowed 0.01 to 5 mm\n"},
  };
  return files;
}

} // namespace

TEST_CASE("A fault in what the bench writes is told in full") {
  for (const Broken& broken : broken_builds()) {
    INFO(broken.what);
    const Folder folder;
    folder.copy_build(broken.edits);
    CHECK(folder.problems_of("sandling-14.build.toml") == broken.said);
  }
}

TEST_CASE("A fault in what the bench goes by is told in full") {
  for (const Broken& broken : broken_engines()) {
    INFO(broken.what);
    const Folder folder;
    folder.copy_engine(broken.edits);
    CHECK(folder.problems_of("marram-1420.toml") == broken.said);
  }
}
