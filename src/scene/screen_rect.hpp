// A rectangle of pixels: x to the right, y down.
#pragma once

namespace phasewright {

struct ScreenRect {
  float left = 0;
  float top = 0;
  float right = 0;
  float bottom = 0;

  [[nodiscard]] float width() const { return right - left; }
  [[nodiscard]] float height() const { return bottom - top; }
  [[nodiscard]] bool touches(const ScreenRect& other, float apart = 0) const {
    return left < other.right + apart && other.left < right + apart && top < other.bottom + apart &&
           other.top < bottom + apart;
  }
  [[nodiscard]] bool holds(const ScreenRect& other) const {
    return left <= other.left && top <= other.top && right >= other.right && bottom >= other.bottom;
  }

  friend bool operator==(const ScreenRect&, const ScreenRect&) = default;
};

} // namespace phasewright
