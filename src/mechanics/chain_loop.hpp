// One endless chain on its sprockets, in the running plane: where every sprocket stands when the driving one has turned
// so far, and where the strand that is left over lies.
#pragma once

#include "mechanics/bow.hpp"
#include "mechanics/drive_pose.hpp"
#include "mechanics/strand.hpp"

#include <array>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace phasewright {

inline constexpr std::size_t most_sprockets = 8;

// A loop as it is drawn and fitted, in its running plane.
struct LoopDrawing {
  double pitch_mm = 0;
  int links = 0;
  std::vector<SeatPolygon> sprockets; // in the order the chain meets them, the driving one first; 2 to most_sprockets
  // Where seat 0 of each stands, own angle, when the sprocket has not turned: at the marked gap, or at the gap just
  // ahead of the marked tooth.
  std::vector<double> first_seat_rad;
  // Guides by strand, in the direction of travel, the tensioner's shoe at travel 0 among them; strand i leaves sprocket
  // i. At most PinPath::most_arcs on a strand.
  std::vector<std::vector<PathArc>> arcs;
  struct Shoe {
    std::size_t strand = 0; // not the last: that one enters the driving sprocket
    std::size_t place = 0;  // among that strand's arcs
    glm::dvec2 push{};      // unit vector
    std::array<double, 2> travel_mm{};
  };
  std::optional<Shoe> shoe;
};

// By sprocket: which seats of it and of the driving sprocket hold the same pin. Seat j holds pin j + shift, the driving
// sprocket's seat k pin k. One more puts the sprocket one tooth further round.
using Shifts = std::array<int, most_sprockets>;

// The few arcs of one strand.
struct ArcList {
  std::array<PathArc, PinPath::most_arcs> arc;
  std::size_t count = 0;

  [[nodiscard]] std::span<const PathArc> span() const { return {arc.data(), count}; }
};

// The strand that is not pulled: slack, or kept straight by the tensioner.
struct LooseStrand {
  int links = 0;
  double span_mm = 0;      // straight distance of its end pins; over guides the way there
  double excess_mm = 0;    // what the chain is longer by; negative = it does not reach
  double travel_mm = 0;    // of the shoe, or how far a slack strand stands off its first guide
  bool bows = false;       // a slack strand shaped as a bow, clear of its guides
  double from_past_mm = 0; // how far its end seats stand past the feet of the perpendiculars on its line
  double to_past_mm = 0;
};

// Ways of a lie's strands past their arcs, by strand; only those that have arcs are laid.
using StrandPaths = std::array<PinPath, most_sprockets>;

// Where everything of a loop stands at one angle of its driving sprocket.
struct LoopLie {
  struct Seated {
    double turn_rad = 0;  // how far the sprocket stands round, own sense, from where its file mark points
    double seat0_rad = 0; // own angle of its seat 0
    int first_pin = 0;    // number of the pin the chain meets it with ...
    int last_pin = 0;     // ... and leaves it with, in the driving sprocket's numbering
  };
  struct Strand {
    int links = 0;
    int first_pin = 0; // number of the pin at the sprocket it leaves
    glm::dvec2 from_pin_mm{};
    glm::dvec2 to_pin_mm{};
  };
  std::array<Seated, most_sprockets> sprockets;
  std::array<Strand, most_sprockets> strands;
  std::size_t loose = 0; // index of the strand that is not pulled
  LooseStrand loose_strand;
  // Straight chain between a sprocket and the guide or shoe next to it, the least of all strands held straight.
  double least_run_mm = std::numeric_limits<double>::infinity();
  std::size_t least_run_strand = 0;
  void note_run(std::size_t strand, double run_mm) {
    if (run_mm < least_run_mm) least_run_mm = run_mm, least_run_strand = strand;
  }
  // While this stays the same the sprockets' angles change smoothly. The loose strand does not count.
  std::uint64_t pattern = 0;
};

class ChainLoop {
public:
  // Here and below: NoWay is thrown when a guide or the shoe leaves a strand none.
  explicit ChainLoop(LoopDrawing drawing);

  // Turned forward, the strand that enters the driving sprocket is pulled, and all upstream of it to the tensioner's,
  // or to the one that leaves the driving sprocket; those between that sprocket and the tensioner are held straight
  // from the other side. Turned backward, it is the strands downstream that are pulled, the tensioner gives way to its
  // least travel, and what is left over gathers where the chain enters the driving sprocket.
  [[nodiscard]] LoopLie lie(double driving_rad, const Shifts& shifts, Turning turning = Turning::forward) const;

  // Turned forward, with the shoe held at a travel: the loose strand's excess is what the chain is longer by than its
  // way over the shoe there. Only with a shoe.
  [[nodiscard]] LoopLie lie_at_travel(double driving_rad, const Shifts& shifts, double travel_mm) const;

  // The same without the loose strand.
  [[nodiscard]] LoopLie pulled(double driving_rad, const Shifts& shifts, Turning turning = Turning::forward) const;

  // One sprocket's turn alone, without the loose strand.
  [[nodiscard]] double sprocket_turn_rad(std::size_t sprocket, double driving_rad, const Shifts& shifts,
                                         Turning turning = Turning::forward) const;

