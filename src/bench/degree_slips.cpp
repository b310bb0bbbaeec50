// Slips of the pencil: what a reading that cannot be right would have to mean to be right.
#include "bench/degree_parts.hpp"
#include "geometry/angle.hpp"
#include "mechanics/uncertainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <compare>
#include <map>
#include <utility>

namespace phasewright {

namespace {

// Lash, ratio and a lobe not ground to the card move a duration by a few degrees (unit: crank deg), which is no slip.
constexpr double odd_duration_deg = 5.0;
// Of two ways to put a reading right the one that fits worse by this much is none.
constexpr double clearly_deg = 5.0;

// Meanings that are one slip.
struct SlipKey {
  Slip slip;
  std::string words;
  auto operator<=>(const SlipKey&) const = default;
};

class SlipSearch {
public:
  SlipSearch(const Mechanism& mechanism, const Measured& measured, const Instruments& instruments,
             const std::vector<PairFit>& pairs, const WheelZero& wheel)
      : mechanism_(mechanism), measured_(measured), instruments_(instruments), pairs_(pairs), wheel_(wheel),
        correction_deg_(wheel.tdc_correction_deg), told_(pairs.size(), false) {
    look_at_stops();
    for (PairFit& pair : pairs_)
      pair.late_deg = wrap_half_cycle(pair.late_deg + correction_deg_ - wheel.tdc_correction_deg);
    place_camshafts();
  }

  std::vector<SlipFound> find() {
    find_meanings();
    find_other_lifts();
    find_all_turned_backward();
    find_one_turned_backward();
    if (!crossed_stops_.empty())
      add(Slip::sides_swapped, {}, crossed_stops_,
          pairs_.empty()
              ? "before and after TDC stand the wrong way round, or the wheel's numbers run against the engine"
              : "before and after TDC stand the wrong way round");
    return std::move(found_);
  }

private:
  // A stop stands well above half the stroke, so that the readings are less than half a turn apart. Where none are, the
  // wheel is corrected by what they say the other way round.
  void look_at_stops() {
    for (std::size_t i = 0; i < measured_.stop_deg.size(); ++i)
      if (stop_pair(mechanism_.slider_crank(), measured_.stop_deg[i][0], measured_.stop_deg[i][1]).apart_deg > 180.0)
        crossed_stops_.push_back(i);
    if (crossed_stops_.empty()) return;
    Measured straight;
    for (std::size_t i = 0; i < measured_.stop_deg.size(); ++i)
      if (std::ranges::find(crossed_stops_, i) == crossed_stops_.end())
        straight.stop_deg.push_back(measured_.stop_deg[i]);
    if (straight.stop_deg.empty())
      for (const auto& [before_deg, after_deg] : measured_.stop_deg)
        straight.stop_deg.push_back({after_deg, before_deg});
    std::vector<std::string> outliers;
    correction_deg_ = read_wheel(mechanism_.slider_crank(), straight, instruments_, outliers).tdc_correction_deg;
  }

  [[nodiscard]] bool odd_duration(const PairFit& pair) const {
    return std::fabs(pair.read.duration_deg - pair.read.foretold_duration_deg) >
           std::fmax(odd_duration_deg, 6.0 * pair.read.u_duration_deg);
  }

  // Where the readings that may be right say each camshaft stands: late by the median of them.
  void place_camshafts() {
    const Engine& engine = mechanism_.engine();
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
      const std::optional<SprocketPlace> sprocket = find_cam_sprocket(engine, engine.camshafts[i].name);
      constexpr double most_teeth = 2.0;
      constexpr double keys_and_wear_deg = 20.0;
      const double tooth_deg = sprocket ? 720.0 / sprocket_at(engine, *sprocket).teeth : 0.0;
      tooth_deg_.push_back(tooth_deg);
      within_deg_.push_back(most_teeth * tooth_deg + keys_and_wear_deg);
      std::vector<double> late_deg;
      for (const PairFit& pair : pairs_)
        if (pair.camshaft == i && !odd_duration(pair) && std::fabs(pair.late_deg) <= within_deg_[i])
          late_deg.push_back(pair.late_deg);
      std::ranges::sort(late_deg);
      const std::size_t count = late_deg.size();
      late_deg_.push_back(count == 0 ? std::nullopt
                                     : std::optional((late_deg[(count - 1) / 2] + late_deg[count / 2]) / 2.0));
    }
  }

