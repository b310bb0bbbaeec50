#include "mechanics/valve_gear.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright {

namespace {

// The lobe as its follower's motion, whatever the file gives.
Result<Lobe> as_tappet_motion(const Lobe& stated, const ValveGear& gear, const std::string& key) {
  const auto* table = std::get_if<LobeTable>(&stated);
  if (table == nullptr || table->lift_of == LiftOf::tappet) return stated;
  Result<LobeTable> rolled = tappet_table(*table, gear, key);
  if (!rolled) return rolled.problems();
  return Lobe(*std::move(rolled));
}

double greatest_stated_mm(const Lobe& lobe) {
  if (const auto* table = std::get_if<LobeTable>(&lobe))
    return table->lift_mm.empty() ? 0.0 : *std::ranges::max_element(table->lift_mm);
  if (const auto* card = std::get_if<LobeCard>(&lobe)) return card->lift_mm;
  return std::get<LobePolynomial>(lobe).lift_mm;
}

} // namespace

ValveMotion::ValveMotion(std::shared_ptr<const ValveGear> gear, LobeProfile lobe, LobeContour contour, Linkage linkage)
    : gear_(std::move(gear)), lash_mm_(gear_->lash_mm), lobe_(std::move(lobe)), contour_(std::move(contour)),
      linkage_(std::move(linkage)) {}

Result<ValveMotion> ValveMotion::make(const Camshaft& camshaft, std::size_t camshaft_index, ValveKind kind) {
  const std::optional<ValveGear>& gear = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
  assert(gear.has_value());
  Result<ValveMotion> as_read = with_lobe(gear->lobe, camshaft, camshaft_index, kind);
  const auto* table = std::get_if<LobeTable>(&gear->lobe);
  if (as_read || table == nullptr || !(table->last_digit_mm > 0.0)) return as_read;
  // Readings off an indicator waver by more than its last digit, and second differences that waver look like an
  // undercut lobe. What a few digits put right is no fault of the lobe.
  for (const double digits : {2.0, 4.0}) {
    LobeTable looser = *table;
    looser.last_digit_mm = digits * table->last_digit_mm;
    Result<ValveMotion> loosely = with_lobe(looser, camshaft, camshaft_index, kind);
    if (!loosely) continue;
    loosely->evened_out_mm_ = looser.last_digit_mm;
    return loosely;
  }
  return as_read;
}

Result<ValveMotion> ValveMotion::with_lobe(const Lobe& stated, const Camshaft& camshaft, std::size_t camshaft_index,
                                           ValveKind kind) {
  const std::optional<ValveGear>& gear = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
  const std::string key = fmt::format("camshaft[{}].{}", camshaft_index + 1, to_word(kind));
  const Result<Lobe> lobe = as_tappet_motion(stated, *gear, key + ".lobe");
  if (!lobe) return lobe.problems();
  Result<Linkage> linkage = Linkage::make(*gear, greatest_stated_mm(*lobe), key);
  if (!linkage) return linkage.problems();
  const double check_mm = camshaft.check_at == CheckAt::tappet
                              ? camshaft.check_lift_mm
                              : linkage->tappet_mm(camshaft.check_lift_mm + gear->lash_mm);
  Result<LobeProfile> profile =
      LobeProfile::make(*lobe, key + ".lobe", {.check_mm = check_mm, .lash_mm = linkage->tappet_mm(gear->lash_mm)});
  if (!profile) return profile.problems();
  Result<LobeContour> contour = LobeContour::make(*gear, *profile, key);
  if (!contour) return contour.problems();

  ValveMotion made(std::make_shared<const ValveGear>(*gear), *std::move(profile), *std::move(contour),
                   *std::move(linkage));
  made.camshaft_index_ = camshaft_index;
  made.kind_ = kind;
  // The card's centre is the middle of equal lifts at the check lift, which on an asymmetric lobe is not the nose.
  const std::optional<std::array<double, 2>> crossings = made.lobe_.crossings_rad(check_mm);
  const double centre_rad = crossings ? ((*crossings)[0] + (*crossings)[1]) / 2.0 : 0.0;
  made.nose_rad_ = radians(kind == ValveKind::inlet ? gear->centre_deg : -gear->centre_deg) / 2.0 - centre_rad;
  return made;
}

double ValveMotion::from_nose_rad(double camshaft_rad, double delay_deg) const {
  return wrap_pi(camshaft_rad - radians(delay_deg) / 2.0 - nose_rad_);
}

double ValveMotion::valve_lift_mm(double from_nose_rad) const {
  return std::fmax(0.0, linkage_.valve_mm(lobe_.lift_mm(from_nose_rad)) - lash_mm_);
}

ValveState ValveMotion::valve_state(double from_nose_rad) const {
  const LiftState tappet = lobe_.at(from_nose_rad);
  const LinkState link = linkage_.at(tappet.lift_mm);
  if (!(link.valve_mm > lash_mm_)) return {};
  return {link.valve_mm - lash_mm_, link.ratio * tappet.per_rad_mm,
          link.bend_per_mm * tappet.per_rad_mm * tappet.per_rad_mm + link.ratio * tappet.per_rad2_mm};
}

double ValveMotion::tappet_at_valve_mm(double valve_lift_mm) const {
  return linkage_.tappet_mm(valve_lift_mm + lash_mm_);
}

double ValveMotion::greatest_valve_lift_mm() const {
  return std::fmax(0.0, linkage_.valve_mm(lobe_.greatest_lift_mm()) - lash_mm_);
}

// The camshaft stays where it is: its card was drawn up for the lash it came with.
ValveMotion ValveMotion::with_lash(double lash_mm) const {
  ValveMotion other = *this;
  ValveGear gear = *gear_;
  gear.lash_mm = lash_mm;
  other.gear_ = std::make_shared<const ValveGear>(std::move(gear));
  other.lash_mm_ = lash_mm;
  return other;
}

} // namespace phasewright
