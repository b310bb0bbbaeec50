#include "reference/loops.hpp"

#include "reference/loops_layout.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>

namespace phasewright::testing {

namespace {

constexpr double pi_rad = std::numbers::pi;

// A rail as it is thought of: on which strand, how far along it, how far it pushes the straight chain aside.
struct RailPlan {
  std::size_t strand = 0;
  double along = 0.5; // share of the straight piece
  double depth_mm = 0;
  double radius_mm = 0;
  Side side = Side::outside;
  double skew_rad = 0; // of the tensioner's push, from square to the chain
};

// A loop travelled anticlockwise, before it is stretched to whole links.
struct LoopPlan {
  Loop loop;
  std::vector<RailPlan> rails;
  std::optional<RailPlan> shoe;
};

double length(glm::dvec2 v) {
  return std::hypot(v.x, v.y);
}

double clock_deg(glm::dvec2 v) {
  const double deg = std::atan2(v.x, v.y) * 180.0 / pi_rad;
  return deg < 0.0 ? deg + 360.0 : deg;
}

RailPlan random_rail(std::mt19937& random, std::size_t strand) {
  RailPlan rail;
  rail.strand = strand;
  rail.along = between(random, 0.35, 0.65);
  rail.depth_mm = between(random, -1.0, 3.0);
  rail.side = random() % 3 == 0 ? Side::inside : Side::outside;
  rail.radius_mm = rail.side == Side::inside ? between(random, 12.0, 60.0) : between(random, 20.0, 200.0);
  rail.skew_rad = between(random, -0.3, 0.3);
  return rail;
}

// A strand for the tensioner, long enough for it to take much up; nothing when none is.
std::optional<std::size_t> shoe_strand(std::mt19937& random, const Loop& loop) {
  const std::optional<Way> way = way_of(loop, 1.0, loop.chain.pitch_mm);
  if (!way) return std::nullopt;
  std::vector<std::size_t> strands(way->legs.size() - 1);
  std::iota(strands.begin(), strands.end(), std::size_t{0});
  const auto leg_mm = [&way](std::size_t i) { return length(way->legs[i].to_mm - way->legs[i].from_mm); };
  const auto shorter = [&leg_mm](std::size_t a, std::size_t b) { return leg_mm(a) < leg_mm(b); };
  const std::size_t drawn = random() % 3 == 0 ? strands[random() % strands.size()]
                                              : *std::max_element(strands.begin(), strands.end(), shorter);
  if (leg_mm(drawn) < 7.0 * loop.chain.pitch_mm) return std::nullopt;
  return drawn;
}

std::optional<LoopPlan> random_plan(std::mt19937& random, const LoopWish& wish, Loop loop) {
  LoopPlan plan{std::move(loop), {}, {}};
  if (wish.tensioner) {
    const std::optional<std::size_t> strand = shoe_strand(random, plan.loop);
    if (!strand) return std::nullopt;
    plan.shoe = random_rail(random, *strand);
    plan.shoe->radius_mm = between(random, 10.0, 50.0);
  }
  for (int i = 0; i < wish.guides; ++i) {
    const RailPlan rail = random_rail(random, random() % plan.loop.sprockets.size());
    const auto taken = [&rail](const RailPlan& other) { return other.strand == rail.strand; };
    if ((plan.shoe && taken(*plan.shoe)) || std::any_of(plan.rails.begin(), plan.rails.end(), taken)) continue;
    plan.rails.push_back(rail);
  }
  return plan;
}

// The rail so that its pins' line stands `depth_mm` past the straight chain.
Guide make_rail(const Loop& loop, const Way& bare, const RailPlan& plan) {
  const Leg& leg = bare.legs[plan.strand];
  const glm::dvec2 along = (leg.to_mm - leg.from_mm) / length(leg.to_mm - leg.from_mm);
  const glm::dvec2 outward{along.y, -along.x};
  const double inside = plan.side == Side::inside ? 1.0 : -1.0;
  Guide rail;
  rail.strand = {loop.sprockets[plan.strand].name, loop.sprockets[(plan.strand + 1) % loop.sprockets.size()].name};
  rail.radius_mm = plan.radius_mm;
  rail.side = plan.side;
  rail.centre_mm = leg.from_mm + plan.along * (leg.to_mm - leg.from_mm) +
                   inside * (plan.depth_mm - plan.radius_mm - loop.chain.plate_height_mm / 2.0) * outward;
  return rail;
}

// The plan with all centres `stretch` times as far apart, rails at the strands they are to touch.
std::optional<Loop> stretched(const LoopPlan& plan, double stretch) {
  Loop loop = plan.loop;
  for (Sprocket& sprocket : loop.sprockets) sprocket.centre_mm *= stretch;
  const std::optional<Way> bare = way_of(loop, 1.0, loop.chain.pitch_mm);
  if (!bare) return std::nullopt;
  for (const RailPlan& rail : plan.rails) loop.guides.push_back(make_rail(loop, *bare, rail));
  return loop;
}

double pitches_when(const LoopPlan& plan, double stretch) {
  const std::optional<Loop> loop = stretched(plan, stretch);
  const std::optional<Way> way = loop ? way_of(*loop, 1.0, loop->chain.pitch_mm) : std::nullopt;
  return way ? pitches(*way, loop->chain.pitch_mm) : std::nan("");
}

// The loop stretched until an even number of links is `spare` pitches longer than its way.
std::optional<Loop> fitted_to_links(const LoopPlan& plan, double spare) {
  const double drawn = pitches_when(plan, 1.0);
  if (!std::isfinite(drawn)) return std::nullopt;
  const int links = 2 * static_cast<int>(std::ceil((drawn + spare) / 2.0));
  double low = 1.0, high = 1.15;
  if (!(pitches_when(plan, high) > links - spare)) return std::nullopt;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    (pitches_when(plan, middle) < links - spare ? low : high) = middle;
  }
  std::optional<Loop> loop = stretched(plan, low);
  if (loop) loop->chain.links = links;
  return loop;
}

// Adds the tensioner, travel 0 a little short of where the new chain needs it, its travel enough for the worn one.
bool add_tensioner(std::mt19937& random, Loop& loop, const RailPlan& plan, double worn_pitch_mm) {
  const std::optional<Way> way = way_of(loop, 1.0, loop.chain.pitch_mm);
  // Guides may stand among the circles: the strand is found by its sprocket.
  const std::optional<Way> bare = [&] {
    Loop without = loop;
    without.guides.clear();
    return way_of(without, 1.0, loop.chain.pitch_mm);
  }();
  if (!way || !bare) return false;
  const Leg& leg = bare->legs[plan.strand];
  const glm::dvec2 along = (leg.to_mm - leg.from_mm) / length(leg.to_mm - leg.from_mm);
  const glm::dvec2 outward{along.y, -along.x};
  const double inside = plan.side == Side::inside ? 1.0 : -1.0;
  RailPlan touching = plan;
  touching.depth_mm = 0.0;
  Tensioner tensioner;
  tensioner.shoe = make_rail(loop, *bare, touching);
  const double skew_rad = plan.skew_rad;
  const glm::dvec2 push = inside * (std::cos(skew_rad) * outward + std::sin(skew_rad) * along);
  tensioner.push_clock_deg = clock_deg(push);
  loop.tensioner = tensioner;
  const double reach_mm = 0.5 * length(leg.to_mm - leg.from_mm);
  const auto fresh_mm = closing_travel_mm(loop, 1.0, loop.chain.pitch_mm, 0.0, reach_mm);
  const auto worn_mm = closing_travel_mm(loop, 1.0, worn_pitch_mm, 0.0, reach_mm);
  if (!fresh_mm || !worn_mm) return false;
  // Travel 0 stands at the new chain's place, less what is left before the spring is let go.
  const double before_mm = between(random, 0.0, 0.8 * *fresh_mm);
  loop.tensioner->shoe.centre_mm += before_mm * push;
  // One tooth lets the shoe swing by its share of the breathing, at a flat angle many times that.
  const double margin_mm = 0.3 * loop.chain.pitch_mm;
  loop.tensioner->travel_mm = {std::fmin(*fresh_mm, *worn_mm) - before_mm - margin_mm,
                               std::fmax(*fresh_mm, *worn_mm) - before_mm + margin_mm + between(random, 0.0, 5.0)};
  return true;
}

// Turned about the origin, mirrored for clockwise running, and moved.
void set_down(Loop& loop, double turn_rad, Rotation rotation, glm::dvec2 origin_mm) {
  const double mirror = rotation == Rotation::clockwise ? -1.0 : 1.0;
  const auto turned = [&](glm::dvec2 v) {
    return glm::dvec2{mirror * (v.x * std::cos(turn_rad) - v.y * std::sin(turn_rad)),
                      v.x * std::sin(turn_rad) + v.y * std::cos(turn_rad)};
  };
  for (Sprocket& sprocket : loop.sprockets) sprocket.centre_mm = origin_mm + turned(sprocket.centre_mm);
  for (Guide& guide : loop.guides) guide.centre_mm = origin_mm + turned(guide.centre_mm);
  if (loop.tensioner) {
    loop.tensioner->shoe.centre_mm = origin_mm + turned(loop.tensioner->shoe.centre_mm);
    const double push_rad = loop.tensioner->push_clock_deg * pi_rad / 180.0;
    loop.tensioner->push_clock_deg = clock_deg(turned({std::sin(push_rad), std::cos(push_rad)}));
  }
}

// Rails clear of every sprocket's teeth, whether the chain reaches them or not.
bool rails_clear(const Loop& loop, double travel_mm) {
  const std::size_t arcs = loop.guides.size() + (loop.tensioner ? 1 : 0);
  for (std::size_t i = 0; i < arcs; ++i) {
    const Round rail = guide_round(loop, i, travel_mm);
    for (const Sprocket& sprocket : loop.sprockets)
      if (length(rail.centre_mm - sprocket.centre_mm) <
          rail.radius_mm + tip_radius_mm(loop.chain, sprocket.teeth) + 1.0)
        return false;
  }
  return true;
}

bool sound_when(const Loop& loop, double pitch_mm) {
  // Straight from sprocket to sprocket as well as over its guides.
  Loop bare = loop;
  bare.guides.clear();
  bare.tensioner.reset();
  const std::optional<Way> direct = way_of(bare, 1.0, pitch_mm);
  if (!direct || !sound(bare, *direct)) return false;
  if (!loop.tensioner) {
    const std::optional<Way> way = way_of(loop, 1.0, pitch_mm);
    if (!way || !sound(loop, *way) || !rails_clear(loop, 0.0)) return false;
    const double spare = loop.chain.links - pitches(*way, pitch_mm);
    // A slack strand hangs by a quarter of its length at most; a tenth keeps clear of that.
    return spare > 0.08 && spare * pitch_mm < 0.1 * length(way->legs[0].to_mm - way->legs[0].from_mm);
  }
  for (const double travel_mm : loop.tensioner->travel_mm) {
    const std::optional<Way> way = way_of(loop, 1.0, pitch_mm, travel_mm);
    if (!way || !sound(loop, *way) || !rails_clear(loop, travel_mm)) return false;
    const auto bears = [&loop](const Round& round) { return round.teeth == 0 && round.index == loop.guides.size(); };
    if (std::none_of(way->rounds.begin(), way->rounds.end(), bears)) return false;
  }
  return true;
}

std::optional<Loop> draw_loop(std::mt19937& random, const LoopWish& wish, Loop loop, double elongation_percent) {
  place_sprockets(random, wish, loop);
  const std::optional<LoopPlan> planned = random_plan(random, wish, std::move(loop));
  if (!planned) return std::nullopt;
  const LoopPlan& plan = *planned;
  const double spare = wish.tensioner ? between(random, 0.15, 0.5) : between(random, 0.12, 0.65);
  std::optional<Loop> drawn = fitted_to_links(plan, spare);
  if (!drawn) return std::nullopt;
  const double worn_pitch_mm = drawn->chain.pitch_mm * (1.0 + elongation_percent / 100.0);
  if (plan.shoe && !add_tensioner(random, *drawn, *plan.shoe, worn_pitch_mm)) return std::nullopt;
  if (!sound_when(*drawn, drawn->chain.pitch_mm) || !sound_when(*drawn, worn_pitch_mm)) return std::nullopt;
  return drawn;
}

void random_fit(std::mt19937& random, RandomDrive& drive) {
  drive.engine.rotation = random() % 2 == 0 ? Rotation::clockwise : Rotation::anticlockwise;
  drive.fitted.lay = whole_between(random, -2, 2);
  drive.fitted.crank_key_deg = between(random, -4.0, 4.0);
  drive.fitted.cam_key_deg = between(random, -3.0, 3.0);
  drive.fitted.elongation_percent = random() % 4 == 0 ? 0.0 : between(random, 0.0, 1.5);
}

void add_second_camshaft(Engine& engine) {
  engine.camshafts.push_back(engine.camshafts[0]);
  engine.camshafts[1].name = "second cam";
  engine.cam_seats["second cam"] = engine.cam_seats["cam"];
  engine.camshafts[0].exhaust.reset();
  engine.camshafts[1].inlet.reset();
}

} // namespace

