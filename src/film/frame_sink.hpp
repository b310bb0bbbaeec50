// Frames in, a file out.
#pragma once

#include "parts/problem.hpp"
#include "render/renderer.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::film {

// The file appears whole or not at all: a sink that goes before its finish() leaves nothing behind.
class FrameSink {
public:
  FrameSink() = default;
  virtual ~FrameSink() = default;
  FrameSink(const FrameSink&) = delete;
  FrameSink& operator=(const FrameSink&) = delete;

  // Of so many frames, spread over the film, it wants to see the colours first.
  [[nodiscard]] virtual int samples() const { return 0; }
  virtual void sample(const Image& image);

  // All of one size. A problem: it cannot be written.
  [[nodiscard]] virtual std::optional<Problem> add(const Image& image) = 0;
  // Names of the files that are there now.
  [[nodiscard]] virtual Result<std::vector<std::string>> finish() = 0;
};

struct FilmFormat {
  RenderSize size{1280, 800};
  int frames_per_second = 30;
};

// GIF (GIF89a) that is shown over and over, with one table of colours for all frames. Problems: the
// file cannot be written; here and below.
[[nodiscard]] Result<std::unique_ptr<FrameSink>> open_gif(const std::filesystem::path& path, const FilmFormat& format);

// MP4 with H.264 by the program ffmpeg, which must be on the path; width and height must be even. SIGPIPE must be
// ignored. Problems: there is no ffmpeg, or it fails.
[[nodiscard]] Result<std::unique_ptr<FrameSink>> open_video(const std::filesystem::path& path,
                                                            const FilmFormat& format);

// A PNG file for each frame: "turn.png" gives "turn-0001.png" and so on.
[[nodiscard]] Result<std::unique_ptr<FrameSink>> open_pngs(const std::filesystem::path& path, const FilmFormat& format);

} // namespace phasewright::film
