// Whatever a builder can say of fittings, aims, readings, earlier sets and tolerances is still said after saving.
#include "files/build_text.hpp"
#include "files/folder.hpp"

#include <fmt/format.h>

#include <random>
#include <tuple>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

class Dice {
public:
  explicit Dice(unsigned seed) : random_(seed) {}

  bool coin() { return std::uniform_int_distribution(0, 1)(random_) == 1; }
  int whole(int from, int to) { return std::uniform_int_distribution(from, to)(random_); }
  double number(double from, double to) { return std::uniform_real_distribution(from, to)(random_); }
  std::optional<double> maybe(double from, double to) {
    return coin() ? std::optional(number(from, to)) : std::nullopt;
  }
  std::vector<double> numbers(double from, double to, int most) {
    std::vector<double> all(static_cast<std::size_t>(whole(0, most)));
    for (double& one : all) one = number(from, to);
    return all;
  }
  std::string words() {
    static const std::array<std::string, 5> some{"", "cold", "the \"long\" stop", "back\\slash # no comment", "Fähre"};
    return some[static_cast<std::size_t>(whole(0, 4))];
  }
  ValveKind kind() { return coin() ? ValveKind::inlet : ValveKind::exhaust; }

private:
  std::mt19937 random_;
};

constexpr std::array<const char*, 2> camshafts{"inlet", "exhaust"};

Fitted some_fitted(Dice& dice) {
  Fitted fitted;
  fitted.vernier = {10, 11};
  fitted.lay = dice.whole(-2, 2);
  fitted.crank_key_deg = dice.number(-4, 4);
  fitted.cam_key_deg = dice.number(-4, 4);
  fitted.elongation_percent = dice.number(0, 0.5);
  fitted.centre_change_mm = dice.number(-0.2, 0);
  fitted.holes = {dice.whole(0, 9), dice.whole(0, 10)};
  fitted.slot_deg = dice.coin() ? dice.number(-3, 3) : 0.0;
  fitted.found_deg = dice.coin() ? dice.number(-5, 5) : 0.0;
  for (const char* name : camshafts) {
    if (dice.coin()) fitted.lay_of[name] = dice.whole(-2, 2);
    if (dice.coin()) fitted.cam_key_of[name] = dice.number(-4, 4);
    if (dice.coin()) fitted.holes_of[name] = {dice.whole(0, 9), dice.whole(0, 10)};
    if (dice.coin()) fitted.slot_of[name] = dice.number(-3, 3);
    if (dice.coin()) fitted.found_of[name] = dice.number(-5, 5);
  }
  fitted.shim_mm = dice.numbers(0.01, 1, 3);
  return fitted;
}

Target some_target(Dice& dice) {
  Target target;
  switch (dice.whole(0, 5)) {
  case 0:
    target.inlet_centre_deg = dice.number(100, 115);
    target.exhaust_centre_deg = dice.maybe(100, 115);
    break;
  case 1:
    target.exhaust_centre_deg = dice.number(100, 115);
    break;
  case 2:
    target.phase_deg = dice.number(-5, 5);
    break;
  case 3:
    target.event = TargetEvent{EventKind::exhaust_opens, dice.number(30, 60), dice.coin() ? 1.0 : 0.0};
    break;
  case 4:
    target.equal_lift_at_tdc = true;
    break;
  default:
    target.effective_ratio = dice.number(5, 9);
    break;
  }
  if (dice.coin()) target.camshaft = camshafts[static_cast<std::size_t>(dice.whole(0, 1))];
  target.preset_for_wear = dice.coin();
  return target;
}