LoopWish random_wish(std::mt19937& random) {
  LoopWish wish;
  wish.sprockets = whole_between(random, 2, 8);
  wish.camshafts = wish.sprockets > 2 ? whole_between(random, 1, 2) : 1;
  const int idlers = wish.sprockets - 1 - wish.camshafts;
  wish.on_the_back = idlers > 0 ? whole_between(random, 0, std::min(3, idlers)) : 0;
  wish.guides = whole_between(random, 0, 3);
  wish.tensioner = random() % 2 == 0;
  return wish;
}

std::optional<RandomDrive> random_loop(std::mt19937& random, const LoopWish& wish) {
  RandomDrive drive{small_engine(), {}};
  random_fit(random, drive);
  Loop loop;
  loop.chain = random_chain(random);
  loop.sprockets = random_order(random, wish, whole_between(random, 12, 24));
  std::optional<Loop> drawn = draw_loop(random, wish, std::move(loop), drive.fitted.elongation_percent);
  if (!drawn) return std::nullopt;
  set_down(*drawn, between(random, -pi_rad, pi_rad), drive.engine.rotation,
           {between(random, -100.0, 100.0), between(random, -100.0, 100.0)});
  drive.engine.loops[0] = *std::move(drawn);
  if (wish.camshafts == 2) add_second_camshaft(drive.engine);
  return drive;
}

