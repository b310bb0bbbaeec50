#include "bench/key_picture.hpp"

#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <cmath>

namespace phasewright {

namespace {

KeyPicture picture_of(KeyAt at, const std::string& shaft, double key_deg, const ShaftSeat& seat,
                      double keyway_clock_deg, Rotation rotation) {
  KeyPicture picture;
  picture.at = at;
  picture.shaft = shaft;
  picture.rotation = rotation;
  picture.key_deg = key_deg;
  picture.step_mm = std::fabs(key_step_mm(seat.diameter_mm, key_deg));
  picture.side = step_side(at, key_deg, rotation);
  picture.keyway_clock_deg = wrap_360(keyway_clock_deg);
  picture.hub_clock_deg = wrap_360(keyway_clock_deg + picture.side * std::fabs(key_deg));
  picture.words = step_words(at, key_deg, rotation, seat.diameter_mm);
  return picture;
}

} // namespace

Result<std::vector<KeyPicture>> key_pictures(const Engine& engine, const Fitted& fitted) {
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  if (!drive) return drive.problems();
  std::vector<KeyPicture> pictures{picture_of(KeyAt::crank, "crank", fitted.crank_key_deg, engine.crank_seat,
                                              engine.crank_seat.key_clock_deg, engine.rotation)};
  const DrivePose pose = drive->pose(0.0);
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const std::string& name = engine.camshafts[i].name;
    const auto seat = engine.cam_seats.find(name);
    if (seat == engine.cam_seats.end()) continue;
    const Rotation rotation = camshaft_rotation(engine, name);
    const double turned_deg = pose.camshafts[i].turned_deg;
    pictures.push_back(picture_of(
        KeyAt::cam, name, cam_key_of(fitted, name), seat->second,
        seat->second.key_clock_deg + (rotation == Rotation::clockwise ? turned_deg : -turned_deg), rotation));
  }
  return pictures;
}

} // namespace phasewright
