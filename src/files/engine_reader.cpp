#include "files/engine_reader.hpp"

#include "files/limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace phasewright {

namespace {

constexpr Range position_mm{-2000, 2000, "mm"};
constexpr Range clock_deg{0, 360, "deg"};

glm::dvec2 read_point(Reader& table, std::string_view key) {
  const auto xy = table.pair(key, position_mm);
  return {xy[0], xy[1]};
}

Crown read_crown(Reader table) {
  Crown crown;
  if (!table.present()) return crown;
  crown.shape = table.choice<CrownShape>(
      "shape", {{"flat", CrownShape::flat}, {"dished", CrownShape::dished}, {"domed", CrownShape::domed}});
  if (!table.report().sound(table.path("shape"))) return crown; // its other keys cannot be judged
  constexpr Range height_mm{0.1, 60, "mm"};
  const auto refuse = [&table](const char* key, const char* allowed) {
    if (table.has(key)) table.report().add(table.path(key), "", allowed);
  };
  if (crown.shape == CrownShape::dished) {
    crown.height_mm = table.number("depth_mm", height_mm);
  } else {
    refuse("depth_mm", "only with shape \"dished\"");
  }
  if (crown.shape == CrownShape::domed) {
    crown.height_mm = table.number("height_mm", height_mm);
  } else {
    refuse("height_mm", "only with shape \"domed\"");
  }
  if (crown.shape != CrownShape::flat) {
    crown.radius_mm = table.number("radius_mm", {1, 250, "mm"});
  } else {
    refuse("radius_mm", "only with shape \"dished\" or \"domed\"");
  }
  table.finish();
  return crown;
}

Block read_block(Reader table) {
  Block block;
  block.cylinders = table.whole("cylinders", 1, 16);
  if (!table.has("firing_order")) table.missing("firing_order", "a list of the cylinders as they fire");
  block.firing_order = table.wholes("firing_order", 1, 16, 16);
  block.bore_mm = table.number("bore_mm", {20, 500, "mm"});
  block.stroke_mm = table.number("stroke_mm", {20, 500, "mm"});
  block.rod_mm = table.number("rod_mm", {20, 1000, "mm"});
  block.pin_offset_mm = table.number("pin_offset_mm", {-50, 50, "mm"}, 0);
  block.deck_mm = table.number("deck_mm", {-10, 10, "mm"}, 0);
  block.gasket_mm = table.number("gasket_mm", {0, 10, "mm"}, 0);
  block.gasket_bore_mm = table.number("gasket_bore_mm", {20, 520, "mm"}, block.bore_mm);
  block.chamber_cc = table.number("chamber_cc", {0, 2000, "cc"}, 0);
  block.crown_cc = table.number("crown_cc", {-500, 500, "cc"}, 0);
  block.crown = read_crown(table.table("crown", Reader::Need::optional));
  block.cylinder_clock_deg = table.number("cylinder_clock_deg", clock_deg, 0);
  table.finish();
  return block;
}

// Dimensions by ISO 606 number, or all of them one by one.
void read_chain_size(Reader& table, Chain& chain) {
  struct Dimension {
    const char* key;
    double Chain::*to;
    Range range;
  };
  static constexpr std::array<Dimension, 6> dimensions{{
      {"pitch_mm", &Chain::pitch_mm, {2, 100, "mm"}},
      {"roller_mm", &Chain::roller_mm, {1, 80, "mm"}},
      {"inner_width_mm", &Chain::inner_width_mm, {1, 100, "mm"}},
      {"pin_mm", &Chain::pin_mm, {0.5, 50, "mm"}},
      {"plate_height_mm", &Chain::plate_height_mm, {1, 100, "mm"}},
      {"transverse_pitch_mm", &Chain::transverse_pitch_mm, {1, 200, "mm"}},
  }};
  if (!table.has("iso606")) {
    for (const Dimension& dimension : dimensions) chain.*dimension.to = table.number(dimension.key, dimension.range);
    chain.rows = table.whole("rows", 1, 3, 1);
    return;
  }
  chain.iso606 = table.text("iso606");
  if (const auto number = find_chain(chain.iso606)) {
    const ChainSize& size = number->size;
    chain.pitch_mm = size.pitch_mm;
    chain.roller_mm = size.roller_mm;
    chain.inner_width_mm = size.inner_width_mm;
    chain.pin_mm = size.pin_mm;
    chain.plate_height_mm = size.plate_height_mm;
    chain.transverse_pitch_mm = size.transverse_pitch_mm;
    chain.rows = number->rows;
  } else {
    std::string known;
    for (const ChainSize& size : chain_sizes()) known += (known.empty() ? "" : ", ") + std::string(size.number);
    table.report().add(table.path("iso606"), "", known + ", with -1, -2 or -3 for the rows");
  }
  const auto refuse = [&table](const char* key) {
    if (table.has(key)) table.report().add(table.path(key), "", "iso606 or all dimensions, not both");
  };
  for (const Dimension& dimension : dimensions) refuse(dimension.key);
  refuse("rows");
}

Chain read_chain(Reader table) {
  Chain chain;
  read_chain_size(table, chain);
  chain.links = table.whole("links", 8, 1000);
  chain.wear_limit_percent = table.number("wear_limit_percent", {0.1, 5, "%"}, chain.wear_limit_percent);
  chain.alignment_mm = table.number("alignment_mm", {0.01, 5, "mm"}, chain.alignment_mm);
  table.finish();
  return chain;
}

// `drives`: names of the sprockets that drive a later loop from their shaft.
Sprocket read_sprocket(Reader table, bool is_first, const std::set<std::string>& drives) {
  Sprocket sprocket;
  sprocket.name = table.text("name");
  sprocket.teeth = table.whole("teeth", 6, 200);
  sprocket.centre_mm = read_point(table, "centre_mm");
  sprocket.camshaft = table.text("camshaft", "");
  // An idler is not marked; a mark on one may still be given.
  const bool idler = !is_first && sprocket.camshaft.empty() && !drives.contains(sprocket.name);
  sprocket.mark = table.choice<MarkOn>("mark", {{"tooth", MarkOn::tooth}, {"gap", MarkOn::gap}},
                                       idler ? std::optional(MarkOn::tooth) : std::nullopt);
  sprocket.mark_clock_deg = table.number("mark_clock_deg", clock_deg, idler ? std::optional(0.0) : std::nullopt);
  sprocket.mark_stated = table.has("mark") || table.has("mark_clock_deg");
  sprocket.wrap = table.choice<Wrap>("wrap", {{"inside", Wrap::inside}, {"outside", Wrap::outside}}, Wrap::inside);
  table.finish();
  return sprocket;
}

Guide read_guide(Reader& table) {
  Guide guide;
  guide.strand = table.names("strand");
  guide.centre_mm = read_point(table, "centre_mm");
  guide.radius_mm = table.number("radius_mm", {1, 2000, "mm"});
  guide.side = table.choice<Side>("side", {{"inside", Side::inside}, {"outside", Side::outside}}, Side::outside);
  return guide;
}

std::optional<Tensioner> read_tensioner(Reader table) {
  if (!table.present()) return std::nullopt;
  Tensioner tensioner;
  tensioner.shoe = read_guide(table);
  tensioner.push_clock_deg = table.number("push_clock_deg", clock_deg);
  tensioner.travel_mm = table.pair("travel_mm", {-200, 200, "mm"});
  table.finish();
  return tensioner;
}

// `table`: the whole file for the first loop, a [[stage]] for a later one.
void read_loop(Reader& table, const std::set<std::string>& drives, Loop& loop) {
  loop.chain = read_chain(table.table("chain", Reader::Need::required));
  for (Reader& sprocket : table.tables("sprocket", 2, limits::sprockets, "sprockets"))
    loop.sprockets.push_back(read_sprocket(sprocket, loop.sprockets.empty(), drives));
  for (Reader& guide : table.tables("guide", 0, limits::guides, "guides")) {
    loop.guides.push_back(read_guide(guide));
    guide.finish();
  }
  loop.tensioner = read_tensioner(table.table("tensioner", Reader::Need::optional));
}

void read_loops(Reader& reader, Engine& engine) {
  std::vector<Reader> stages = reader.tables("stage", 0, limits::stages, "stages");
  engine.loops.resize(1 + stages.size());
  std::set<std::string> drives; // wanted before the sprockets: one that drives a later loop must have a mark
  for (std::size_t i = 0; i < stages.size(); ++i) {
    engine.loops[i + 1].driven_from = stages[i].text("driven_from");
    if (stages[i].has("driven_from")) drives.insert(engine.loops[i + 1].driven_from);
  }
  read_loop(reader, drives, engine.loops[0]);
  for (std::size_t i = 0; i < stages.size(); ++i) {
    read_loop(stages[i], drives, engine.loops[i + 1]);
    stages[i].finish();
  }
}

ShaftSeat read_seat(Reader table, bool is_camshaft) {
  ShaftSeat seat;
  seat.diameter_mm = table.number("diameter_mm", {5, 200, "mm"});
  const std::string key = table.text("key");
  if (const auto size = parse_key(key)) {
    seat.key = *size;
  } else if (table.report().sound(table.path("key")) && table.has("key")) {
    table.report().add(table.path("key"), "",
                       "width x height x diameter of a half-round key in mm, such as \"4x6.5x16\"");
  }
  seat.key_clock_deg = table.number("key_clock_deg", clock_deg);
  if (is_camshaft && table.has("end_float_mm")) seat.end_float_mm = table.pair("end_float_mm", {0, 5, "mm"});
  if (is_camshaft && table.has("plate_mm")) seat.plate_mm = table.number("plate_mm", {0.5, 30, "mm"});
  if (is_camshaft && table.has("boss_mm")) seat.boss_mm = table.number("boss_mm", {0.5, 100, "mm"});
  if (seat.plate_mm && seat.boss_mm && table.report().sound(table.path("boss_mm")) && !(*seat.boss_mm > *seat.plate_mm))
    table.report().add(table.path("boss_mm"), "", "more than plate_mm: the difference is the end float");
  table.finish();
  return seat;
}

void read_shafts(Reader table, Engine& engine) {
  engine.crank_seat = read_seat(table.table("crank", Reader::Need::required), false);
  for (const Camshaft& camshaft : engine.camshafts)
    if (!camshaft.name.empty() && camshaft.name != "crank")
      engine.cam_seats[camshaft.name] = read_seat(table.table(camshaft.name, Reader::Need::required), true);
  if (table.report().sound("camshaft")) table.finish(); // else a shaft may be unknown for a fault that is said already
}

void read_fasteners(Reader table, Engine& engine) {
  const std::vector<std::string> names = table.keys();
  if (names.size() > limits::fasteners) {
    table.report().add(table.path(), fmt::format("{}", names.size()), count_words(0, limits::fasteners, "fasteners"));
    return;
  }
  for (const std::string& name : names) {
    Reader row = table.table(name, Reader::Need::required);
    Fastener fastener;
    fastener.torque_nm = row.number("torque_nm", {0, 5000, "N m"}, 0);
    fastener.locks = row.text("locks", "");
    row.finish();
    engine.fasteners[name] = fastener;
  }
}

} // namespace

Engine read_engine(const Node& root, const Folder& folder, Report& report, LobeTableNotes& notes) {
  Reader reader(report, &root, "");
  Engine engine;
  (void)reader.text("format"); // checked when the file was opened
  engine.name = reader.text("name");
  engine.rotation = reader.choice<Rotation>(
      "rotation", {{"clockwise", Rotation::clockwise}, {"anticlockwise", Rotation::anticlockwise}});
  engine.block = read_block(reader.table("block", Reader::Need::required));
  read_loops(reader, engine);
  read_camshafts(reader, folder, engine, notes);
  read_shafts(reader.table("shaft", Reader::Need::required), engine);
  read_valves(reader, engine);
  read_fasteners(reader.table("fastener", Reader::Need::optional), engine);
  reader.finish();
  check_engine(engine, report);
  return engine;
}

} // namespace phasewright
