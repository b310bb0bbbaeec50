#include "bench/explain_faults.hpp"

#include "bench/figure_words.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace phasewright {

namespace {

// How often each is met, against the others, and how far it may go: our own guesses, no source.
constexpr double weight_nothing = 10.0;
constexpr double weight_one_tooth = 3.0;
constexpr double weight_two_teeth = 0.5;
constexpr double weight_key_turned = 3.0;
constexpr double weight_key_straight = 1.0;
constexpr double weight_elongation = 3.0;
constexpr double weight_wheel = 2.0;
constexpr double weight_turning = 3.0;
constexpr double weight_lash = 1.5;
constexpr double weight_ratio = 0.7;
constexpr double weight_lobe = 0.5;
constexpr double weight_swapped = 1.0;
constexpr double weight_camshaft = 0.7;
constexpr double most_elongation_percent = 2.0; // beyond what the build says
constexpr double most_wheel_deg = 20.0;
constexpr double most_lash_mm = 0.6; // beyond what the maker gives
constexpr double most_ratio = 0.15;  // of the maker's, either way
constexpr double most_lobe_deg = 12.0;
constexpr double most_camshaft_deg = 30.0;

std::string quoted(const std::string& name) {
  return "\"" + name + "\"";
}

class FaultList {
public:
  FaultList(const Mechanism& mechanism, bool stop_read)
      : engine_(mechanism.engine()), fitted_(mechanism.fitted()), stop_read_(stop_read) {}

  std::vector<Fault> make() {
    add(
        FaultKind::none, "", "nothing is wrong", weight_nothing, [](Supposed&) {},
        "nothing is wrong: the readings are what they should be");
    for (const Camshaft& camshaft : engine_.camshafts) add_lays(camshaft.name);
    if (engine_.camshafts.size() > 1) add_lays_of_all();
    add_crank_keys();
    for (const Camshaft& camshaft : engine_.camshafts) add_cam_keys(camshaft.name);
    add_elongation();
    add_reading_faults();
    add_train_faults();
    for (const Camshaft& camshaft : engine_.camshafts) add_camshaft(camshaft.name);
    return std::move(faults_);
  }

private:
  // " at "inlet"", where there are several.
  [[nodiscard]] std::string at(const std::string& camshaft) const {
    return engine_.camshafts.size() > 1 ? " at " + quoted(camshaft) : std::string();
  }

  Fault& add(FaultKind kind, const std::string& of, std::string name, double weight,
             std::function<void(Supposed&)> change, std::string words) {
    Fault fault;
    fault.kind = kind;
    fault.of = of;
    fault.name = std::move(name);
    fault.weight = weight;
    fault.suppose = [change = std::move(change)](const Supposed& base, double) {
      Supposed other = base;
      change(other);
      return other;
    };
    fault.words = [words = std::move(words)](double) { return words; };
    return faults_.emplace_back(std::move(fault));
  }

  void add_amount(Fault fault, std::function<void(Supposed&, double)> change) {
    fault.suppose = [change = std::move(change)](const Supposed& base, double amount) {
      Supposed other = base;
      change(other, amount);
      return other;
    };
    faults_.push_back(std::move(fault));
  }

  static std::string teeth_words(int teeth) {
    return fmt::format("{} {} {}", std::abs(teeth) == 1 ? "one" : "two", std::abs(teeth) == 1 ? "tooth" : "teeth",
                       teeth > 0 ? "forward" : "back");
  }

  static double lay_weight(int teeth) { return std::abs(teeth) == 1 ? weight_one_tooth : weight_two_teeth; }

  void add_lays(const std::string& camshaft) {
    for (const int teeth : {-1, 1, -2, 2}) {
      const int lay = lay_of(fitted_, camshaft) + teeth;
      const std::string name = fmt::format("chain {}{}", teeth_words(teeth), at(camshaft));
      const std::string from_marks = lay_of(fitted_, camshaft) == 0 ? "its mark" : "where the build has it";
      add(
          FaultKind::lay, camshaft, name, lay_weight(teeth),
          [camshaft, lay](Supposed& supposed) { supposed.fitted.lay_of[camshaft] = lay; },
          fmt::format("the chain lies {} of {}{}", teeth_words(teeth), from_marks, at(camshaft)));
    }
  }

  // What a tooth at the crank's sprocket comes to.
  void add_lays_of_all() {
    for (const int teeth : {-1, 1}) {
      std::map<std::string, int> lays;
      for (const Camshaft& camshaft : engine_.camshafts) lays[camshaft.name] = lay_of(fitted_, camshaft.name) + teeth;
      add(
          FaultKind::lay, "", fmt::format("chain {} at every camshaft", teeth_words(teeth)), lay_weight(teeth),
          [lays](Supposed& supposed) {
            for (const auto& [name, lay] : lays) supposed.fitted.lay_of[name] = lay;
          },
          fmt::format("the chain lies {} at every camshaft: it jumped, or was laid so, at the crank sprocket",
                      teeth_words(teeth)));
    }
  }

