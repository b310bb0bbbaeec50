#include "bench/plan_words.hpp"

#include "bench/figure_words.hpp"
#include "bench/history.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

const std::string& name_of(const Engine& engine, const Plan& plan, std::size_t planned) {
  return engine.camshafts[plan.camshafts[planned].camshaft].name;
}

// Nothing where there is one camshaft only.
std::string at_words(const Engine& engine, const std::string& camshaft) {
  return engine.camshafts.size() > 1 ? fmt::format(" at \"{}\"", camshaft) : std::string();
}

std::string teeth_words(int teeth) {
  return fmt::format("{} {}", std::abs(teeth), std::abs(teeth) == 1 ? "tooth" : "teeth");
}

void add(std::string& words, const std::string& more) {
  words += (words.empty() ? "" : "; ") + more;
}

// What the option's keys would come to if the crank's were fitted the other way round.
std::string wrong_way_note(const std::string& what, double wrong_phase_deg, double error_deg) {
  return fmt::format("fitted the wrong way round, {} would put the camshaft {:.2f}° crank {}, {:.2f}° off", what,
                     std::fabs(wrong_phase_deg), wrong_phase_deg < 0.0 ? "retarded" : "advanced", std::fabs(error_deg));
}

// Whether anything turns that camshaft against the crank, against what is fitted.
bool moves_camshaft(const Plan& plan, const PlanOption& option, std::size_t planned) {
  return std::fabs(option.phase_deg[planned] - plan.camshafts[planned].fitted_phase_deg) > 1e-6;
}

// "inlet opens 12.0° BTDC at 0.50 mm lift".
std::string event_aim_words(const TargetEvent& event, const Camshaft& camshaft) {
  const double lift_mm = event.at_lift_mm > 0.0 ? event.at_lift_mm : camshaft.check_lift_mm;
  const auto words = [&](const char* what, const char* after) {
    return fmt::format("{} {}° {} at {} mm lift", what, figure(event.deg, 1), after, figure(lift_mm, 2));
  };
  switch (event.kind) {
  case EventKind::inlet_opens:
    return words("inlet opens", "BTDC");
  case EventKind::inlet_closes:
    return words("inlet closes", "ABDC");
  case EventKind::exhaust_opens:
    return words("exhaust opens", "BBDC");
  case EventKind::exhaust_closes:
    return words("exhaust closes", "ATDC");
  }
  return {};
}

} // namespace

std::string target_words(const Engine& engine, const Build& build, const PlannedCamshaft& planned) {
  const std::string phase = phase_words(planned.target_phase_deg);
  const Camshaft& camshaft = engine.camshafts[planned.camshaft];
  const Target& target = build.target;
  std::string aim;
  if (target.inlet_centre_deg && camshaft.inlet)
    aim = fmt::format("inlet lobe centre {}° ATDC (crank degrees)", figure(*target.inlet_centre_deg, 1));
  else if (target.exhaust_centre_deg && camshaft.exhaust)
    aim = fmt::format("exhaust lobe centre {}° BTDC (crank degrees)", figure(*target.exhaust_centre_deg, 1));
  else if (target.event)
    aim = event_aim_words(*target.event, camshaft);
  else if (target.equal_lift_at_tdc)
    aim = "equal lifts at overlap TDC";
  else if (target.effective_ratio)
    aim = fmt::format("an effective ratio of {} : 1", figure(*target.effective_ratio, 2));
  if (target.preset_for_wear)
    aim += fmt::format("{}pre-set for wear: {}° crank ahead now, so that it is on target half way to the wear limit",
                       aim.empty() ? "" : ", ", figure(-planned.wear_deg / 2.0, 2));
  return aim.empty() ? phase : aim + ", which is " + phase;
}

int teeth_found(const Engine& engine, const Plan& plan, std::size_t planned) {
  const std::string& name = name_of(engine, plan, planned);
  const double tooth_deg = 720.0 / sprocket_at(engine, *find_cam_sprocket(engine, name)).teeth;
  return static_cast<int>(std::lround(found_of(plan.base, name) / tooth_deg));
}