RandomDrive sound_loop(std::mt19937& random, const LoopWish& wish) {
  for (;;)
    if (std::optional<RandomDrive> drive = random_loop(random, wish)) return *std::move(drive);
}

RandomDrive sound_loop(std::mt19937& random) {
  // Some wishes hardly ever come true; those are given up.
  constexpr int most_tries = 100;
  for (;;) {
    const LoopWish wish = random_wish(random);
    for (int i = 0; i < most_tries; ++i)
      if (std::optional<RandomDrive> drive = random_loop(random, wish)) return *std::move(drive);
  }
}

namespace {

// Teeth of each loop's driving and driven sprocket, in lowest terms.
struct Ratio {
  int driver, driven;
};

std::optional<Loop> draw_stage(std::mt19937& random, int driver_teeth, int driven_teeth, bool last,
                               const std::string& prefix, double elongation_percent) {
  LoopWish wish = random_wish(random);
  wish.sprockets = whole_between(random, 2, 4);
  wish.camshafts = 1;
  wish.on_the_back = std::min(wish.on_the_back, wish.sprockets - 2);
  wish.guides = std::min(wish.guides, 1);
  Loop loop;
  loop.chain = random_chain(random);
  loop.sprockets = random_order(random, wish, driver_teeth);
  for (Sprocket& sprocket : loop.sprockets) {
    if (!sprocket.camshaft.empty()) {
      sprocket.teeth = driven_teeth;
      if (!last) sprocket.name = "jack", sprocket.camshaft.clear();
    }
    if (sprocket.name != "cam") sprocket.name = prefix + sprocket.name;
  }
  return draw_loop(random, wish, std::move(loop), elongation_percent);
}

// Each loop turned anyhow and moved so that its driving sprocket sits on the shaft that the loop before drives.
void chain_up(std::mt19937& random, std::vector<Loop>& loops, Rotation rotation) {
  for (Loop& loop : loops) set_down(loop, between(random, -pi_rad, pi_rad), rotation, {});
  for (std::size_t i = 1; i < loops.size(); ++i) {
    const auto jack = std::find_if(loops[i - 1].sprockets.begin(), loops[i - 1].sprockets.end(),
                                   [](const Sprocket& sprocket) { return sprocket.name.ends_with("jack"); });
    set_down(loops[i], 0.0, Rotation::anticlockwise, jack->centre_mm - loops[i].sprockets[0].centre_mm);
    loops[i].driven_from = jack->name;
    loops[i].sprockets[0].centre_mm = jack->centre_mm; // to the last bit
  }
}

RandomDrive drawn_stages(std::mt19937& random, const std::vector<std::vector<Ratio>>& ratios) {
  for (;;) {
    RandomDrive drive{small_engine(), {}};
    random_fit(random, drive);
    const std::vector<Ratio>& ratio = ratios[random() % ratios.size()];
    std::vector<int> shares;
    for (const Ratio& loop : ratio)
      shares.push_back(whole_between(random, (13 + loop.driver - 1) / loop.driver, 24 / loop.driver));
    static constexpr std::array prefixes{"", "second ", "third "};
    std::vector<Loop> loops;
    for (std::size_t i = 0; i < ratio.size(); ++i) {
      std::optional<Loop> loop = draw_stage(random, shares[i] * ratio[i].driver, shares[i] * ratio[i].driven,
                                            i + 1 == ratio.size(), prefixes[i], drive.fitted.elongation_percent);
      if (loop) loops.push_back(*std::move(loop));
    }
    if (loops.size() < ratio.size()) continue;
    chain_up(random, loops, drive.engine.rotation);
    drive.engine.loops = std::move(loops);
    return drive;
  }
}

} // namespace

// The products are 2.
RandomDrive random_stages(std::mt19937& random) {
  return drawn_stages(random, {{{1, 1}, {1, 2}}, {{1, 2}, {1, 1}}, {{2, 3}, {3, 4}}, {{3, 4}, {2, 3}}});
}

RandomDrive random_three_stages(std::mt19937& random) {
  return drawn_stages(random, {{{1, 1}, {1, 1}, {1, 2}},
                               {{1, 2}, {1, 1}, {1, 1}},
                               {{2, 3}, {1, 1}, {3, 4}},
                               {{3, 4}, {2, 3}, {1, 1}},
                               {{3, 4}, {4, 3}, {1, 2}}});
}

} // namespace phasewright::testing