Measured some_measured(Dice& dice) {
  Measured measured;
  measured.with = some_fitted(dice);
  measured.date = dice.coin() ? "2026-02-28" : "";
  measured.note = dice.words();
  for (int i = dice.whole(0, 2); i > 0; --i) measured.stop_deg.push_back({dice.number(-60, -40), dice.number(40, 60)});
  for (int i = dice.whole(0, 3); i > 0; --i) {
    LobeReading reading{dice.kind(), dice.whole(1, 2), dice.number(1, 5), {}, dice.number(0, 720), dice.number(0, 720)};
    if (dice.coin()) reading.at = dice.coin() ? CheckAt::valve : CheckAt::tappet;
    measured.lobe.push_back(reading);
  }
  for (int i = dice.whole(0, 2); i > 0; --i)
    measured.clearance.push_back({dice.kind(), dice.number(0, 720), dice.number(0, 5)});
  if (dice.coin()) measured.gap = GapReading{dice.number(0, 1), dice.number(0, 1), "crank"};
  measured.float_mm = dice.numbers(0, 0.2, 3);
  if (dice.coin()) measured.float_of = camshafts[static_cast<std::size_t>(dice.whole(0, 1))];
  measured.plate_mm = dice.maybe(2, 5);
  measured.boss_mm = dice.maybe(5, 6);
  for (const char* name : camshafts)
    if (dice.coin()) measured.pins.push_back({name, dice.whole(0, 60)});
  if (dice.coin())
    measured.key.push_back({"crank", dice.maybe(1, 9), dice.maybe(1, 9), dice.maybe(1, 9), dice.maybe(1, 9),
                            dice.maybe(1, 9), dice.maybe(1, 9)});
  // Something must be there, or the set says nothing and what was fitted then is not kept.
  if (!has_readings(measured)) measured.float_mm = {0.1};
  return measured;
}

Build some_build(unsigned seed) {
  Dice dice(seed);
  Build build;
  build.engine = "marram-2050.toml";
  build.title = dice.words();
  build.stock.vernier = Vernier{10, 11};
  build.fitted = some_fitted(dice);
  build.target = some_target(dice);
  build.measured = some_measured(dice);
  for (int i = dice.whole(0, 3); i > 0; --i) build.history.push_back(some_measured(dice));
  build.instruments.feeler_mm = dice.number(0.001, 1);
  build.instruments.caliper_mm = dice.number(0.001, 1);
  build.tolerances = {dice.number(0, 1), dice.number(0, 1), dice.number(0, 1), dice.number(0, 1),
                      dice.number(0, 1), dice.number(0, 1), dice.number(0, 1)};
  return build;
}

auto tied(const LobeReading& r) {
  return std::tie(r.valve, r.cylinder, r.lift_mm, r.at, r.opens_deg, r.closes_deg);
}
auto tied(const ClearanceReading& r) {
  return std::tie(r.valve, r.crank_deg, r.clearance_mm);
}
auto tied(const KeyReading& r) {
  return std::tie(r.shaft, r.height_mm, r.width_mm, r.seat_depth_mm, r.seat_width_mm, r.hub_depth_mm, r.hub_width_mm);
}
auto tied(const GapReading& r) {
  return std::tie(r.near_mm, r.far_mm, r.under);
}

template <class T>
void check_all(const std::vector<T>& a, const std::vector<T>& b) {
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) CHECK(tied(a[i]) == tied(b[i]));
}

void check_same(const Measured& a, const Measured& b) {
  CHECK(a.with == b.with);
  CHECK(std::tie(a.date, a.note, a.stop_deg, a.float_mm, a.float_of, a.plate_mm, a.boss_mm, a.pins) ==
        std::tie(b.date, b.note, b.stop_deg, b.float_mm, b.float_of, b.plate_mm, b.boss_mm, b.pins));
  check_all(a.lobe, b.lobe);
  check_all(a.clearance, b.clearance);
  check_all(a.key, b.key);
  REQUIRE(a.gap.has_value() == b.gap.has_value());
  if (a.gap) CHECK(tied(*a.gap) == tied(*b.gap));
}

auto tied(const Tolerances& t) {
  return std::tie(t.centre_mm, t.chain_percent, t.keyway_mm, t.crank_sprocket_deg, t.cam_sprocket_deg, t.key_deg,
                  t.lobe_centre_deg);
}

auto tied(const Target& t) {
  return std::tie(t.inlet_centre_deg, t.exhaust_centre_deg, t.phase_deg, t.equal_lift_at_tdc, t.effective_ratio,
                  t.camshaft, t.preset_for_wear);
}

void check_same(const Build& a, const Build& b) {
  CHECK(a.title == b.title);
  CHECK(a.fitted == b.fitted);
  CHECK(tied(a.target) == tied(b.target));
  REQUIRE(a.target.event.has_value() == b.target.event.has_value());
  if (a.target.event)
    CHECK(std::tie(a.target.event->kind, a.target.event->deg, a.target.event->at_lift_mm) ==
          std::tie(b.target.event->kind, b.target.event->deg, b.target.event->at_lift_mm));
  check_same(a.measured, b.measured);
  REQUIRE(a.history.size() == b.history.size());
  for (std::size_t i = 0; i < a.history.size(); ++i) check_same(a.history[i], b.history[i]);
  CHECK(a.instruments.feeler_mm == b.instruments.feeler_mm);
  CHECK(a.instruments.caliper_mm == b.instruments.caliper_mm);
  CHECK(tied(a.tolerances) == tied(b.tolerances));
}

