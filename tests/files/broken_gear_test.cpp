// Faulty crowns, valves and valve trains of an engine file, each with every word of what is said about it.
#include "files/folder.hpp"

using namespace phasewright::testing;

namespace {

struct Broken {
  const char* what;
  Edits edits;
  const char* said;
};

// The demo engine with something put in.
Edits crown(const char* text) {
  return {{"cylinder_clock_deg = 35", std::string("crown = ") + text + "\ncylinder_clock_deg = 35"}};
}
Edits follower(const char* text) {
  return {{"follower = \"flat tappet\"\nrocker_ratio = 1.30\nlash_mm = 0.30                        # at the valve\n",
           text + std::string("\n")}};
}
Edits lobe(const char* text) {
  return {{"{ kind = \"table\", file = \"marram-inlet.csv\" }", text}};
}
Edits pocket(const char* text, const char* crown = "") {
  Edits edits{{"pocket = { depth_mm = 0.0, radius_mm = 0.0 }\n\n[valve.exhaust]",
               std::string("pocket = ") + text + "\n\n[valve.exhaust]"}};
  if (*crown != '\0')
    edits.emplace_back("crown_cc = 4.5                        # dish", std::string("crown = ") + crown);
  return edits;
}

const std::vector<Broken>& broken_crowns() {
  static const std::vector<Broken> files{
      {"crown of no shape", crown("{ depth_mm = 2, radius_mm = 30 }"),
       "marram-1420.toml:19:9: block.crown.shape: found nothing, allowed \"flat\", \"dished\", \"domed\"\n"},
      {"crown of another shape", crown("{ shape = \"bowl\" }"),
       "marram-1420.toml:19:19: block.crown.shape: found \"bowl\", allowed \"flat\", \"dished\", \"domed\"\n"},
      {"crown not a table", crown("\"flat\""), "marram-1420.toml:19:9: block.crown: found \"flat\", allowed a table\n"},
      {"flat crown with figures", crown("{ shape = \"flat\", depth_mm = 2, height_mm = 2, radius_mm = 30 }"),
       "marram-1420.toml:19:38: block.crown.depth_mm: found 2, allowed only with shape \"dished\"\n"
       "marram-1420.toml:19:53: block.crown.height_mm: found 2, allowed only with shape \"domed\"\n"
       "marram-1420.toml:19:68: block.crown.radius_mm: found 30, allowed only with shape \"dished\" or \"domed\"\n"},
      {"dish with a height", crown("{ shape = \"dished\", height_mm = 2, radius_mm = 30 }"),
       "marram-1420.toml:19:9: block.crown.depth_mm: found nothing, allowed 0.1 to 60 mm\n"
       "marram-1420.toml:19:41: block.crown.height_mm: found 2, allowed only with shape \"domed\"\n"},
      {"dome with a depth", crown("{ shape = \"domed\", depth_mm = 2, radius_mm = 30 }"),
       "marram-1420.toml:19:9: block.crown.height_mm: found nothing, allowed 0.1 to 60 mm\n"
       "marram-1420.toml:19:39: block.crown.depth_mm: found 2, allowed only with shape \"dished\"\n"},
      {"dish without a radius", crown("{ shape = \"dished\", depth_mm = 0 }"),
       "marram-1420.toml:19:9: block.crown.radius_mm: found nothing, allowed 1 to 250 mm\n"
       "marram-1420.toml:19:40: block.crown.depth_mm: found 0, allowed 0.1 to 60 mm\n"},
      {"dish wider than the bore", crown("{ shape = \"dished\", depth_mm = 2, radius_mm = 36.1 }"),
       "marram-1420.toml:19:55: block.crown.radius_mm: found 36.1, allowed at most 36 mm, half the bore\n"},
      {"dome taller than half a ball", crown("{ shape = \"domed\", height_mm = 20.5, radius_mm = 20 }"),
       "marram-1420.toml:19:40: block.crown.height_mm: found 20.5, allowed at most 20 mm, half a ball on that "
       "radius\n"},
      {"crown with an unknown key", crown("{ shape = \"flat\", colour = 1 }"),
       "marram-1420.toml:19:27: block.crown.colour: found an unknown key, allowed shape, depth_mm, height_mm, "
       "radius_mm\n"},
  };
  return files;
}

const std::vector<Broken>& broken_valves() {
  static const std::vector<Broken> files{
      {"pocket depth without a radius", pocket("{ depth_mm = 1.5, radius_mm = 0 }"),
       "marram-1420.toml:80:40: valve.inlet.pocket.radius_mm: found 0, allowed more than 16.5 mm, half the valve's "
       "head\n"},
      {"pocket narrow, whatever its depth", pocket("{ depth_mm = 0, radius_mm = 16 }"),
       "marram-1420.toml:80:38: valve.inlet.pocket.radius_mm: found 16, allowed more than 16.5 mm, half the valve's "
       "head\n"},
      {"pocket above a flat crown", pocket("{ depth_mm = -1, radius_mm = 18 }"),
       "marram-1420.toml:80:23: valve.inlet.pocket.depth_mm: found -1, allowed 0 to 20 mm, since the crown has no dome "
       "to cut it in\n"},
      {"pocket above a dished crown",
       pocket("{ depth_mm = -1, radius_mm = 18 }", "{ shape = \"dished\", depth_mm = 2, radius_mm = 30 }"),
       "marram-1420.toml:80:23: valve.inlet.pocket.depth_mm: found -1, allowed 0 to 20 mm, since the crown has no dome "
       "to cut it in\n"},
      {"pocket above a dome, too narrow",
       pocket("{ depth_mm = -1, radius_mm = 0 }", "{ shape = \"domed\", height_mm = 4, radius_mm = 30 }"),
       "marram-1420.toml:80:39: valve.inlet.pocket.radius_mm: found 0, allowed more than 16.5 mm, half the valve's "
       "head\n"},
      {"pocket beyond the range", pocket("{ depth_mm = -21, radius_mm = 201 }"),
       "marram-1420.toml:80:23: valve.inlet.pocket.depth_mm: found -21, allowed -20 to 20 mm\n"
       "marram-1420.toml:80:40: valve.inlet.pocket.radius_mm: found 201, allowed 0 to 200 mm\n"},
      {"head beyond the bore",
       {{"offset_mm = [-18.0, 0.0]", "offset_mm = [-60.0, 0.0]"}},
       "marram-1420.toml:78:13: valve.inlet.offset_mm: found [-60.0, 0.0], allowed within half the bore, 36 mm, of the "
       "cylinder axis\n"},
      {"head without an edge",
       {{"head_mm = 33.0", "head_mm = 33.0\nmargin_mm = 0"}},
       "marram-1420.toml:77:13: valve.inlet.margin_mm: found 0, allowed 0.1 to 20 mm\n"},
  };
  return files;
}

const std::vector<Broken>& broken_followers() {
  static const std::vector<Broken> files{
      {"rocker and ratio",
       follower("follower = \"flat tappet\"\nrocker_ratio = 1.3\n"
                "rocker = { push_arm_mm = 24, valve_arm_mm = 31, push_arm_deg = -10, valve_arm_deg = -10 }"),
       "marram-1420.toml:62:16: camshaft[1].inlet.rocker_ratio: found 1.3, allowed rocker_ratio or rocker, not both: "
       "its arms make the ratio\n"},
      {"finger and ratio",
       follower("follower = \"finger\"\nrocker_ratio = 1.3\nfinger = { pivot_mm = [-20, -28], pad_arm_mm = 22, "
                "pad_radius_mm = 30, valve_arm_mm = 38, valve_arm_deg = -8 }"),
       "marram-1420.toml:62:16: camshaft[1].inlet.rocker_ratio: found 1.3, allowed rocker_ratio or finger, not both: "
       "its arms make the ratio\n"},
      {"rocker on a bucket",
       follower("follower = \"bucket\"\n"
                "rocker = { push_arm_mm = 24, valve_arm_mm = 31, push_arm_deg = -10, valve_arm_deg = -10 }"),
       "marram-1420.toml:62:10: camshaft[1].inlet.rocker: found { push_arm_mm = 24, valve_arm_mm = 31, push_arm_deg = "
       "-10, v..., allowed only with follower \"flat tappet\" or \"roller tappet\"\n"},
      {"finger under a tappet",
       follower("follower = \"flat tappet\"\nfinger = { pivot_mm = [-20, -28], pad_arm_mm = 22, pad_radius_mm = 30, "
                "valve_arm_mm = 38, valve_arm_deg = -8 }"),
       "marram-1420.toml:62:10: camshaft[1].inlet.finger: found { pivot_mm = [-20, -28], pad_arm_mm = 22, "
       "pad_radius_mm = 30..., allowed only with follower \"finger\"\n"},
      {"rocker out of range",
       follower("follower = \"flat tappet\"\nrocker = { push_arm_mm = 4, valve_arm_mm = 151, push_arm_deg = -61, "
                "valve_arm_deg = nan, pad_radius_mm = 0 }"),
       "marram-1420.toml:62:26: camshaft[1].inlet.rocker.push_arm_mm: found 4, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:44: camshaft[1].inlet.rocker.valve_arm_mm: found 151, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:64: camshaft[1].inlet.rocker.push_arm_deg: found -61, allowed -60 to 60 deg\n"
       "marram-1420.toml:62:85: camshaft[1].inlet.rocker.valve_arm_deg: found nan, allowed -60 to 60 deg\n"
       "marram-1420.toml:62:106: camshaft[1].inlet.rocker.pad_radius_mm: found 0, allowed 1 to 60 mm\n"},
      {"rocker half said", follower("follower = \"flat tappet\"\nrocker = { push_arm_mm = 24, ratio = 1.3 }"),
       "marram-1420.toml:62:10: camshaft[1].inlet.rocker.valve_arm_mm: found nothing, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:10: camshaft[1].inlet.rocker.push_arm_deg: found nothing, allowed -60 to 60 deg\n"
       "marram-1420.toml:62:10: camshaft[1].inlet.rocker.valve_arm_deg: found nothing, allowed -60 to 60 deg\n"
       "marram-1420.toml:62:30: camshaft[1].inlet.rocker.ratio: found an unknown key, allowed push_arm_mm, "
       "valve_arm_mm, push_arm_deg, valve_arm_deg, pad_radius_mm\n"},
      {"finger out of range",
       follower("follower = \"finger\"\nfinger = { pivot_mm = [-151, 151], pad_arm_mm = 4, pad_radius_mm = 201, "
                "valve_arm_mm = 0, valve_arm_deg = 90 }"),
       "marram-1420.toml:62:24: camshaft[1].inlet.finger.pivot_mm[1]: found -151, allowed -150 to 150 mm\n"
       "marram-1420.toml:62:30: camshaft[1].inlet.finger.pivot_mm[2]: found 151, allowed -150 to 150 mm\n"
       "marram-1420.toml:62:49: camshaft[1].inlet.finger.pad_arm_mm: found 4, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:68: camshaft[1].inlet.finger.pad_radius_mm: found 201, allowed 1 to 200 mm\n"
       "marram-1420.toml:62:88: camshaft[1].inlet.finger.valve_arm_mm: found 0, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:107: camshaft[1].inlet.finger.valve_arm_deg: found 90, allowed -60 to 60 deg\n"},
      {"finger pivoting under the camshaft",
       follower("follower = \"finger\"\nfinger = { pivot_mm = [0, -28], pad_arm_mm = 22, pad_radius_mm = 30, "
                "valve_arm_mm = 38, valve_arm_deg = -8 }"),
       "marram-1420.toml:62:23: camshaft[1].inlet.finger.pivot_mm: found [0, -28], allowed a pivot to one side of the "
       "camshaft: x not 0\n"},
      {"finger half said", follower("follower = \"finger\"\nfinger = { pad_radius_mm = 30 }"),
       "marram-1420.toml:62:10: camshaft[1].inlet.finger.pivot_mm: found nothing, allowed two figures, -150 to 150 mm\n"
       "marram-1420.toml:62:10: camshaft[1].inlet.finger.pad_arm_mm: found nothing, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:10: camshaft[1].inlet.finger.valve_arm_mm: found nothing, allowed 5 to 150 mm\n"
       "marram-1420.toml:62:10: camshaft[1].inlet.finger.valve_arm_deg: found nothing, allowed -60 to 60 deg\n"},
      {"face of a roller", follower("follower = \"roller tappet\"\nroller_radius_mm = 9\nface_mm = 20"),
       "marram-1420.toml:63:11: camshaft[1].inlet.face_mm: found 20, allowed only with follower \"flat tappet\" or "
       "\"bucket\"\n"},
      {"face out of range", follower("follower = \"bucket\"\nface_mm = 81"),
       "marram-1420.toml:62:11: camshaft[1].inlet.face_mm: found 81, allowed 5 to 80 mm\n"},
  };
  return files;
}

const std::vector<Broken>& broken_lobes() {
  static const std::vector<Broken> files{
      {"ramp out of range",
       lobe("{ kind = \"card\", lift_mm = 7, duration_deg = 220, seat_duration_deg = 270, ramp = { lift_mm = 2.1, "
            "length_deg = 121 } }"),
       "marram-1420.toml:65:102: camshaft[1].inlet.lobe.ramp.lift_mm: found 2.1, allowed 0 to 2 mm\n"
       "marram-1420.toml:65:120: camshaft[1].inlet.lobe.ramp.length_deg: found 121, allowed 0 to 120 deg\n"},
      {"ramp half said",
       lobe("{ kind = \"card\", lift_mm = 7, duration_deg = 220, seat_duration_deg = 270, closing_ramp = { lift_mm = "
            "0.3 } }"),
       "marram-1420.toml:65:98: camshaft[1].inlet.lobe.closing_ramp.length_deg: found nothing, allowed 0 to 120 deg\n"},
      {"ramp that jumps",
       lobe("{ kind = \"card\", lift_mm = 7, duration_deg = 220, seat_duration_deg = 270, ramp = { lift_mm = 0.3, "
            "length_deg = 0 } }"),
       "marram-1420.toml:65:120: camshaft[1].inlet.lobe.ramp.length_deg: found 0, allowed more than 0, since the ramp "
       "lifts\n"},
      {"polynomial with a ramp",
       lobe("{ kind = \"polynomial-4567\", lift_mm = 7, duration_deg = 270, ramp = { lift_mm = 0.3, length_deg = 20 } "
            "}"),
       "marram-1420.toml:65:69: camshaft[1].inlet.lobe.ramp: found an unknown key, allowed kind, lift_mm, "
       "duration_deg, rise_deg\n"},
      {"polynomial that never falls",
       lobe("{ kind = \"polynomial-4567\", lift_mm = 7, duration_deg = 270, rise_deg = 270 }"),
       "marram-1420.toml:65:80: camshaft[1].inlet.lobe.rise_deg: found 270, allowed less than duration_deg\n"},
      {"polynomial that jumps up",
       lobe("{ kind = \"polynomial-4567\", lift_mm = 7, duration_deg = 270, rise_deg = 0 }"),
       "marram-1420.toml:65:80: camshaft[1].inlet.lobe.rise_deg: found 0, allowed 1 to 700 deg\n"},
  };
  return files;
}

void check(const std::vector<Broken>& files) {
  for (const Broken& broken : files) {
    INFO(broken.what);
    const Folder folder;
    folder.copy_engine(broken.edits);
    CHECK(folder.problems_of("marram-1420.toml") == broken.said);
  }
}

} // namespace

TEST_CASE("A faulty crown is told all its faults") {
  check(broken_crowns());
}

TEST_CASE("A faulty valve or pocket is told all its faults") {
  check(broken_valves());
}

TEST_CASE("A faulty follower is told all its faults") {
  check(broken_followers());
}

TEST_CASE("A faulty lobe is told all its faults") {
  check(broken_lobes());
}
