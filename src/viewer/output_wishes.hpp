// How the files that can be made are wanted. Figures are within the ranges of the commands' options.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>

namespace phasewright::viewer {

enum class OutputKind { sheet, wheel, key_card, picture, film, model, curves, answers };
inline constexpr std::size_t output_kinds = 8;

struct OutputWishes {
  OutputKind kind = OutputKind::sheet;
  std::array<std::size_t, output_kinds> ending{}; // of the kind's own, by its choice
  std::array<std::string, output_kinds> path{};   // as typed; empty = the usual
  bool letter = false;                            // paper
  double diameter_mm = 200.0;                     // of the wheel
  std::optional<double> bore_mm{};
  std::size_t reads = 0; // as the engine runs, clockwise, anticlockwise, both
  bool events = false;
  bool labels = true; // of pictures and films
  int width_px = 1280;
  int height_px = 800;
  std::size_t film_of = 0; // turning, laid over, taken apart
  int frames = 240;
  int frames_per_second = 30;
  bool nuts = false;         // of the model
  std::size_t curves_of = 0; // cycle, phase, lobes
  double step_deg = 1.0;
  // How the preview is looked at.
  int leaf = 0;        // from 0
  int leaves = 1;      // there were in the last frame
  double zoom = 1.0;   // 1 = all of a leaf; to 8
  double seen_x = 0.5; // what of the leaf stands in the middle, 0 to 1
  double seen_y = 0.5;
  double seen_high = 1.0; // how much of its height was seen in the last frame, 0 to 1
};

[[nodiscard]] inline std::size_t index_of(OutputKind kind) {
  return static_cast<std::size_t>(kind);
}

} // namespace phasewright::viewer