// A file as somebody might lay it out by hand: tables with a header, in dotted keys or in one value, comments
// anywhere but inside of values. Counts the comments.
class Layout {
public:
  explicit Layout(unsigned seed) : dice_(seed) {}

  std::string text_of(const Build& build) {
    root_ = "# by hand\nformat = \"phasewright-build/1\"" + comment();
    std::vector<BuildEntry> group;
    for (const BuildEntry& entry : build_entries(build)) {
      if (!group.empty() && group.back().table != entry.table) add_table(group);
      if (!entry.value.empty() && !entry.is_default) group.push_back(entry);
    }
    if (!group.empty()) add_table(group);
    add_history(build);
    std::string text = root_ + tables_;
    if (dice_.coin()) text.pop_back(); // the last line is left open
    if (!dice_.coin()) return text;
    std::string with_returns;
    for (const char c : text) with_returns += c == '\n' ? "\r\n" : std::string(1, c);
    return with_returns;
  }

  [[nodiscard]] int comments() const { return comments_; }

private:
  // The end of a line.
  std::string comment() {
    if (!dice_.coin()) return "\n";
    return fmt::format("  # note {};\n", ++comments_);
  }

  static std::string in_one_value(const std::vector<BuildEntry>& entries) {
    std::string text;
    for (const BuildEntry& entry : entries)
      if (!entry.value.empty() && !entry.is_default)
        text += fmt::format("{}{} = {}", text.empty() ? "{ " : ", ", entry.key, entry.value);
    return text.empty() ? "{}" : text + " }";
  }

  void add_table(std::vector<BuildEntry>& group) {
    const std::string table = group.front().table;
    const int style = table.empty() ? 0 : dice_.whole(0, 2);
    if (style == 1) root_ += table + " = " + in_one_value(group) + comment();
    if (style == 0 && !table.empty()) tables_ += (dice_.coin() ? "\n[" : "[ ") + table + "]" + comment();
    for (const BuildEntry& entry : group) {
      if (style == 0) (table.empty() ? root_ : tables_) += entry.key + " = " + entry.value + comment();
      if (style == 2) root_ += table + "." + entry.key + "= " + entry.value + comment();
    }
    group.clear();
  }

  void add_history(const Build& build) {
    if (build.history.empty()) {
      if (dice_.coin()) root_ += "history = []" + comment();
      return;
    }
    if (dice_.coin()) {
      root_ += "history = [";
      for (std::size_t i = 0; i < build.history.size(); ++i)
        root_ += (i > 0 ? ",\n  " : "") + in_one_value(measured_entries(build.history[i], "history", nullptr));
      root_ += (dice_.coin() ? " ]" : ",\n]") + comment();
      return;
    }
    for (const Measured& set : build.history) {
      tables_ += "[[history]]" + comment();
      const bool apart = dice_.coin();
      for (const BuildEntry& entry : measured_entries(set, "history", nullptr))
        if (!entry.value.empty() && !entry.is_default && !(apart && entry.key == "with"))
          tables_ += "  " + entry.key + " = " + entry.value + comment();
      if (!apart) continue;
      Build as_fitted_then;
      as_fitted_then.fitted = set.with;
      tables_ += "  [history.with]" + comment();
      for (const BuildEntry& entry : build_entries(as_fitted_then))
        if (entry.table == "fitted" && !entry.is_default) tables_ += entry.key + " = " + entry.value + comment();
    }
  }

  Dice dice_;
  std::string root_;
  std::string tables_;
  int comments_ = 0;
};

// How many of the comments are still there.
int comments_in(const std::string& text, int written) {
  int found = 0;
  for (int i = 1; i <= written; ++i)
    if (text.find(fmt::format("# note {};", i)) != std::string::npos) ++found;
  return found;
}

Build opened_build(const Folder& folder) {
  const auto opened = open_any(folder / "x.build.toml");
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened.ok());
  return opened->build;
}

} // namespace

