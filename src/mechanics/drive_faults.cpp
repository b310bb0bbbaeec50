// What is wrong with a drive's layout, before anything is solved.
#include "geometry/angle.hpp"
#include "mechanics/drive_layout.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

// Least wrap of a sprocket, in teeth: below a tooth the strands before and after it would share no seat.
constexpr double least_wrap_teeth = 1.2;

// The push must move the shoe into the chain at least by this share.
constexpr double least_push_share = 0.1;

// Tip diameter, ISO 606 greatest: d + 1.25 p - d1.
double tip_radius_mm(const Chain& chain, int teeth) {
  return pitch_radius_mm(chain.pitch_mm, teeth) + (1.25 * chain.pitch_mm - chain.roller_mm) / 2.0;
}

std::string quoted(const std::string& name) {
  return "\"" + name + "\"";
}

Problems loop_order_faults(const Engine& engine) {
  Problems problems;
  if (engine.loops.empty() || engine.loops.size() > most_loops)
    return {problem_at("stage", fmt::format("{} loops", engine.loops.size()), fmt::format("1 to {}", most_loops))};
  for (std::size_t loop = 0; loop < engine.loops.size(); ++loop) {
    const std::size_t count = engine.loops[loop].sprockets.size();
    if (count < 2 || count > most_sprockets)
      problems.push_back(problem_at(loop_key(loop) + "sprocket", fmt::format("{} sprockets", count),
                                    fmt::format("2 to {}", most_sprockets)));
    if (loop == 0) continue;
    const std::optional<SprocketPlace> driver = find_sprocket(engine, engine.loops[loop].driven_from);
    if (!driver || driver->loop >= loop)
      problems.push_back(problem_at(loop_key(loop) + "driven_from", quoted(engine.loops[loop].driven_from),
                                    "the name of a sprocket of an earlier loop"));
  }
  return problems;
}

void teeth_faults(const Engine& engine, Problems& problems) {
  for (const Camshaft& camshaft : engine.camshafts) {
    const std::optional<SprocketPlace> place = find_cam_sprocket(engine, camshaft.name);
    if (!place) {
      problems.push_back(problem_at("sprocket", fmt::format("no sprocket with camshaft = {}", quoted(camshaft.name)),
                                    "one for each camshaft"));
      continue;
    }
    const TurnRatio ratio = crank_turns_per_turn(engine, *place);
    if (ratio.numerator == 2 && ratio.denominator == 1) continue;
    const int teeth = sprocket_at(engine, *place).teeth;
    const long long wanted = 2LL * teeth * ratio.denominator;
    problems.push_back(problem_at(
        sprocket_key(*place) + ".teeth", fmt::format("{}", teeth),
        wanted % ratio.numerator == 0 ? fmt::format("{}", wanted / ratio.numerator)
                                      : fmt::format("{:.3f}, which no sprocket has: other teeth before it",
                                                    static_cast<double>(wanted) / static_cast<double>(ratio.numerator)),
        fmt::format("a camshaft turns once for two turns of the crank{}",
                    place->loop == 0
                        ? ""
                        : fmt::format(", this one for {:.4g}",
                                      static_cast<double>(ratio.numerator) / static_cast<double>(ratio.denominator)))));
  }
}

// Sprockets of a loop whose teeth, or whose pitch circles with the chain as worn, would meet.
void overlap_faults(const Engine& engine, const Fitted& fitted, const Growth& growth, std::size_t index,
                    Problems& problems) {
  const Loop& loop = engine.loops[index];
  const double pitch_mm = fitted_pitch_mm(loop.chain, fitted, growth);
  for (std::size_t b = 1; b < loop.sprockets.size(); ++b)
    for (std::size_t a = 0; a < b; ++a) {
      const int teeth_a = loop.sprockets[a].teeth;
      const int teeth_b = loop.sprockets[b].teeth;
      const double centres_mm = length2(fitted_centre_mm(engine, fitted, {index, b}, growth) -
                                        fitted_centre_mm(engine, fitted, {index, a}, growth));
      const double tips_mm = tip_radius_mm(loop.chain, teeth_a) + tip_radius_mm(loop.chain, teeth_b);
      const double circles_mm = pitch_radius_mm(pitch_mm, teeth_a) + pitch_radius_mm(pitch_mm, teeth_b);
      const double least_mm = std::fmax(tips_mm, circles_mm);
      if (centres_mm > least_mm) continue;
      const std::string of =
          loop.sprockets.size() == 2 ? "between the centres" : "from the centre of " + quoted(loop.sprockets[a].name);
      problems.push_back(
          problem_at(sprocket_key({index, b}) + ".centre_mm", fmt::format("{:.2f} mm {}", centres_mm, of),
                     fmt::format("more than {:.2f} mm", least_mm),
                     tips_mm >= circles_mm ? "the sprockets' teeth would meet" : "the pitch circles would overlap"));
    }
}