  void add_crank_keys() {
    const double key_deg = fitted_.crank_key_deg;
    if (key_deg == 0.0) return;
    add(
        FaultKind::crank_key, "", "crank key turned round", weight_key_turned,
        [key_deg](Supposed& supposed) { supposed.fitted.crank_key_deg = -key_deg; },
        fmt::format("the crank key of {} was fitted the other way round", key_angle_text(key_deg)));
    add(
        FaultKind::crank_key, "", "crank key straight", weight_key_straight,
        [](Supposed& supposed) { supposed.fitted.crank_key_deg = 0.0; },
        fmt::format("a straight key sits at the crank, not the one of {}", key_angle_text(key_deg)));
  }

  void add_cam_keys(const std::string& camshaft) {
    const double key_deg = cam_key_of(fitted_, camshaft);
    if (key_deg == 0.0) return;
    add(
        FaultKind::cam_key, camshaft, "cam key turned round" + at(camshaft), weight_key_turned,
        [camshaft, key_deg](Supposed& supposed) { supposed.fitted.cam_key_of[camshaft] = -key_deg; },
        fmt::format("the cam key of {}{} was fitted the other way round", key_angle_text(key_deg), at(camshaft)));
    add(
        FaultKind::cam_key, camshaft, "cam key straight" + at(camshaft), weight_key_straight,
        [camshaft](Supposed& supposed) { supposed.fitted.cam_key_of[camshaft] = 0.0; },
        fmt::format("a straight key sits in the camshaft{}, not the one of {}", at(camshaft), key_angle_text(key_deg)));
  }

  void add_elongation() {
    Fault fault;
    fault.kind = FaultKind::elongation;
    fault.name = "chain worn more than stated";
    fault.weight = weight_elongation;
    fault.unit = "%";
    fault.from = fitted_.elongation_percent;
    fault.to = std::min(5.0, fitted_.elongation_percent + most_elongation_percent);
    if (!fault.has_amount()) return; // as worn as a build may say
    fault.finest = 0.25;
    const double stated = fitted_.elongation_percent;
    fault.words = [stated](double percent) {
      return fmt::format("the chain is worn {:.2f} % longer, not {:.2f} %", percent, stated);
    };
    add_amount(std::move(fault),
               [](Supposed& supposed, double percent) { supposed.fitted.elongation_percent = percent; });
  }

  void add_reading_faults() {
    Fault wheel;
    wheel.kind = FaultKind::wheel;
    wheel.name = stop_read_ ? "wheel moved" : "wheel not on TDC";
    wheel.weight = weight_wheel;
    wheel.unit = "deg";
    wheel.from = -most_wheel_deg;
    wheel.to = most_wheel_deg;
    wheel.finest = 2.5;
    wheel.words = [stop_read = stop_read_](double deg) {
      return fmt::format("{} {:.1f}° too {}",
                         stop_read ? "the wheel, or its pointer, moved after the stop was read: it shows"
                                   : "the wheel was not set to TDC: it shows",
                         std::fabs(deg), deg > 0.0 ? "much" : "little");
    };
    add_amount(std::move(wheel), [](Supposed& supposed, double deg) { supposed.wheel_moved_deg = deg; });
    add(
        FaultKind::turning, "", "read turning back", weight_turning,
        [](Supposed& supposed) { supposed.turning = Turning::backward; },
        "the lobes were read while the crank was turned back, so that the chain's slack was in the pulling strand");
    bool both = true;
    for (const ValveKind kind : valve_kinds)
      both = both && std::ranges::any_of(engine_.camshafts, [kind](const Camshaft& camshaft) {
               return (kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust).has_value();
             });
    if (both)
      add(
          FaultKind::swapped, "", "inlet and exhaust swapped", weight_swapped,
          [](Supposed& supposed) { supposed.kinds_swapped = true; },
          "inlet and exhaust were taken for each other: the readings, or the two camshafts");
  }

  // Of every camshaft that has such a valve.
  static std::shared_ptr<const Engine> with_gears(const Engine& engine, ValveKind kind,
                                                  const std::function<void(ValveGear&)>& change) {
    auto other = std::make_shared<Engine>(engine);
    for (Camshaft& camshaft : other->camshafts)
      if (std::optional<ValveGear>& gear = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust) change(*gear);
    return other;
  }

