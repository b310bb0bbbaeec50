#include "mechanics/pin_path.hpp"

#include <algorithm>
#include <cassert>
#include <limits>

namespace phasewright {

namespace {

// A way straight from one circle to the next, each passed with its centre on the side its sense says (0 radius: a
// point). Vector algebra only. False when the circles leave no room for it.
bool tangent(glm::dvec2 from, double from_signed_mm, glm::dvec2 to, double to_signed_mm, glm::dvec2& start,
             glm::dvec2& way, double& length) {
  const glm::dvec2 apart = to - from;
  const double apart2 = dot2(apart, apart);
  const double across = from_signed_mm - to_signed_mm;
  const double along2 = apart2 - across * across;
  if (!(along2 > 0.0)) return false;
  length = std::sqrt(along2);
  way = (length * apart + across * left_of(apart)) / apart2;
  start = from - from_signed_mm * left_of(way);
  return true;
}

} // namespace

PathArc path_arc(glm::dvec2 centre_mm, double radius_mm, double sense, double pitch_mm) {
  return {centre_mm, radius_mm, sense, 2.0 * std::asin(std::fmin(1.0, pitch_mm / (2.0 * radius_mm)))};
}

bool PinPath::join(glm::dvec2 from, glm::dvec2 to, std::span<const PathArc> arcs) {
  // Joins the arcs that are in the way; those that would pull the way to the wrong side are left out, worst first.
  for (;;) {
    bearing_ = 0;
    glm::dvec2 centre = from;
    double signed_mm = 0.0;
    for (std::size_t i = 0; i <= arcs.size(); ++i) {
      const bool last = i == arcs.size();
      if (!last && !in_way_[i]) continue;
      Line& line = lines_[bearing_];
      const glm::dvec2 next = last ? to : arcs[i].centre_mm;
      const double next_signed_mm = last ? 0.0 : arcs[i].sense * arcs[i].radius_mm;
      if (!tangent(centre, signed_mm, next, next_signed_mm, line.start, line.way, line.length)) return false;
      if (last) break;
      arcs_[bearing_] = {
          next, arcs[i].radius_mm, arcs[i].sense, arcs[i].pitch_rad, -arcs[i].sense * left_of(line.way), 0.0, i};
      ++bearing_;
      centre = next;
      signed_mm = next_signed_mm;
    }
    std::size_t worst = bearing_;
    double worst_rad = 0.0;
    for (std::size_t k = 0; k < bearing_; ++k) {
      const glm::dvec2 in = lines_[k].way;
      const glm::dvec2 out = lines_[k + 1].way;
      arcs_[k].wrap_rad = arcs_[k].sense * std::atan2(cross2(in, out), dot2(in, out));
      if (arcs_[k].wrap_rad < worst_rad) {
        worst = k;
        worst_rad = arcs_[k].wrap_rad;
      }
    }
    if (worst == bearing_) return true;
    in_way_[arcs_[worst].index] = false;
  }
}

bool PinPath::lay(glm::dvec2 from, glm::dvec2 to, std::span<const PathArc> arcs) {
  assert(arcs.size() <= most_arcs);
  end_ = to;
  count_ = arcs.size();
  std::copy(arcs.begin(), arcs.end(), laid_.begin());
  std::fill_n(in_way_.begin(), count_, true);
  // An arc left out may stand in the way of what is left; it is put back. Each round settles one arc.
  for (std::size_t round = 0; round <= most_arcs; ++round) {
    if (!join(from, to, arcs)) return false;
    std::size_t worst = count_;
    double worst_mm = 0.0;
    for (std::size_t i = 0, k = 0; i < count_; ++i) {
      if (in_way_[i]) {
        ++k;
        continue;
      }
      const Line& line = lines_[k];
      const glm::dvec2 reach = arcs[i].centre_mm - line.start;
      const double foot = dot2(reach, line.way);
      const double into_mm = arcs[i].radius_mm - arcs[i].sense * cross2(line.way, reach);
      if (foot > 0.0 && foot < line.length && into_mm > worst_mm) {
        worst = i;
        worst_mm = into_mm;
      }
    }
    if (worst == count_) return true;
    // Touching by rounding only: the arc was left out because it turns the way by nothing.
    if (worst_mm < 1e-12 * arcs[worst].radius_mm) return true;
    in_way_[worst] = true;
  }
  return join(from, to, arcs);
}

double PinPath::length_mm() const {
  double sum = lines_[bearing_].length;
  for (std::size_t k = 0; k < bearing_; ++k) sum += lines_[k].length + arcs_[k].radius * arcs_[k].wrap_rad;
  return sum;
}

PinPath::Contact PinPath::contact(std::size_t arc) const {
  std::size_t k = 0; // the line that passes it, or leads to it
  for (std::size_t i = 0; i < arc; ++i)
    if (in_way_[i]) ++k;
  if (!in_way_[arc]) {
    const PathArc& clear = laid_[arc];
    const glm::dvec2 nearest = clear.centre_mm - clear.radius_mm * clear.sense * left_of(lines_[k].way);
    return {false, clear.centre_mm, nearest, nearest, lines_[k].way, lines_[k].way};
  }
  return {true,          laid_[arc].centre_mm, lines_[k].start + lines_[k].length * lines_[k].way, lines_[k + 1].start,
          lines_[k].way, lines_[k + 1].way};
}

double PinPath::step_of(const Place& place, double pitch_mm) const {
  if (place.piece % 2 == 0) return pitch_mm;
  return arcs_[static_cast<std::size_t>(place.piece) / 2].pitch_rad;
}

int PinPath::on_same_piece(const Place& place, double pitch_mm) const {
  if (place.piece == last_piece()) return std::numeric_limits<int>::max();
  const auto k = static_cast<std::size_t>(place.piece / 2);
  const double left = (place.piece % 2 == 0 ? lines_[k].length : arcs_[k].wrap_rad) - place.along;
  return std::max(0, static_cast<int>(left / step_of(place, pitch_mm)));
}

glm::dvec2 PinPath::point(const Place& place) const {
  const auto k = static_cast<std::size_t>(place.piece / 2);
  if (place.piece % 2 == 0) return lines_[k].start + place.along * lines_[k].way;
  return arcs_[k].centre + arcs_[k].radius * turned_by(arcs_[k].arm, unit_vector(arcs_[k].sense * place.along));
}

PinPath::Place PinPath::hop(const Place& place, double pitch_mm) const {
  // The first point of a later piece that lies a pitch away.
  const glm::dvec2 pin = point(place);
  for (int piece = place.piece + 1;; ++piece) {
    const auto k = static_cast<std::size_t>(piece / 2);
    if (piece % 2 == 0) {
      const Line& line = lines_[k];
      const glm::dvec2 to_start = line.start - pin;
      const double back = dot2(to_start, line.way);
      const double along =
          std::sqrt(std::fmax(0.0, back * back - dot2(to_start, to_start) + pitch_mm * pitch_mm)) - back;
      if (along <= line.length || piece == last_piece()) return {piece, along};
      continue;
    }
    const Arc& arc = arcs_[k];
    const glm::dvec2 arm = pin - arc.centre;
    // On the arc at angle a from its beginning: ahead cos a + aside sin a = half. Of the two the later one.
    const double ahead = dot2(arm, arc.arm);
    const double aside = arc.sense * cross2(arc.arm, arm);
    const double half = (dot2(arm, arm) + arc.radius * arc.radius - pitch_mm * pitch_mm) / (2.0 * arc.radius);
    if (half <= -ahead) continue; // the whole arc lies within a pitch
    const double root = std::sqrt(std::fmax(0.0, ahead * ahead + aside * aside - half * half));
    const double along = 2.0 * std::atan((aside + root) / (half + ahead));
    if (along <= arc.wrap_rad) return {piece, along};
  }
}

double PinPath::pitches(double pitch_mm) const {
  Place place{0, 0.0};
  int pins = 0;
  while (place.piece != last_piece()) {
    const int ahead = on_same_piece(place, pitch_mm);
    place.along += ahead * step_of(place, pitch_mm);
    place = hop(place, pitch_mm);
    pins += ahead + 1;
  }
  return pins + (lines_[bearing_].length - place.along) / pitch_mm;
}

PinPath::Left PinPath::left_after(int pins, double pitch_mm) const {
  Place place{0, 0.0};
  std::uint64_t pattern = 1;
  for (std::size_t i = 0; i < count_; ++i) pattern = 2 * pattern + (in_way_[i] ? 1U : 0U);
  while (pins > 0) {
    const int ahead = std::min(pins, on_same_piece(place, pitch_mm));
    place.along += ahead * step_of(place, pitch_mm);
    pins -= ahead;
    pattern = 1009 * pattern + static_cast<std::uint64_t>(ahead);
    if (pins == 0) break;
    place = hop(place, pitch_mm);
    pattern = 7 * pattern + static_cast<std::uint64_t>(place.piece);
    --pins;
  }
  if (place.piece == last_piece()) return {lines_[bearing_].length - place.along, pattern};
  return {length2(end_ - point(place)), pattern};
}

} // namespace phasewright
