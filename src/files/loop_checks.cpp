// What the chain loops of an engine must be to one another and to the camshafts.
#include "files/build_reader.hpp"
#include "files/engine_reader.hpp"

#include "files/limits.hpp"

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace phasewright {

namespace {

// Two sprockets are on one shaft when their centres agree so far.
constexpr double same_centre_mm = 0.001;

// Dimensions given one by one: a chain that can be put together. Those by ISO 606 number can.
void check_chain(const Chain& chain, const std::string& path, Report& report) {
  if (!chain.iso606.empty() || !report.sound(path)) return;
  const auto less = [&](const char* key, double value_mm, double than_mm, const char* what) {
    if (!(value_mm < than_mm)) report.add(join_key(path, key), "", fmt::format("less than {} mm, {}", than_mm, what));
  };
  less("pin_mm", chain.pin_mm, chain.roller_mm, "the roller's diameter");
  less("roller_mm", chain.roller_mm, chain.pitch_mm, "the pitch");
  less("plate_height_mm", chain.plate_height_mm, 1.5 * chain.pitch_mm, "one and a half pitches");
}

// Names in quotes, with commas between.
std::string add_name(std::string list, const std::string& name) {
  return std::move(list) + (list.empty() ? "\"" : ", \"") + name + "\"";
}

void check_first(const Engine& engine, std::size_t loop, Report& report) {
  if (engine.loops[loop].sprockets.empty()) return;
  const Sprocket& first = engine.loops[loop].sprockets.front();
  const std::string key = sprocket_key({loop, 0});
  if (!first.camshaft.empty())
    report.add(join_key(key, "camshaft"), "", "",
               loop == 0 ? "the first sprocket is the crank's and drives no camshaft"
                         : "the first sprocket drives the chain; the camshaft belongs to the sprocket of an earlier "
                           "loop that turns its shaft");
  if (first.wrap == Wrap::outside)
    report.add(join_key(key, "wrap"), "",
               loop == 0 ? "\"inside\" for the crank" : "\"inside\" for the sprocket that drives the chain");
}

void check_sprockets(const Engine& engine, std::size_t loop, std::set<std::string>& names, Report& report) {
  std::string camshafts;
  for (const Camshaft& camshaft : engine.camshafts) camshafts = add_name(std::move(camshafts), camshaft.name);
  for (std::size_t i = 0; i < engine.loops[loop].sprockets.size(); ++i) {
    const Sprocket& sprocket = engine.loops[loop].sprockets[i];
    const std::string key = sprocket_key({loop, i});
    if (!sprocket.name.empty() && !names.insert(sprocket.name).second)
      report.add(join_key(key, "name"), "", "a name that no other sprocket has");
    if (i > 0 && !sprocket.camshaft.empty() && report.sound("camshaft") &&
        find_camshaft(engine, sprocket.camshaft) == nullptr)
      report.add(join_key(key, "camshaft"), "", "a camshaft: " + camshafts);
  }
  check_first(engine, loop, report);
}

// The shaft a later loop is driven from.
void check_shaft(const Engine& engine, std::size_t loop, Report& report) {
  const std::string key = join_key(join_index("stage", loop - 1), "driven_from");
  const Loop& own = engine.loops[loop];
  if (!report.sound(key)) return;
  const Sprocket* driver = nullptr;
  std::string allowed;
  for (std::size_t earlier = 0; earlier < loop; ++earlier)
    for (const Sprocket& sprocket : engine.loops[earlier].sprockets) {
      if (sprocket.name.empty()) return; // for a fault that is said already
      if (sprocket.name == own.driven_from) driver = &sprocket;
      allowed = add_name(std::move(allowed), sprocket.name);
    }
  if (driver == nullptr) {
    if (!allowed.empty()) report.add(key, "", "a sprocket of an earlier loop: " + allowed);
    return;
  }
  // Lay is counted by the camshaft's name or by that of such a sprocket; one name must not mean both.
  if (find_camshaft(engine, driver->name) != nullptr && driver->camshaft != driver->name)
    report.add(
        key, "", "",
        fmt::format("the sprocket needs a name that no camshaft has: \"{}\" is a camshaft that it does not drive",
                    driver->name));
  if (driver->name == others_key)
    report.add(key, "", "",
               "the sprocket needs another name: \"others\" stands for the camshafts not named in a build's tables");
  if (own.sprockets.empty()) return;
  const glm::dvec2 apart_mm = own.sprockets.front().centre_mm - driver->centre_mm;
  const std::string centre = join_key(sprocket_key({loop, 0}), "centre_mm");
  if (report.sound(centre) && report.sound(join_key(sprocket_key(*find_sprocket(engine, driver->name)), "centre_mm")) &&
      !(std::hypot(apart_mm.x, apart_mm.y) <= same_centre_mm))
    report.add(centre, "",
               fmt::format("[{}, {}], the centre of \"{}\", on whose shaft it sits", driver->centre_mm.x,
                           driver->centre_mm.y, driver->name));
}

// `path`: of the guide or of the tensioner, whose shoe is one.
void check_strand(const Guide& guide, const Loop& loop, const std::string& path, Report& report) {
  const std::string key = join_key(path, "strand");
  if (!report.sound(key)) return;
  std::string strands;
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    const std::string& from = loop.sprockets[i].name;
    const std::string& to = loop.sprockets[(i + 1) % loop.sprockets.size()].name;
    if (guide.strand[0] == from && guide.strand[1] == to) return;
    strands += fmt::format("{}[\"{}\", \"{}\"]", strands.empty() ? "" : ", ", from, to);
  }
  report.add(key, "", "a strand in the chain's direction of travel: " + strands);
}

void check_guides(const Loop& loop, const std::string& prefix, Report& report) {
  if (!report.sound(prefix + "sprocket")) return;
  std::map<std::array<std::string, 2>, std::size_t> count;
  for (std::size_t i = 0; i < loop.guides.size(); ++i) {
    const std::string path = join_index(prefix + "guide", i);
    check_strand(loop.guides[i], loop, path, report);
    if (report.sound(join_key(path, "strand")) && ++count[loop.guides[i].strand] == limits::guides_of_strand + 1)
      report.add(join_key(path, "strand"), "", "",
                 fmt::format("one strand has at most {} guides", limits::guides_of_strand));
  }
  if (loop.tensioner) check_strand(loop.tensioner->shoe, loop, prefix + "tensioner", report);
}

} // namespace

void check_rising(const std::array<double, 2>& pair, const std::string& key, Report& report) {
  if (report.sound(key) && !(pair[0] <= pair[1])) report.add(key, "", "the lesser figure first");
}

void check_loops(const Engine& engine, Report& report) {
  std::set<std::string> names;
  for (std::size_t loop = 0; loop < engine.loops.size(); ++loop) {
    const std::string prefix = loop_key(loop);
    check_chain(engine.loops[loop].chain, prefix + "chain", report);
    check_sprockets(engine, loop, names, report);
    if (loop > 0) check_shaft(engine, loop, report);
    check_guides(engine.loops[loop], prefix, report);
    if (engine.loops[loop].tensioner)
      check_rising(engine.loops[loop].tensioner->travel_mm, prefix + "tensioner.travel_mm", report);
  }
}

} // namespace phasewright