  [[nodiscard]] bool cannot_be_right(const PairFit& pair) const {
    const std::optional<double>& late_deg = late_deg_[pair.camshaft];
    return odd_duration(pair) || !late_deg || std::fabs(pair.late_deg - *late_deg) > slip_far_deg;
  }

  // How far the reading so meant is from what is foretold, middle and duration together; nothing when that is too far.
  // `alone_deg`: how far the middle may be where no other reading says how the camshaft stands.
  [[nodiscard]] std::optional<double> misfit_deg(const Meant& meant, double alone_deg) const {
    const std::optional<FlankPair> opening = foretell_pair(mechanism_, meant.reading, meant.opening);
    const std::optional<FlankPair> closing = foretell_pair(mechanism_, meant.reading, meant.closing);
    if (!opening || !closing) return std::nullopt;
    const FlankPair foretold{opening->opens, closing->closes};
    const double duration_deg = wrap_720(meant.reading.closes_deg - meant.reading.opens_deg);
    const double longer_deg = std::fabs(duration_deg - foretold.duration_deg());
    const double middle_deg = meant.reading.opens_deg + duration_deg / 2.0 + meant.correction_deg;
    const std::optional<double>& others_deg = late_deg_[mechanism_.motion(meant.reading.valve)->camshaft_index()];
    const double late_deg = std::fabs(wrap_half_cycle(middle_deg - foretold.middle_deg()) - others_deg.value_or(0.0));
    if (longer_deg > meant.duration_deg || late_deg > (others_deg ? meant.near_deg : alone_deg)) return std::nullopt;
    return longer_deg + late_deg;
  }

  // The slips that put a reading right, with what each leaves.
  [[nodiscard]] std::map<SlipKey, double> ways_right(const PairFit& pair) const {
    // Only a duration that is out for sure may speak for a slip while the drive is out as well.
    const std::vector<Meant> all =
        meanings(mechanism_, measured_.lobe[pair.read.reading], pair,
                 {.correction_deg = correction_deg_,
                  .wheel_u_deg = wheel_.u_deg,
                  .within_deg = odd_duration(pair) ? within_deg_[pair.camshaft] : slip_far_deg});
    std::map<SlipKey, double> ways;
    const auto try_all = [&](bool drive_out_too) {
      for (const Meant& meant : all) {
        const double alone_deg = drive_out_too ? within_deg_[pair.camshaft] : meant.alone_deg;
        if (const std::optional<double> misfit = misfit_deg(meant, alone_deg)) {
          const auto [way, fresh] = ways.try_emplace({meant.slip, meant.words}, *misfit);
          if (!fresh) way->second = std::fmin(way->second, *misfit);
        }
      }
    };
    try_all(false);
    if (!ways.empty()) return ways;
    // With the drive out too, only where no other slip would do.
    try_all(true);
    if (ways.size() > 1) ways.clear();
    return ways;
  }

  // Of the slips that put readings right, the one that does so for most of them is told first.
  void find_meanings() {
    std::map<SlipKey, std::map<std::size_t, double>> cures; // misfit by pair
    for (std::size_t i = 0; i < pairs_.size(); ++i) {
      if (!cannot_be_right(pairs_[i])) continue;
      const std::map<SlipKey, double> ways = ways_right(pairs_[i]);
      double best_deg = 1e9;
      for (const auto& [key, misfit] : ways) best_deg = std::fmin(best_deg, misfit);
      for (const auto& [key, misfit] : ways)
        if (misfit <= best_deg + clearly_deg) cures[key][i] = misfit;
    }
    for (;;) {
      const SlipKey* best = nullptr;
      std::vector<std::size_t> most;
      double least_deg = 0.0;
      for (const auto& [key, cured] : cures) {
        std::vector<std::size_t> open;
        double misfit = 0.0;
        for (const auto& [pair, deg] : cured) {
          if (told_[pair]) continue;
          open.push_back(pair);
          misfit += deg;
        }
        if (open.size() < most.size() || open.empty() || (open.size() == most.size() && misfit >= least_deg)) continue;
        best = &key;
        most = open;
        least_deg = misfit;
      }
      if (best == nullptr) return;
      std::vector<std::size_t> stops;
      if (best->slip == Slip::wheel_reversed && most.size() == pairs_.size()) stops = std::exchange(crossed_stops_, {});
      add(best->slip, most, stops, best->words);
    }
  }

