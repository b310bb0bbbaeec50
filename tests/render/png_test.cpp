// Files are read back by another program's library: stb_image.
#include "render/rig.hpp"

#include <sys/resource.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <string>

#if defined(__GNUC__)
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wold-style-cast"
#pragma GCC diagnostic ignored "-Wunused-function"
#pragma GCC diagnostic ignored "-Wcast-align"
#endif
#define STB_IMAGE_IMPLEMENTATION
#define STB_IMAGE_STATIC
#define STBI_ONLY_PNG
#include <stb/stb_image.h>
#if defined(__GNUC__)
#pragma GCC diagnostic pop
#endif

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// A folder of its own, gone afterwards.
struct Folder {
  std::filesystem::path path;
  explicit Folder(const char* name)
      : path(std::filesystem::temp_directory_path() / (std::string("phasewright-png-") + name)) {
    std::filesystem::remove_all(path);
    std::filesystem::create_directories(path);
  }
  ~Folder() { std::filesystem::remove_all(path); }
  [[nodiscard]] std::ptrdiff_t files() const {
    return std::distance(std::filesystem::directory_iterator(path), std::filesystem::directory_iterator());
  }
};

Image chequered(int width_px, int height_px) {
  Image image{width_px, height_px, {}};
  for (int y = 0; y < height_px; ++y)
    for (int x = 0; x < width_px; ++x)
      for (const int value : {x * 7, y * 5, (x ^ y) * 3, 255})
        image.rgba.push_back(static_cast<std::uint8_t>(value & 255));
  return image;
}

Image read_back(const std::filesystem::path& path) {
  Image image;
  int channels = 0;
  const std::unique_ptr<stbi_uc, void (*)(void*)> pixels(
      stbi_load(path.c_str(), &image.width_px, &image.height_px, &channels, 4), stbi_image_free);
  if (pixels) image.rgba.assign(pixels.get(), pixels.get() + std::ptrdiff_t{4} * image.width_px * image.height_px);
  return image;
}

} // namespace

TEST_CASE("A picture comes back from its file as it was, and replaces what was there") {
  const Folder folder("round");
  for (const Image& image : {chequered(37, 21), chequered(1, 1), chequered(640, 3)}) {
    write_png(image, folder.path / "a.png");
    const Image back = read_back(folder.path / "a.png");
    CHECK(back.width_px == image.width_px);
    CHECK(back.height_px == image.height_px);
    CHECK(back.rgba == image.rgba);
    CHECK(folder.files() == 1);
  }
}

TEST_CASE("A picture that cannot be written says why and leaves nothing behind") {
  const Folder folder("refused");
  const Image image = chequered(200, 200);
  CHECK_THROWS_WITH(write_png(image, folder.path / "none" / "a.png"),
                    (folder.path / "none" / "a.png").string() + " cannot be written: No such file or directory");
  CHECK_THROWS_WITH(write_png(image, folder.path), containing("cannot be written: Is a directory"));
  CHECK_THROWS_WITH(write_png(image, "/dev/full"), "/dev/full cannot be written: No space left on device");
  CHECK_THROWS_WITH(write_png(Image{}, folder.path / "a.png"), containing("the picture is empty"));
  Image torn = image;
  torn.rgba.resize(100);
  CHECK_THROWS_WITH(write_png(torn, folder.path / "a.png"), containing("200 x 200"));
  CHECK(folder.files() == 0);
}

TEST_CASE("A write that fails half-way leaves the old file as it was and nothing beside it") {
  const Folder folder("old");
  write_png(chequered(10, 10), folder.path / "a.png");
  // A limit on the size of files stands in for a disk that is full.
  rlimit before{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &before) == 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{2000, before.rlim_max};
  REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
  std::string said;
  try {
    write_png(chequered(900, 700), folder.path / "a.png");
  } catch (const std::runtime_error& error) {
    said = error.what();
  }
  setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, handler);
  CHECK_THAT(said, containing("a.png cannot be written: File too large"));
  CHECK(read_back(folder.path / "a.png").rgba == chequered(10, 10).rgba);
  CHECK(folder.files() == 1);
}