std::string option_words(const Engine& engine, const Plan& plan, const PlanOption& option) {
  std::string words;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) {
    const CamSetting& cam = option.cams[i];
    const std::string at = at_words(engine, name_of(engine, plan, i));
    if (cam.lay != 0)
      add(words, fmt::format("chain {} {}{}", teeth_words(cam.lay), cam.lay > 0 ? "forward" : "back", at));
    if (cam.cam_key_deg != 0.0) add(words, key_words(KeyAt::cam, cam.cam_key_deg) + at);
    if (i == 0 && option.crank_key_deg != 0.0) add(words, key_words(KeyAt::crank, option.crank_key_deg));
    if (plan.base.vernier.hub_holes > 0 && cam.holes != HolePair{})
      add(words, fmt::format("hub hole {} on sprocket hole {}{}, counted against the running direction",
                             cam.holes.hub_hole, cam.holes.sprocket_hole, at));
    if (std::fabs(cam.slot_deg) >= 0.005)
      add(words, fmt::format("slots {:.2f}° (cam) {}{}", std::fabs(cam.slot_deg),
                             cam.slot_deg > 0.0 ? "advanced" : "retarded", at));
  }
  if (!words.empty()) return words;
  return "straight keys, chain as marked" +
         (plan.camshafts.size() == 1 ? at_words(engine, name_of(engine, plan, 0)) : std::string());
}

std::vector<KeyPicture> key_pictures(const Engine& engine, const Plan& plan, const PlanOption& option) {
  const Result<std::vector<KeyPicture>> all = key_pictures(engine, fitted_with(engine, plan, option));
  if (!all) return {};
  std::vector<KeyPicture> pictures;
  const auto add = [&](KeyAt at, const std::string& shaft) {
    for (const KeyPicture& picture : *all)
      if (picture.at == at && picture.shaft == shaft && picture.side != 0) pictures.push_back(picture);
  };
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) add(KeyAt::cam, name_of(engine, plan, i));
  add(KeyAt::crank, "crank");
  return pictures;
}

std::vector<std::string> option_notes(const Engine& engine, const Plan& plan, const PlanOption& option) {
  std::vector<std::string> notes;
  bool moves = false;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) {
    const std::string& name = name_of(engine, plan, i);
    const std::string at = at_words(engine, name);
    const CamSetting& cam = option.cams[i];
    const auto seat = engine.cam_seats.find(name);
    moves = moves || moves_camshaft(plan, option, i);
    if (cam.cam_key_deg != 0.0 && seat != engine.cam_seats.end()) {
      notes.push_back(
          "cam key" + at + ": " +
          step_words(KeyAt::cam, cam.cam_key_deg, camshaft_rotation(engine, name), seat->second.diameter_mm));
      notes.push_back(wrong_way_note("the cam key" + at, option.phase_deg[i] - 4.0 * cam.cam_key_deg,
                                     option.error_deg[i] - 4.0 * cam.cam_key_deg));
    }
    if (const int found = teeth_found(engine, plan, i); found != 0)
      notes.push_back(fmt::format("readings show the camshaft{} as far off as a chain laid {} {} would put it: see "
                                  "first where the marks stand; lays are counted as if the file had it right",
                                  at, teeth_words(found), found > 0 ? "forward" : "back"));
    else if (cam.lay != 0)
      notes.push_back(fmt::format("the marks{} no longer face: the cam's stands {} {} of them", at,
                                  teeth_words(cam.lay), cam.lay > 0 ? "ahead" : "behind"));
  }
  if (option.crank_key_deg != 0.0) {
    notes.push_back("crank key: " +
                    step_words(KeyAt::crank, option.crank_key_deg, engine.rotation, engine.crank_seat.diameter_mm));
    const double turned_round_deg = option.phase_deg[0] - 2.0 * option.crank_key_deg;
    notes.push_back(wrong_way_note("the crank key", turned_round_deg,
                                   turned_round_deg - target_with_crank_key(plan, 0, -option.crank_key_deg)));
    if (engine.camshafts.size() > plan.camshafts.size())
      notes.push_back("the crank key moves the other camshafts as much");
    notes.push_back(fmt::format("the marks then line up with No. 1 {} crank {} TDC",
                                key_angle_text(option.crank_key_deg), option.crank_key_deg > 0.0 ? "before" : "after"));
  }
  if (moves) notes.push_back("whatever is driven from the camshaft, ignition too, moves as much: set it anew");
  return notes;
}

Build fitted_build(const Engine& engine, const Build& build, const Plan& plan, const PlanOption& option) {
  Build after = put_by(build);
  after.fitted = fitted_with(engine, plan, option);
  after.measured.with = after.fitted;
  return after;
}

} // namespace phasewright