  // The lift at which the lobe has this duration; nothing when it has it nowhere.
  [[nodiscard]] std::optional<double> lift_of_duration_mm(LobeReading reading, double duration_deg) const {
    double low_mm = 0.01, high_mm = mechanism_.motion(reading.valve)->greatest_valve_lift_mm() +
                                    mechanism_.motion(reading.valve)->lobe().greatest_lift_mm();
    const auto longer = [&](double lift_mm) {
      reading.lift_mm = lift_mm;
      const std::optional<FlankPair> pair = foretell_pair(mechanism_, reading);
      return pair && pair->duration_deg() > duration_deg;
    };
    if (!longer(low_mm)) return std::nullopt;
    constexpr int halvings = 40;
    for (int i = 0; i < halvings; ++i) (longer((low_mm + high_mm) / 2.0) ? low_mm : high_mm) = (low_mm + high_mm) / 2.0;
    return low_mm;
  }

  // A dial misread: the middle is right, the duration is not, and another reading of that valve has the right one, so
  // that the lobe is not to blame.
  void find_other_lifts() {
    for (std::size_t i = 0; i < pairs_.size(); ++i) {
      const PairFit& pair = pairs_[i];
      const LobeReading& reading = measured_.lobe[pair.read.reading];
      const std::optional<double>& others_deg = late_deg_[pair.camshaft];
      const double longer_deg = std::fabs(pair.read.duration_deg - pair.read.foretold_duration_deg);
      if (told_[i] || !others_deg || std::fabs(pair.late_deg - *others_deg) > std::fmax(2.0, 4.0 * pair.read.u_deg) ||
          longer_deg < std::fmax(slip_far_deg, 8.0 * pair.read.u_duration_deg))
        continue;
      const bool lobe_is_right = std::ranges::any_of(pairs_, [&](const PairFit& other) {
        return measured_.lobe[other.read.reading].valve == reading.valve && !cannot_be_right(other);
      });
      const std::optional<double> lift_mm = lift_of_duration_mm(reading, pair.read.duration_deg);
      if (lobe_is_right && lift_mm)
        add(Slip::other_lift, {i}, {},
            fmt::format("the duration belongs to {:.2f} mm, not to {:.2f} mm", *lift_mm, reading.lift_mm));
    }
  }

  // Crank degrees by which a pair comes early when it is read while turning back.
  [[nodiscard]] double hangs_back_deg(const PairFit& pair) const {
    const std::optional<FlankPair> back =
        foretell_pair(mechanism_, measured_.lobe[pair.read.reading], Turning::backward);
    return back ? wrap_half_cycle(pair.read.foretold_deg - back->middle_deg()) : 0.0;
  }

  // Whether whole teeth, or a fitted key left out or the other way round, advance the camshaft by as much.
  [[nodiscard]] bool fitted_so(std::size_t camshaft, double advanced_deg, double u_deg) const {
    const double crank_deg = mechanism_.fitted().crank_key_deg;
    const double cam_deg = 2.0 * cam_key_of(mechanism_.fitted(), mechanism_.engine().camshafts[camshaft].name);
    for (const double teeth : {0.0, 1.0, 2.0})
      for (const double of_crank_key : {0.0, 1.0, 2.0})
        for (const double of_cam_key : {0.0, 1.0, 2.0}) {
          const double deg = teeth * tooth_deg_[camshaft] - of_crank_key * crank_deg - of_cam_key * cam_deg;
          if (std::fabs(advanced_deg - deg) <= 3.0 * u_deg) return true;
        }
    return false;
  }

  void find_all_turned_backward() {
    for (std::size_t camshaft = 0; camshaft < late_deg_.size(); ++camshaft) {
      std::vector<std::size_t> early;
      double least_deg = 1e9;
      for (std::size_t i = 0; i < pairs_.size(); ++i) {
        if (pairs_[i].camshaft != camshaft) continue;
        const double slack_deg = hangs_back_deg(pairs_[i]);
        const double u_deg = std::hypot(pairs_[i].read.u_deg, wheel_.u_deg);
        const bool fits = !told_[i] && slack_deg >= slip_far_deg && !odd_duration(pairs_[i]) &&
                          std::fabs(pairs_[i].late_deg + slack_deg) <= 2.5 * u_deg &&
                          !fitted_so(camshaft, -pairs_[i].late_deg, u_deg);
        if (!fits) {
          early.clear();
          break;
        }
        early.push_back(i);
        least_deg = std::fmin(least_deg, slack_deg);
      }
      if (!early.empty())
        add(Slip::turned_backward, early, {},
            fmt::format("early by {:.1f}°, as much as the slack makes: read while turning back", least_deg));
    }
  }

