#include "files/file_beside.hpp"
#include "film/colour_table.hpp"
#include "film/frame_sink.hpp"

#include <gif_lib.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace phasewright::film {

namespace {

constexpr int unchanged = 255; // index of what lets the frame before show through
constexpr std::size_t most_colours = 255;
constexpr int frames_looked_at = 8;

struct FreeMap {
  void operator()(ColorMapObject* map) const { GifFreeMapObject(map); }
};

class GifSink : public FrameSink {
public:
  GifSink(FileBeside file, std::string name, const FilmFormat& format)
      : file_(std::move(file)), name_(std::move(name)), format_(format) {}
  ~GifSink() override { close(); }

  [[nodiscard]] int samples() const override { return frames_looked_at; }
  void sample(const Image& image) override { count_.add(image); }

  [[nodiscard]] std::optional<Problem> add(const Image& image) override {
    if (!nearest_) {
      nearest_.emplace(count_.choose(most_colours));
      if (!begin()) return trouble();
    }
    std::vector<GifByteType> indices(image.rgba.size() / 4);
    for (std::size_t i = 0; i < indices.size(); ++i)
      indices[i] = (*nearest_)(image.rgba[4 * i], image.rgba[4 * i + 1], image.rgba[4 * i + 2]);
    if (!put(indices)) return trouble();
    before_ = std::move(indices);
    ++done_;
    return std::nullopt;
  }

  [[nodiscard]] Result<std::vector<std::string>> finish() override {
    if (!close()) return *trouble();
    if (auto why = file_.put_in_place()) return *std::move(why);
    return std::vector<std::string>{name_};
  }

private:
  struct Part { // of the picture; the far edges are past it
    int left, top, right, bottom;
  };

  static int write(GifFileType* gif, const GifByteType* bytes, int count) {
    auto* const sink = static_cast<GifSink*>(gif->UserData);
    if (sink->trouble_) return 0;
    sink->trouble_ = sink->file_.write({reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(count)});
    return sink->trouble_ ? 0 : count;
  }

  bool begin() {
    int error = 0;
    gif_ = EGifOpen(this, write, &error);
    if (gif_ == nullptr) return false;
    EGifSetGifVersion(gif_, true);
    const std::unique_ptr<ColorMapObject, FreeMap> map(GifMakeMapObject(256, nullptr));
    if (map == nullptr) return false;
    const std::vector<Rgb>& table = nearest_->table();
    for (std::size_t i = 0; i < table.size(); ++i) map->Colors[i] = {table[i][0], table[i][1], table[i][2]};
    return EGifPutScreenDesc(gif_, format_.size.width_px, format_.size.height_px, 8, 0, map.get()) == GIF_OK &&
           repeat_for_ever();
  }

  // The extension that browsers brought in, and every viewer knows by now.
  bool repeat_for_ever() {
    constexpr std::array<GifByteType, 3> for_ever{1, 0, 0};
    return EGifPutExtensionLeader(gif_, APPLICATION_EXT_FUNC_CODE) == GIF_OK &&
           EGifPutExtensionBlock(gif_, 11, "NETSCAPE2.0") == GIF_OK &&
           EGifPutExtensionBlock(gif_, static_cast<int>(for_ever.size()), for_ever.data()) == GIF_OK &&
           EGifPutExtensionTrailer(gif_) == GIF_OK;
  }

  // How long the frame stands, in hundredths of a second: so rounded that the film is as long as it should be.
  [[nodiscard]] int delay() const {
    const auto hundredths = [this](int frame) {
      return static_cast<int>(std::lround(100.0 * frame / format_.frames_per_second));
    };
    return hundredths(done_ + 1) - hundredths(done_);
  }

  [[nodiscard]] std::size_t at(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(format_.size.width_px) + static_cast<std::size_t>(x);
  }

  // The smallest rectangle in which something differs from the frame before; never empty.
  [[nodiscard]] Part changed(const std::vector<GifByteType>& indices) const {
    const RenderSize size = format_.size;
    if (before_.empty()) return {0, 0, size.width_px, size.height_px};
    Part part{size.width_px, size.height_px, 0, 0};
    for (int y = 0; y < size.height_px; ++y)
      for (int x = 0; x < size.width_px; ++x) {
        if (indices[at(x, y)] == before_[at(x, y)]) continue;
        part = {std::min(part.left, x), std::min(part.top, y), std::max(part.right, x + 1),
                std::max(part.bottom, y + 1)};
      }
    return part.right > 0 ? part : Part{0, 0, 1, 1};
  }

  bool put(const std::vector<GifByteType>& indices) {
    const bool first = before_.empty();
    const GraphicsControlBlock control{.DisposalMode = DISPOSE_DO_NOT,
                                       .UserInputFlag = false,
                                       .DelayTime = delay(),
                                       .TransparentColor = first ? NO_TRANSPARENT_COLOR : unchanged};
    std::array<GifByteType, 4> bytes{};
    EGifGCBToExtension(&control, bytes.data());
    const Part part = changed(indices);
    if (EGifPutExtension(gif_, GRAPHICS_EXT_FUNC_CODE, static_cast<int>(bytes.size()), bytes.data()) != GIF_OK ||
        EGifPutImageDesc(gif_, part.left, part.top, part.right - part.left, part.bottom - part.top, false, nullptr) !=
            GIF_OK)
      return false;
    std::vector<GifByteType> row;
    for (int y = part.top; y < part.bottom; ++y) {
      row.clear();
      for (int x = part.left; x < part.right; ++x)
        row.push_back(!first && indices[at(x, y)] == before_[at(x, y)] ? GifByteType{unchanged} : indices[at(x, y)]);
      if (EGifPutLine(gif_, row.data(), static_cast<int>(row.size())) != GIF_OK) return false;
    }
    return true;
  }

  bool close() {
    if (gif_ == nullptr) return true;
    int error = 0;
    const bool closed = EGifCloseFile(std::exchange(gif_, nullptr), &error) == GIF_OK;
    return closed;
  }

  [[nodiscard]] std::optional<Problem> trouble() const {
    if (trouble_) return trouble_;
    Problem problem;
    problem.file = name_;
    problem.advice = "the frames cannot be written as a GIF";
    return problem;
  }

  FileBeside file_;
  std::string name_;
  FilmFormat format_;
  ColourCount count_;
  std::optional<NearestColour> nearest_;
  GifFileType* gif_ = nullptr;
  std::vector<GifByteType> before_;
  int done_ = 0;
  std::optional<Problem> trouble_;
};

} // namespace

Result<std::unique_ptr<FrameSink>> open_gif(const std::filesystem::path& path, const FilmFormat& format) {
  Result<FileBeside> file = FileBeside::open(path);
  if (!file) return file.problems();
  return std::unique_ptr<FrameSink>(std::make_unique<GifSink>(*std::move(file), path.string(), format));
}

} // namespace phasewright::film
