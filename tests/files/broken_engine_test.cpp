// Faulty engine files, each with every word of what is said about it.
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
      {"no name",
       {{"name = \"Marram 1420\"", ""}},
       "marram-1420.toml:1:1: name: found nothing, allowed 1 to 200 characters in quotes, on one line\n"},
      {"blank name",
       {{"name = \"Marram 1420\"", "name = \" \""}},
       "marram-1420.toml:4:8: name: found \" \", allowed 1 to 200 characters in quotes, on one line\n"},
      {"name is a number",
       {{"name = \"Marram 1420\"", "name = 1420"}},
       "marram-1420.toml:4:8: name: found 1420, allowed 1 to 200 characters in quotes, on one line\n"},
      {"name over two lines",
       {{"name = \"Marram 1420\"", "name = \"Marram\\n1420\""}},
       "marram-1420.toml:4:8: name: found \"Marram\\n1420\", allowed 1 to 200 characters in quotes, on one line\n"},
      {"format of a later program",
       {{"\"phasewright-engine/1\"", "\"phasewright-engine/2\""}},
       "marram-1420.toml:3:10: format: found \"phasewright-engine/2\", allowed \"phasewright-engine/1\" or "
       "\"phasewright-build/1\"\n"},
      {"no format",
       {{"format = \"phasewright-engine/1\"", ""}},
       "marram-1420.toml:1:1: format: found nothing, allowed \"phasewright-engine/1\" or \"phasewright-build/1\"\n"},
      {"rotation by another word",
       {{"rotation = \"clockwise\"", "rotation = \"counterclockwise\""}},
       "marram-1420.toml:5:12: rotation: found \"counterclockwise\", allowed \"clockwise\", \"anticlockwise\"\n"},
      {"no block",
       {{"[block]", "[blok]"}},
       "marram-1420.toml:1:1: block: found nothing, allowed a table\n"
       "marram-1420.toml:7:2: blok: found an unknown key; did you mean block?\n"},
      {"negative bore",
       {{"bore_mm = 72.0", "bore_mm = -72.0"}},
       "marram-1420.toml:10:11: block.bore_mm: found -72.0, allowed 20 to 500 mm\n"},
      {"bore in quotes",
       {{"bore_mm = 72.0", "bore_mm = \"72.0\""}},
       "marram-1420.toml:10:11: block.bore_mm: found \"72.0\", allowed 20 to 500 mm; write the figure without "
       "quotes\n"},
      {"bore not a number",
       {{"bore_mm = 72.0", "bore_mm = nan"}},
       "marram-1420.toml:10:11: block.bore_mm: found nan, allowed 20 to 500 mm\n"},
      {"endless stroke",
       {{"stroke_mm = 87.0", "stroke_mm = inf"}},
       "marram-1420.toml:11:13: block.stroke_mm: found inf, allowed 20 to 500 mm\n"},
      {"misspelt key",
       {{"stroke_mm = 87.0", "strok_mm = 87.0"}},
       "marram-1420.toml:7:1: block.stroke_mm: found nothing, allowed 20 to 500 mm\n"
       "marram-1420.toml:11:1: block.strok_mm: found an unknown key; did you mean stroke_mm?\n"},
      {"key of no likeness",
       {{"[chain]", "[chain]\ncolour = \"blue\""}},
       "marram-1420.toml:22:1: chain.colour: found an unknown key, allowed iso606, pitch_mm, roller_mm, "
       "inner_width_mm, pin_mm, plate_height_mm, transverse_pitch_mm, rows, links, wear_limit_percent, alignment_mm\n"},
      {"fraction of a cylinder",
       {{"cylinders = 4", "cylinders = 4.0"}},
       "marram-1420.toml:8:13: block.cylinders: found 4.0, allowed a whole number 1 to 16\n"},
      {"too many cylinders",
       {{"cylinders = 4", "cylinders = 17"}},
       "marram-1420.toml:8:13: block.cylinders: found 17, allowed a whole number 1 to 16\n"},
      {"cylinder fires twice",
       {{"[1, 3, 4, 2]", "[1, 3, 3, 2]"}},
       "marram-1420.toml:9:16: block.firing_order: found [1, 3, 3, 2], allowed each cylinder from 1 to 4 once, No. 1 "
       "first\n"},
      {"firing order short",
       {{"[1, 3, 4, 2]", "[1, 3, 2]"}},
       "marram-1420.toml:9:16: block.firing_order: found [1, 3, 2], allowed each cylinder from 1 to 4 once, No. 1 "
       "first\n"},
      {"firing order begins elsewhere",
       {{"[1, 3, 4, 2]", "[3, 4, 2, 1]"}},
       "marram-1420.toml:9:16: block.firing_order: found [3, 4, 2, 1], allowed each cylinder from 1 to 4 once, No. 1 "
       "first\n"},
      {"rod too short",
       {{"rod_mm = 152.0", "rod_mm = 43.0"}},
       "marram-1420.toml:12:10: block.rod_mm: found 43.0, allowed more than 43.5 mm, half the stroke and the pin "
       "offset together\n"},
      {"pin offset counts too",
       {{"rod_mm = 152.0                        # centre to centre\npin_offset_mm = 0.0",
         "rod_mm = 45.0\npin_offset_mm = -2.0"}},
       "marram-1420.toml:12:10: block.rod_mm: found 45.0, allowed more than 45.5 mm, half the stroke and the pin "
       "offset together\n"},
      {"unknown chain",
       {{"\"06B-1\"", "\"07B-1\""}},
       "marram-1420.toml:22:10: chain.iso606: found \"07B-1\", allowed 04C, 05B, 06B, 06C, 08A, 08B, 10A, 10B, "
       "12A, 12B, with -1, -2 or -3 for the rows\n"},
      {"chain twice over",
       {{"iso606 = \"06B-1\"", "iso606 = \"06B-1\"\npitch_mm = 9.525\nrows = 1"}},
       "marram-1420.toml:23:12: chain.pitch_mm: found 9.525, allowed iso606 or all dimensions, not both\n"
       "marram-1420.toml:24:8: chain.rows: found 1, allowed iso606 or all dimensions, not both\n"},
      {"chain without its size",
       {{"iso606 = \"06B-1\"", "pitch_mm = 9.525\nroller_mm = 6.35"}},
       "marram-1420.toml:21:1: chain.inner_width_mm: found nothing, allowed 1 to 100 mm\n"
       "marram-1420.toml:21:1: chain.pin_mm: found nothing, allowed 0.5 to 50 mm\n"
       "marram-1420.toml:21:1: chain.plate_height_mm: found nothing, allowed 1 to 100 mm\n"
       "marram-1420.toml:21:1: chain.transverse_pitch_mm: found nothing, allowed 1 to 200 mm\n"},
      {"no links",
       {{"links = 52", "links = 0"}},
       "marram-1420.toml:23:9: chain.links: found 0, allowed a whole number 8 to 1000\n"},
      {"one sprocket",
       {{"[[sprocket]]\nname = \"cam\"", "[sprocket2]\nname = \"cam\""}},
       "marram-1420.toml:26:1: sprocket: found 1, allowed 2 to 8 sprockets\n"
       "marram-1420.toml:33:2: sprocket2: found an unknown key; did you mean sprocket?\n"},
      {"sprocket names alike",
       {{"name = \"cam\"\nteeth = 38", "name = \"crank\"\nteeth = 38"}},
       "marram-1420.toml:34:8: sprocket[2].name: found \"crank\", allowed a name that no other sprocket has\n"},
      {"teeth beyond the range",
       {{"teeth = 38", "teeth = 38000000000"}},
       "marram-1420.toml:35:9: sprocket[2].teeth: found 38000000000, allowed a whole number 6 to 200\n"},
      {"centre with one figure",
       {{"[0.0, 107.9]", "[107.9]"}},
       "marram-1420.toml:36:13: sprocket[2].centre_mm: found [107.9], allowed two figures, -2000 to 2000 mm\n"},
      {"centre with a word",
       {{"[0.0, 107.9]", "[0.0, \"107.9\"]"}},
       "marram-1420.toml:36:19: sprocket[2].centre_mm[2]: found \"107.9\", allowed -2000 to 2000 mm; write the figure "
       "without quotes\n"},
      {"mark on something else",
       {{"mark = \"gap\"", "mark = \"link\""}},
       "marram-1420.toml:37:8: sprocket[2].mark: found \"link\", allowed \"tooth\", \"gap\"\n"},
      {"mark beyond the clock",
       {{"mark_clock_deg = 180", "mark_clock_deg = 361"}},
       "marram-1420.toml:38:18: sprocket[2].mark_clock_deg: found 361, allowed 0 to 360 deg\n"},
      {"sprocket without a mark",
       {{"mark = \"gap\"\nmark_clock_deg = 180", ""}},
       "marram-1420.toml:33:1: sprocket[2].mark: found nothing, allowed \"tooth\", \"gap\"\n"
       "marram-1420.toml:33:1: sprocket[2].mark_clock_deg: found nothing, allowed 0 to 360 deg\n"},
      {"camshaft unknown to the sprocket",
       {{"camshaft = \"cam\"", "camshaft = \"came\""}},
       "marram-1420.toml:39:12: sprocket[2].camshaft: found \"came\", allowed a camshaft: \"cam\"\n"},
      {"crank drives a camshaft",
       {{"name = \"crank\"\nteeth = 19", "name = \"crank\"\ncamshaft = \"cam\"\nteeth = 19"}},
       "marram-1420.toml:28:12: sprocket[1].camshaft: found \"cam\"; the first sprocket is the crank's and drives no "
       "camshaft\n"},
      {"no camshaft",
       {{"[[camshaft]]\nname = \"cam\"", "[[camshaf]]\nname = \"cam\""}},
       "marram-1420.toml:54:3: camshaf: found an unknown key; did you mean camshaft?\n"
       "marram-1420.toml:59:1: camshaft: found a table, allowed 1 to 4 camshafts; write [[camshaft]] for each\n"},
      {"camshaft called crank",
       {{"[[camshaft]]\nname = \"cam\"", "[[camshaft]]\nname = \"crank\""}},
       "marram-1420.toml:39:12: sprocket[2].camshaft: found \"cam\", allowed a camshaft: \"crank\"\n"
       "marram-1420.toml:46:8: shaft.cam: found an unknown key, allowed crank\n"
       "marram-1420.toml:55:8: camshaft[1].name: found \"crank\", allowed any name but \"crank\", which stands for the "
       "crankshaft in [shaft.crank]\n"},
      {"camshaft called others",
       {{"[[camshaft]]\nname = \"cam\"", "[[camshaft]]\nname = \"others\""},
        {"camshaft = \"cam\"", "camshaft = \"others\""},
        {"[shaft.cam]", "[shaft.others]"}},
       "marram-1420.toml:55:8: camshaft[1].name: found \"others\", allowed any name but \"others\", which stands for "
       "the "
       "camshafts not named in a build's tables\n"},
      {"shaft missing",
       {{"[shaft.cam]", "[shaft.cm]"}},
       "marram-1420.toml:41:1: shaft.cam: found nothing, allowed a table\n"
       "marram-1420.toml:46:8: shaft.cm: found an unknown key; did you mean cam?\n"},
      {"key that is no key",
       {{"key = \"4x6.5x16\"\nkey_clock_deg = 45", "key = \"4 by 6\"\nkey_clock_deg = 45"}},
       "marram-1420.toml:48:7: shaft.cam.key: found \"4 by 6\", allowed width x height x diameter of a half-round key "
       "in mm, such as \"4x6.5x16\"\n"},
      {"end float upside down",
       {{"[0.08, 0.18]", "[0.18, 0.08]"}},
       "marram-1420.toml:50:16: shaft.cam.end_float_mm: found [0.18, 0.08], allowed the lesser figure first\n"},
      {"end float on the crank",
       {{"key_clock_deg = 0\n", "key_clock_deg = 0\nend_float_mm = [0.1, 0.2]\n"}},
       "marram-1420.toml:45:1: shaft.crank.end_float_mm: found an unknown key, allowed diameter_mm, key, "
       "key_clock_deg\n"},
      {"unknown follower",
       {{"centre_deg = 106                      # ATDC\nfollower = \"flat tappet\"",
         "centre_deg = 106\nfollower = \"flat-tappet\""}},
       "marram-1420.toml:61:12: camshaft[1].inlet.follower: found \"flat-tappet\", allowed \"flat tappet\", \"roller "
       "tappet\", \"bucket\", \"finger\"\n"},
      {"roller without a radius",
       {{"centre_deg = 106                      # ATDC\nfollower = \"flat tappet\"",
         "centre_deg = 106\nfollower = \"roller tappet\""}},
       "marram-1420.toml:59:1: camshaft[1].inlet.roller_radius_mm: found nothing, allowed 2 to 40 mm\n"},
      {"no lobe",
       {{"lobe = { kind = \"table\", file = \"marram-inlet.csv\" }", ""}},
       "marram-1420.toml:59:1: camshaft[1].inlet.lobe: found nothing, allowed a table\n"},
      {"lobe of no kind",
       {{"kind = \"table\", file = \"marram-inlet.csv\"", "file = \"marram-inlet.csv\""}},
       "marram-1420.toml:65:8: camshaft[1].inlet.lobe.kind: found nothing, allowed \"table\", \"card\", "
       "\"polynomial-4567\"\n"},
      {"lobe file missing",
       {{"marram-inlet.csv", "marram-inlett.csv"}},
       "marram-1420.toml:65:33: camshaft[1].inlet.lobe.file: found \"marram-inlett.csv\"; there is no such file beside "
       "the engine file\n"},
      {"lobe file outside",
       {{"marram-inlet.csv", "../marram-inlet.csv"}},
       "marram-1420.toml:65:33: camshaft[1].inlet.lobe.file: found \"../marram-inlet.csv\", allowed the name of a file "
       "beside the engine file\n"},
      {"lobe file at the root",
       {{"marram-inlet.csv", "/etc/passwd"}},
       "marram-1420.toml:65:33: camshaft[1].inlet.lobe.file: found \"/etc/passwd\", allowed the name of a file beside "
       "the engine file\n"},
      {"card turned about",
       {{"kind = \"table\", file = \"marram-inlet.csv\"",
         "kind = \"card\", lift_mm = 6.9, duration_deg = 264, seat_duration_deg = 218"}},
       "marram-1420.toml:65:80: camshaft[1].inlet.lobe.seat_duration_deg: found 218, allowed more than duration_deg\n"},
      {"polynomial with a wrong key",
       {{"kind = \"table\", file = \"marram-inlet.csv\"",
         "kind = \"polynomial-4567\", lift = 6.9, duration_deg = 264"}},
       "marram-1420.toml:65:8: camshaft[1].inlet.lobe.lift_mm: found nothing, allowed 0.5 to 40 mm\n"
       "marram-1420.toml:65:36: camshaft[1].inlet.lobe.lift: found an unknown key, allowed kind, lift_mm, "
       "duration_deg, rise_deg\n"},
      {"valve table missing",
       {{"[valve.inlet]", "[valve.intake]"}},
       "marram-1420.toml:75:1: valve.inlet: found nothing, allowed a table, because a camshaft moves such a valve\n"
       "marram-1420.toml:75:8: valve.intake: found an unknown key, allowed inlet, exhaust\n"},
      {"pocket too narrow",
       {{"closed_height_mm = 4.5                # closed head face above the block face, gasket included\npocket = { "
         "depth_mm = 0.0, radius_mm = 0.0 }",
         "closed_height_mm = 4.5\npocket = { depth_mm = 1.5, radius_mm = 16.5 }"}},
       "marram-1420.toml:80:40: valve.inlet.pocket.radius_mm: found 16.5, allowed more than 16.5 mm, half the valve's "
       "head\n"},
      {"pocket half said",
       {{"closed_height_mm = 4.5                # closed head face above the block face, gasket included\npocket = { "
         "depth_mm = 0.0, radius_mm = 0.0 }",
         "closed_height_mm = 4.5\npocket = { depth_mm = 1.5 }"}},
       "marram-1420.toml:80:10: valve.inlet.pocket.radius_mm: found nothing, allowed 0 to 200 mm\n"},
      {"more than one fault of one list",
       {{"centre_mm = [0.0, 0.0]", "centre_mm = [1e9, -1e9]"}},
       "marram-1420.toml:29:14: sprocket[1].centre_mm[1]: found 1e9, allowed -2000 to 2000 mm\n"
       "marram-1420.toml:29:19: sprocket[1].centre_mm[2]: found -1e9, allowed -2000 to 2000 mm\n"},
      {"camshaft that moves nothing",
       {{"[camshaft.inlet]", "[inlet]"}, {"[camshaft.exhaust]", "[exhaust]"}},
       "marram-1420.toml:54:1: camshaft[1].inlet: found nothing, allowed an inlet table, an exhaust table or both\n"
       "marram-1420.toml:59:2: inlet: found an unknown key, allowed format, name, rotation, block, stage, chain, "
       "sprocket, guide, tensioner, camshaft, shaft, valve, fastener\n"
       "marram-1420.toml:67:2: exhaust: found an unknown key, allowed format, name, rotation, block, stage, chain, "
       "sprocket, guide, tensioner, camshaft, shaft, valve, fastener\n"},
      {"torque in words",
       {{"torque_nm = 80", "torque_nm = \"tight\""}},
       "marram-1420.toml:91:27: fastener.\"cam nut\".torque_nm: found \"tight\", allowed 0 to 5000 N m\n"},
      {"guide on no strand",
       {{"[shaft.crank]",
         "[[guide]]\nstrand = [\"crank\", \"crank\"]\ncentre_mm = [40, 50]\nradius_mm = 100\n\n[shaft.crank]"}},
       "marram-1420.toml:42:10: guide[1].strand: found [\"crank\", \"crank\"], allowed a strand in the chain's "
       "direction of travel: [\"crank\", \"cam\"], [\"cam\", \"crank\"]\n"},
      {"guide with faults all over",
       {{"[shaft.crank]",
         "[[guide]]\nstrand = \"cam\"\ncentre_mm = [40, 50, 60]\nradius_mm = 0\nside = \"left\"\n\n[shaft.crank]"}},
       "marram-1420.toml:42:10: guide[1].strand: found \"cam\", allowed two names, [\"from\", \"to\"]\n"
       "marram-1420.toml:43:13: guide[1].centre_mm: found [40, 50, 60], allowed two figures, -2000 to 2000 mm\n"
       "marram-1420.toml:44:13: guide[1].radius_mm: found 0, allowed 1 to 2000 mm\n"
       "marram-1420.toml:45:8: guide[1].side: found \"left\", allowed \"inside\", \"outside\"\n"},
      {"tensioner upside down",
       {{"[shaft.crank]", "[tensioner]\nstrand = [\"crank\", \"cam\"]\ncentre_mm = [40, 50]\nradius_mm = "
                          "60\npush_clock_deg = 270\ntravel_mm = [8, 0]\n\n[shaft.crank]"}},
       "marram-1420.toml:46:13: tensioner.travel_mm: found [8, 0], allowed the lesser figure first\n"},
      {"date where a figure belongs",
       {{"links = 52", "links = 1979-05-27"}},
       "marram-1420.toml:23:9: chain.links: found 1979-05-27, allowed a whole number 8 to 1000\n"},
      {"many faults at once",
       {{"bore_mm = 72.0\nstroke_mm = 87.0", "bore_mm = 7\nstroke_mm = true"},
        {"links = 52", "links = 5"},
        {"\"marram-exhaust.csv\"", "\"none.csv\""},
        {"closed_height_mm = 4.6", "closed_height = 4.6"}},
       "marram-1420.toml:10:11: block.bore_mm: found 7, allowed 20 to 500 mm\n"
       "marram-1420.toml:11:13: block.stroke_mm: found true, allowed 20 to 500 mm\n"
       "marram-1420.toml:23:9: chain.links: found 5, allowed a whole number 8 to 1000\n"
       "marram-1420.toml:73:33: camshaft[1].exhaust.lobe.file: found \"none.csv\"; there is no such file beside the "
       "engine file\n"
       "marram-1420.toml:82:1: valve.exhaust.closed_height_mm: found nothing, allowed -20 to 50 mm\n"
       "marram-1420.toml:86:1: valve.exhaust.closed_height: found an unknown key; did you mean closed_height_mm?\n"},
  };
  return files;
}

} // namespace

TEST_CASE("A faulty engine file is told all its faults") {
  for (const Broken& broken : broken_files()) {
    INFO(broken.what);
    const Folder folder;
    folder.copy_engine(broken.edits);
    CHECK(folder.problems_of("marram-1420.toml") == broken.said);
  }
}