  // One against at least two others that agree, one of them of the same valve.
  void find_one_turned_backward() {
    for (std::size_t i = 0; i < pairs_.size(); ++i) {
      if (told_[i] || odd_duration(pairs_[i])) continue;
      std::vector<double> late_deg;
      std::vector<double> u_deg;
      bool same_valve = false;
      for (std::size_t j = 0; j < pairs_.size(); ++j) {
        if (j == i || told_[j] || odd_duration(pairs_[j]) || pairs_[j].camshaft != pairs_[i].camshaft) continue;
        late_deg.push_back(pairs_[j].late_deg);
        u_deg.push_back(pairs_[j].read.u_deg);
        same_valve |= measured_.lobe[pairs_[j].read.reading].valve == measured_.lobe[pairs_[i].read.reading].valve;
      }
      const WeightedMean others = weighted_mean(late_deg, u_deg);
      if (late_deg.size() < 2 || !same_valve || others.scattered) continue;
      const double off_u_deg = std::hypot(pairs_[i].read.u_deg, others.u);
      const double slack_deg = hangs_back_deg(pairs_[i]);
      // The wheel's limit alone leads to 4.9 of these u: no honest reading comes within 2.5 of 8.
      constexpr double least_deg = 2.0;
      if (slack_deg < std::fmax(least_deg, 8.0 * off_u_deg) ||
          std::fabs(pairs_[i].late_deg - others.mean + slack_deg) > 2.5 * off_u_deg)
        continue;
      add(Slip::turned_backward, {i}, {},
          fmt::format("early by {:.1f}°, as much as the slack makes: read while turning back", slack_deg));
    }
  }

  // "readings 1, 2 and 4", "readings 1 to 6", counted from 1.
  [[nodiscard]] static std::string numbered(const char* one, const char* more,
                                            const std::vector<std::size_t>& indices) {
    std::string text = fmt::format("{} {}", indices.size() == 1 ? one : more, indices[0] + 1);
    if (indices.size() > 2 && indices.back() - indices.front() + 1 == indices.size())
      return text + fmt::format(" to {}", indices.back() + 1);
    for (std::size_t i = 1; i < indices.size(); ++i)
      text += fmt::format("{}{}", i + 1 == indices.size() ? " and " : ", ", indices[i] + 1);
    return text;
  }

  void add(Slip slip, const std::vector<std::size_t>& pairs, const std::vector<std::size_t>& stops,
           const std::string& words) {
    SlipFound found;
    found.slip = slip;
    for (const std::size_t pair : pairs) {
      told_[pair] = true;
      found.lobe.push_back(pairs_[pair].read.reading);
    }
    found.stop = stops;
    if (!found.lobe.empty()) found.words = numbered("reading", "readings", found.lobe);
    if (!found.lobe.empty() && !stops.empty()) found.words += ", ";
    if (!stops.empty()) found.words += numbered("stop reading", "stop readings", stops);
    found.words += ": " + words;
    found_.push_back(std::move(found));
  }

  const Mechanism& mechanism_;
  const Measured& measured_;
  const Instruments& instruments_;
  std::vector<PairFit> pairs_;
  const WheelZero& wheel_;
  double correction_deg_;
  std::vector<std::size_t> crossed_stops_;
  std::vector<double> tooth_deg_;               // by camshaft, crank degrees
  std::vector<double> within_deg_;              // as far as two teeth, keys and wear may take it
  std::vector<std::optional<double>> late_deg_; // where readings that may be right say it stands
  std::vector<bool> told_;                      // by pair
  std::vector<SlipFound> found_;
};

} // namespace

std::vector<SlipFound> find_slips(const Mechanism& mechanism, const Measured& measured, const Instruments& instruments,
                                  const std::vector<PairFit>& pairs, const WheelZero& wheel) {
  return SlipSearch(mechanism, measured, instruments, pairs, wheel).find();
}

} // namespace phasewright