  void add_train_faults() {
    for (const ValveKind kind : valve_kinds)
      for (const Camshaft& camshaft : engine_.camshafts) {
        const std::optional<ValveGear>& gear = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
        if (!gear) continue;
        add_lash(kind, *gear);
        if (!gear->rocker && !gear->finger) add_ratio(kind, *gear);
        add_lobe(kind);
        break; // one camshaft moves all valves of a kind
      }
  }

  void add_lash(ValveKind kind, const ValveGear& gear) {
    Fault fault;
    fault.kind = FaultKind::lash;
    fault.of = to_word(kind);
    fault.name = fmt::format("{} lash", to_word(kind));
    fault.weight = weight_lash;
    fault.unit = "mm";
    fault.to = std::min(2.0, gear.lash_mm + most_lash_mm);
    fault.finest = 0.1;
    const double drawn_mm = gear.lash_mm;
    fault.words = [kind, drawn_mm](double mm) {
      return fmt::format("the lash of the {} valves is {:.2f} mm, not {:.2f} mm", to_word(kind), mm, drawn_mm);
    };
    add_amount(std::move(fault), [kind](Supposed& supposed, double mm) {
      supposed.engine = with_gears(*supposed.engine, kind, [mm](ValveGear& other) { other.lash_mm = mm; });
    });
  }

  void add_ratio(ValveKind kind, const ValveGear& gear) {
    Fault fault;
    fault.kind = FaultKind::ratio;
    fault.of = to_word(kind);
    fault.name = fmt::format("{} rocker ratio", to_word(kind));
    fault.weight = weight_ratio;
    fault.unit = "ratio";
    fault.from = gear.rocker_ratio * (1.0 - most_ratio);
    fault.to = gear.rocker_ratio * (1.0 + most_ratio);
    fault.finest = gear.rocker_ratio * most_ratio / 4.0;
    const double drawn = gear.rocker_ratio;
    fault.words = [kind, drawn](double ratio) {
      return fmt::format("the rockers of the {} valves have a ratio of {:.3f}, not {:.3f}", to_word(kind), ratio,
                         drawn);
    };
    add_amount(std::move(fault), [kind](Supposed& supposed, double ratio) {
      supposed.engine = with_gears(*supposed.engine, kind, [ratio](ValveGear& other) { other.rocker_ratio = ratio; });
    });
  }

  void add_lobe(ValveKind kind) {
    Fault fault;
    fault.kind = FaultKind::lobe;
    fault.of = to_word(kind);
    fault.name = fmt::format("{} lobe ground off", to_word(kind));
    fault.weight = weight_lobe;
    fault.unit = "deg";
    fault.from = -most_lobe_deg;
    fault.to = most_lobe_deg;
    fault.finest = 3.0;
    fault.words = [kind](double deg) {
      return fmt::format("the {} lobes are ground {:.1f}° crank {} against the camshaft's keyway, so that the lobe "
                         "separation is not the card's",
                         to_word(kind), std::fabs(deg), deg > 0.0 ? "late" : "early");
    };
    add_amount(std::move(fault), [kind](Supposed& supposed, double late_deg) {
      const double more_deg = kind == ValveKind::inlet ? late_deg : -late_deg; // ATDC or BTDC
      supposed.engine =
          with_gears(*supposed.engine, kind, [more_deg](ValveGear& other) { other.centre_deg += more_deg; });
    });
  }

  void add_camshaft(const std::string& camshaft) {
    Fault fault;
    fault.kind = FaultKind::camshaft;
    fault.of = camshaft;
    fault.name = "camshaft off" + at(camshaft);
    fault.weight = weight_camshaft;
    fault.unit = "deg";
    const double found_deg = found_of(fitted_, camshaft);
    fault.from = found_deg - most_camshaft_deg;
    fault.to = found_deg + most_camshaft_deg;
    fault.finest = 2.5;
    const std::string which = engine_.camshafts.size() > 1 ? "camshaft " + quoted(camshaft) : "the camshaft";
    fault.words = [which, found_deg](double deg) {
      return fmt::format("{} stands {:.1f}° crank {} by something that is not listed: a sprocket's mark or keyway, or "
                         "the whole camshaft ground off",
                         which, std::fabs(deg - found_deg), deg > found_deg ? "advanced" : "retarded");
    };
    add_amount(std::move(fault),
               [camshaft](Supposed& supposed, double deg) { supposed.fitted.found_of[camshaft] = deg; });
  }

  const Engine& engine_;
  const Fitted& fitted_;
  bool stop_read_;
  std::vector<Fault> faults_;
};

} // namespace

std::vector<Fault> possible_faults(const Mechanism& mechanism, bool stop_read) {
  return FaultList(mechanism, stop_read).make();
}

} // namespace phasewright