TEST_CASE("Random builds come back from a new file as they were") {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    INFO("seed " << seed);
    const Build build = some_build(seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    REQUIRE_FALSE(save_build(folder / "x.build.toml", build).has_value());
    check_same(opened_build(folder), build);
  }
}

TEST_CASE("A file that said one thing says another when it is saved over") {
  for (unsigned seed = 1; seed <= 100; ++seed) {
    INFO("seed " << seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    const Build first = some_build(seed);
    const Build then = some_build(seed + 1000);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", first).has_value());
    REQUIRE_FALSE(save_build(folder / "x.build.toml", then).has_value());
    check_same(opened_build(folder), then);
  }
}

TEST_CASE("Whatever way a file is laid out it is saved over and keeps its comments") {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    INFO("seed " << seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    const Build first = some_build(seed);
    Layout layout(seed);
    const std::string before = layout.text_of(first);
    INFO(before);
    folder.write("x.build.toml", before);
    check_same(opened_build(folder), first);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", first).has_value());
    CHECK(slurp(folder / "x.build.toml") == before);

    // One set more, and then another build altogether.
    Build grown = first;
    grown.history.push_back(some_build(seed + 2000).measured);
    const Build other = some_build(seed + 1000);
    for (const Build& then : {grown, other}) {
      REQUIRE_FALSE(save_build(folder / "x.build.toml", then).has_value());
      check_same(opened_build(folder), then);
      CHECK(comments_in(slurp(folder / "x.build.toml"), layout.comments()) == layout.comments());
    }
  }
}

TEST_CASE("Readings that are put by leave the rest of the file as it is") {
  const Folder folder;
  folder.copy_build();
  const std::string path = "sandling-14.build.toml";
  const std::string before = slurp(folder / path);
  auto opened = open_any(folder / path);
  REQUIRE(opened.ok());
  Build build = opened->build;
  build.history.push_back(build.measured);
  REQUIRE(build.history.size() == 2);
  REQUIRE_FALSE(save_build(folder / path, build).has_value());
  const std::string after = slurp(folder / path);
  // A set comes to the end; not a byte before it is touched.
  REQUIRE(after.size() > before.size());
  CHECK(after.substr(0, before.size()) == before);
  CHECK(after.substr(before.size(), 13) == "\n[[history]]\n");
  opened = open_any(folder / path);
  REQUIRE(opened.ok());
  check_same(opened->build, build);

  // One changed in the middle: all are written anew and the rest stays.
  build.history[0].note = "as she came in";
  REQUIRE_FALSE(save_build(folder / path, build).has_value());
  opened = open_any(folder / path);
  REQUIRE(opened.ok());
  check_same(opened->build, build);
  const std::string anew = slurp(folder / path);
  const std::size_t head = before.find("[[history]]");
  REQUIRE(head != std::string::npos);
  CHECK(anew.substr(0, head) == before.substr(0, head));
}

TEST_CASE("A set that is put by comes after those that stand in one value") {
  const std::string head = "format = \"phasewright-build/1\"\nengine = \"marram-1420.toml\"\n";
  const auto with_one_more = [&](const std::string& history) {
    const Folder folder;
    folder.copy_engine();
    folder.write("x.build.toml", head + history);
    Build build = opened_build(folder);
    Measured set;
    set.date = "2026-06-02";
    set.with.lay = 1;
    set.float_mm = {0.12};
    build.history.push_back(set);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", build).has_value());
    check_same(opened_build(folder), build);
    return slurp(folder / "x.build.toml").substr(head.size());
  };
  const std::string set = "{ date = \"2026-06-02\", with = { lay = 1 }, float_mm = [0.12] }";
  CHECK(with_one_more("history = [{ with = {}, float_mm = [0.10] }] # as she came in\n") ==
        "history = [{ with = {}, float_mm = [0.10] },\n  " + set + "] # as she came in\n");
  CHECK(with_one_more("history = [\n  { with = {}, float_mm = [0.10] }, # as she came in\n]\n") ==
        "history = [\n  { with = {}, float_mm = [0.10] },\n  " + set + ", # as she came in\n]\n");
  CHECK(with_one_more("history = [] # none yet\n") ==
        "# none yet\n\n[[history]]\ndate = \"2026-06-02\"\nwith = { lay = 1 }\nfloat_mm = [0.12]\n");
}