// Whether the chain, drawn straight from sprocket to sprocket, goes once round and wraps every one.
void order_faults(const Engine& engine, const LoopDrawing& drawing, std::size_t index, Problems& problems) {
  const std::size_t count = drawing.sprockets.size();
  std::vector<glm::dvec2> ways;
  for (std::size_t i = 0; i < count; ++i)
    ways.push_back(tangent_way(drawing.sprockets[i], drawing.sprockets[(i + 1) % count]));
  double turned_rad = 0.0;
  bool reached = true;
  for (std::size_t i = 0; i < count; ++i) {
    const SeatPolygon& sprocket = drawing.sprockets[i];
    const glm::dvec2 in = ways[(i + count - 1) % count];
    double wrap_rad = sprocket.sense * std::atan2(cross2(in, ways[i]), dot2(in, ways[i]));
    const bool missed = wrap_rad < 0.0 && wrap_rad > -pi / 4.0 && count > 2;
    if (wrap_rad < 0.0) wrap_rad += phasewright::turn_rad;
    turned_rad += sprocket.sense * wrap_rad;
    const std::string key = sprocket_key({index, i}) + ".centre_mm";
    const SeatPolygon& before_it = drawing.sprockets[(i + count - 1) % count];
    if (const double run_mm = dot2(sprocket.centre_mm - before_it.centre_mm, in); run_mm < drawing.pitch_mm)
      problems.push_back(problem_at(key, fmt::format("{:.2f} mm of straight chain before it", run_mm),
                                    fmt::format("at least a pitch, {:.2f} mm", drawing.pitch_mm)));
    if (missed) {
      reached = false;
      const SeatPolygon& before = drawing.sprockets[(i + count - 1) % count];
      const SeatPolygon& next = drawing.sprockets[(i + 1) % count];
      const glm::dvec2 way = tangent_way(before, next);
      const glm::dvec2 start = before.centre_mm - before.sense * before.radius_mm * left_of(way);
      const double clear_mm = sprocket.sense * cross2(way, sprocket.centre_mm - start) - sprocket.radius_mm;
      problems.push_back(problem_at(key, fmt::format("the chain passes {:.2f} mm clear of its pitch circle", clear_mm),
                                    "a centre that brings it into the chain's way"));
    } else if (wrap_rad < least_wrap_teeth * sprocket.step_rad) {
      problems.push_back(problem_at(key, fmt::format("the chain wraps {:.1f} deg of it", degrees(wrap_rad)),
                                    fmt::format("at least {:.1f} deg, {} teeth",
                                                degrees(least_wrap_teeth * sprocket.step_rad), least_wrap_teeth)));
    }
  }
  if (reached && std::fabs(turned_rad - phasewright::turn_rad) > 1e-6) {
    std::string names;
    for (const Sprocket& sprocket : engine.loops[index].sprockets) names += (names.empty() ? "" : ", ") + sprocket.name;
    problems.push_back(problem_at(
        loop_key(index) + "sprocket", "in the order " + names,
        "the order in which the chain meets them, in its direction of travel",
        fmt::format("so laid it would turn through {:.0f} deg on its way round, not 360: look at the order, at wrap "
                    "and at rotation ({})",
                    degrees(turned_rad), to_word(engine.rotation))));
  }
}