  // By sprocket: mean over a tooth of the driving sprocket of (turn of that sprocket - turn of the driving one x teeth
  // ratio), turned forward, for shifts of 0 (unit: rad).
  [[nodiscard]] std::array<double, most_sprockets> mean_leads_rad() const;
  // The shifts that bring every mark nearest to where the file points it, at that driving angle.
  [[nodiscard]] Shifts marked_shifts(double driving_rad) const;

  // Lays the ways of the strands that have arcs, the shoe where it has moved to.
  void lay_paths(const LoopLie& lie, Turning turning, StrandPaths& paths) const;

  // Calls `use(point)` for all pins of a lie, in their order along the chain from the one that the driving sprocket
  // meets first, sprockets.front().first_pin.
  template <class Use>
  void each_pin(const LoopLie& lie, Turning turning, const StrandPaths& paths, Use use) const;

  [[nodiscard]] const LoopDrawing& drawing() const { return drawing_; }
  [[nodiscard]] std::size_t count() const { return drawing_.sprockets.size(); }
  [[nodiscard]] StrandState state(std::size_t strand, Turning turning) const;
  [[nodiscard]] std::size_t loose_strand(Turning turning) const {
    return turning == Turning::forward ? loose_ : count() - 1;
  }

private:
  // What can be moved to take up the excess of the loose strand: the shoe, or the strand's first guide, off which a
  // slack strand stands.
  struct Mover {
    bool there = false;
    bool shoe = false;
    bool held = false; // the shoe, not to be moved
    std::size_t place = 0;
    glm::dvec2 push{};
    double start_mm = 0; // where its root is looked for first
  };

  void pull(LoopLie& lie, double driving_rad, const Shifts& shifts, Turning turning, std::size_t sprocket) const;
  void pull_upstream(LoopLie& lie, const Shifts& shifts, std::size_t strand) const;
  void pull_downstream(LoopLie& lie, const Shifts& shifts, std::size_t strand) const;
  struct Settled {
    LooseStrand loose;
    PinPath path; // when the strand does not bow
    glm::dvec2 way_out{};
    glm::dvec2 way_in{};
  };
  [[nodiscard]] Settled settle(const LoopLie& lie, const Mover& mover, double start_mm) const;
  void close(LoopLie& lie, const Shifts& shifts, const Mover& mover) const;
  [[nodiscard]] Mover mover(std::size_t strand) const;
  [[nodiscard]] const Mover& mover_of(Turning turning) const {
    return turning == Turning::forward ? forward_mover_ : backward_mover_;
  }
  [[nodiscard]] ArcList moved_arcs(std::size_t strand, const Mover& mover, double travel_mm) const;
  [[nodiscard]] std::size_t after(std::size_t sprocket) const { return sprocket + 1 == count() ? 0 : sprocket + 1; }

  LoopDrawing drawing_;
  std::vector<TautStrand> strands_; // the shoe, where there is one, at its least travel
  std::size_t loose_ = 0;           // turned forward
  Mover forward_mover_;
  Mover backward_mover_;
  // Own angles at which the chain meets and leaves each sprocket, about, the wrap between them.
  std::array<double, most_sprockets> entry_rad_{};
  std::array<double, most_sprockets> exit_rad_{};
};

template <class Use>
void ChainLoop::each_pin(const LoopLie& lie, Turning turning, const StrandPaths& paths, Use use) const {
  for (std::size_t i = 0; i < count(); ++i) {
    const SeatPolygon& sprocket = drawing_.sprockets[i];
    const LoopLie::Seated& seated = lie.sprockets[i];
    const LoopLie::Strand& strand = lie.strands[i];
    // Seats from the far end back would do as well; both ends are set by the strands, so that those close exactly.
    const glm::dvec2 step = unit_vector(sprocket.sense * sprocket.step_rad);
    glm::dvec2 arm = lie.strands[i == 0 ? count() - 1 : i - 1].to_pin_mm - sprocket.centre_mm;
    for (int pin = seated.first_pin; pin < seated.last_pin; ++pin) {
      use(sprocket.centre_mm + arm);
      arm = turned_by(arm, step);
    }
    use(strand.from_pin_mm);
    if (i == lie.loose && lie.loose_strand.bows) {
      // Outward, or away from the guide.
      const glm::dvec2 apart = strand.to_pin_mm - strand.from_pin_mm;
      const bool inward = mover_of(turning).there && drawing_.arcs[i][0].sense < 0.0;
      const glm::dvec2 way = apart * (drawing_.pitch_mm / length2(apart));
      glm::dvec2 pin = strand.from_pin_mm;
      int left = strand.links - 1;
      Bow(strand.links, length2(apart) / drawing_.pitch_mm, lie.loose_strand.from_past_mm / drawing_.pitch_mm,
          lie.loose_strand.to_past_mm / drawing_.pitch_mm)
          .each([&](glm::dvec2 link) {
            pin += turned_by(way, {link.x, inward ? -link.y : link.y});
            if (left-- > 0) use(pin);
          });
    } else if (drawing_.arcs[i].empty()) {
      const glm::dvec2 link = (strand.to_pin_mm - strand.from_pin_mm) / static_cast<double>(strand.links);
      for (int k = 1; k < strand.links; ++k) use(strand.from_pin_mm + static_cast<double>(k) * link);
    } else {
      paths[i].each(strand.links - 1, drawing_.pitch_mm, use);
    }
  }
}

} // namespace phasewright
