#include "film/frame_sink.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <stdexcept>

namespace phasewright::film {

namespace {

Problem trouble(const std::filesystem::path& path, std::string advice) {
  Problem problem;
  problem.file = path.string();
  problem.advice = std::move(advice);
  return problem;
}

// Frames wait in a folder beside, until all are there.
class PngSink : public FrameSink {
public:
  PngSink(std::filesystem::path path, std::filesystem::path folder)
      : path_(std::move(path)), folder_(std::move(folder)) {}
  ~PngSink() override {
    std::error_code left;
    std::filesystem::remove_all(folder_, left);
  }

  [[nodiscard]] std::optional<Problem> add(const Image& image) override {
    ++done_;
    try {
      write_png(image, folder_ / name(done_));
    } catch (const std::runtime_error& error) {
      return trouble(path_, fmt::format("frame {}: {}", done_, error.what()));
    }
    return std::nullopt;
  }

  [[nodiscard]] Result<std::vector<std::string>> finish() override {
    std::vector<std::string> names;
    for (int frame = 1; frame <= done_; ++frame) {
      const std::filesystem::path to = path_.parent_path() / name(frame);
      std::error_code error;
      std::filesystem::rename(folder_ / name(frame), to, error);
      if (error) return trouble(to, "cannot be put in its place: " + error.message());
      names.push_back(to.string());
    }
    return names;
  }

private:
  [[nodiscard]] std::string name(int frame) const { return fmt::format("{}-{:04}.png", path_.stem().string(), frame); }

  std::filesystem::path path_;
  std::filesystem::path folder_;
  int done_ = 0;
};

} // namespace

Result<std::unique_ptr<FrameSink>> open_pngs(const std::filesystem::path& path, const FilmFormat& /*format*/) {
  std::string folder = (path.parent_path() / ".phasewright-XXXXXX").string();
  if (::mkdtemp(folder.data()) == nullptr)
    return trouble(path, fmt::format("cannot be written: {}; nothing was changed", std::strerror(errno)));
  return std::unique_ptr<FrameSink>(std::make_unique<PngSink>(path, folder));
}

} // namespace phasewright::film