// A guide between two sprockets needs room for the plates on the one side, and a way round both on the other.
void guide_faults(const Loop& loop, const LoopDrawing& drawing, const Guide& guide, const PathArc& arc,
                  std::size_t strand, const std::string& key, Problems& problems) {
  const std::size_t before = problems.size();
  for (const std::size_t end : {strand, (strand + 1) % drawing.sprockets.size()}) {
    const SeatPolygon& sprocket = drawing.sprockets[end];
    const double apart_mm = length2(arc.centre_mm - sprocket.centre_mm);
    const bool crossing = arc.sense != sprocket.sense;
    const double least_mm =
        crossing ? arc.radius_mm + sprocket.radius_mm : std::fabs(arc.radius_mm - sprocket.radius_mm);
    if (apart_mm > least_mm) continue;
    const std::string found =
        fmt::format("the arc's centre {:.2f} mm from that of {}", apart_mm, quoted(loop.sprockets[end].name));
    problems.push_back(problem_at(
        key + ".centre_mm", found, fmt::format("more than {:.2f} mm", least_mm),
        crossing
            ? fmt::format("the guide would cut the sprocket's chain by {:.2f} mm: radius {:.2f}, half a plate's "
                          "height {:.2f} and the pitch radius {:.2f} mm must fit between",
                          least_mm - apart_mm, guide.radius_mm, loop.chain.plate_height_mm / 2.0, sprocket.radius_mm)
            : fmt::format("one of the two circles swallows the other by {:.2f} mm", least_mm - apart_mm)));
  }
  if (problems.size() > before) return;

  const SeatPolygon& from = drawing.sprockets[strand];
  const SeatPolygon& to = drawing.sprockets[(strand + 1) % drawing.sprockets.size()];
  const glm::dvec2 way = tangent_way(from, to);
  const glm::dvec2 reach = arc.centre_mm - (from.centre_mm - from.sense * from.radius_mm * left_of(way));
  const double along_mm = dot2(reach, way);
  const double run_mm = dot2(to.centre_mm - from.centre_mm, way);
  if (!(along_mm > 0.0 && along_mm < run_mm)) {
    problems.push_back(
        problem_at(key + ".centre_mm",
                   fmt::format("an arc {:.2f} mm {} the strand", along_mm < 0.0 ? -along_mm : along_mm - run_mm,
                               along_mm < 0.0 ? "before" : "beyond"),
                   fmt::format("one beside it, from {} to {}", quoted(guide.strand[0]), quoted(guide.strand[1]))));
  } else if (const double aside_mm = arc.sense * cross2(way, reach); aside_mm < -arc.radius_mm) {
    const bool inside = guide.side == Side::inside;
    problems.push_back(
        problem_at(key + ".side", inside ? "\"inside\"" : "\"outside\"", inside ? "\"outside\"" : "\"inside\"",
                   fmt::format("the arc's centre stands {:.2f} mm on the other side of the strand", -aside_mm)));
  }
}

void tensioner_faults(const Loop& loop, const LoopDrawing& drawing, const std::string& prefix, Problems& problems) {
  const LoopDrawing::Shoe& shoe = *drawing.shoe;
  if (shoe.strand + 1 == drawing.sprockets.size())
    problems.push_back(problem_at(
        prefix + "tensioner.strand",
        fmt::format("[{}, {}]", quoted(loop.tensioner->shoe.strand[0]), quoted(loop.tensioner->shoe.strand[1])),
        "a strand that is not pulled",
        fmt::format("{} pulls this one taut, against the tensioner: look at the order of the sprockets and at rotation",
                    loop.sprockets[0].name)));
  const SeatPolygon& from = drawing.sprockets[shoe.strand];
  const SeatPolygon& to = drawing.sprockets[(shoe.strand + 1) % drawing.sprockets.size()];
  const glm::dvec2 into = -drawing.arcs[shoe.strand][shoe.place].sense * left_of(tangent_way(from, to));
  if (const double share = dot2(into, shoe.push); share < least_push_share)
    problems.push_back(problem_at(prefix + "tensioner.push_clock_deg",
                                  fmt::format("{:g}", loop.tensioner->push_clock_deg), "a direction into the chain",
                                  fmt::format("of each millimetre of travel {:.2f} mm goes into the chain", share)));
}

} // namespace

Problems layout_faults(const Engine& engine, const Fitted& fitted, const Growth& growth) {
  Problems problems = loop_order_faults(engine);
  if (!problems.empty()) return problems;
  teeth_faults(engine, problems);
  for (std::size_t index = 0; index < engine.loops.size(); ++index) {
    const std::size_t before = problems.size();
    overlap_faults(engine, fitted, growth, index, problems);
    if (problems.size() > before) continue; // without room for tangents nothing more can be said of this loop
    const Loop& loop = engine.loops[index];
    const DrawnLoop drawn = draw_loop(engine, fitted, growth, index);
    order_faults(engine, drawn.drawing, index, problems);
    for (std::size_t i = 0; i < drawn.arcs.size(); ++i) {
      const bool shoe = i == loop.guides.size();
      const std::string key = loop_key(index) + (shoe ? std::string("tensioner") : fmt::format("guide[{}]", i + 1));
      const ArcPlace at = drawn.arcs[i];
      guide_faults(loop, drawn.drawing, shoe ? loop.tensioner->shoe : loop.guides[i],
                   drawn.drawing.arcs[at.strand][at.place], at.strand, key, problems);
      if (drawn.drawing.arcs[at.strand].size() > PinPath::most_arcs && at.place == PinPath::most_arcs)
        problems.push_back(problem_at(key + ".strand",
                                      fmt::format("{} guides on one strand", drawn.drawing.arcs[at.strand].size()),
                                      fmt::format("{} or fewer", PinPath::most_arcs)));
    }
    if (loop.tensioner) tensioner_faults(loop, drawn.drawing, loop_key(index), problems);
  }
  return problems;
}

} // namespace phasewright
