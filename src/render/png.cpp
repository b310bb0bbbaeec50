#include "render/renderer.hpp"

#include <fmt/format.h>

#define STB_IMAGE_WRITE_IMPLEMENTATION
#define STB_IMAGE_WRITE_STATIC
#define STBI_WRITE_NO_STDIO
#if defined(__GNUC__)
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wold-style-cast"
#pragma GCC diagnostic ignored "-Wunused-function"
#pragma GCC diagnostic ignored "-Wmissing-field-initializers"
#pragma GCC diagnostic ignored "-Wcast-align"
#endif
#include <stb/stb_image_write.h>
#if defined(__GNUC__)
#pragma GCC diagnostic pop
#endif

#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fcntl.h>
#include <stdexcept>
#include <string>

namespace phasewright {

namespace {

[[noreturn]] void fail(const std::filesystem::path& path, int error) {
  throw std::runtime_error(fmt::format("{} cannot be written: {}", path.string(), std::strerror(error)));
}

void append(void* to, void* data, int size) {
  auto* bytes = static_cast<std::string*>(to);
  bytes->append(static_cast<const char*>(data), static_cast<std::size_t>(size));
}

} // namespace

void write_png(const Image& image, const std::filesystem::path& path) {
  if (image.width_px <= 0 || image.height_px <= 0)
    throw std::runtime_error(fmt::format("{} cannot be written: the picture is empty", path.string()));
  if (image.rgba.size() != 4 * static_cast<std::size_t>(image.width_px) * static_cast<std::size_t>(image.height_px))
    throw std::runtime_error(fmt::format("{} cannot be written: {} bytes are not a picture of {} x {}", path.string(),
                                         image.rgba.size(), image.width_px, image.height_px));
  std::string bytes;
  if (stbi_write_png_to_func(append, &bytes, image.width_px, image.height_px, 4, image.rgba.data(),
                             image.width_px * 4) == 0)
    throw std::runtime_error(fmt::format("{} cannot be written: the picture is too large", path.string()));

  // A device or a pipe cannot be replaced by a file beside it.
  std::error_code unknown;
  const bool in_place = std::filesystem::exists(path, unknown) && !std::filesystem::is_regular_file(path, unknown);
  const std::filesystem::path written =
      in_place ? path : path.parent_path() / fmt::format(".{}.{}", path.filename().string(), getpid());
  const int file = open(written.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
  if (file < 0) fail(path, errno);
  int error = 0;
  for (std::size_t done = 0; done < bytes.size() && error == 0;) {
    const ssize_t count = write(file, bytes.data() + done, bytes.size() - done);
    if (count > 0)
      done += static_cast<std::size_t>(count);
    else if (errno != EINTR)
      error = errno;
  }
  if (close(file) != 0 && error == 0) error = errno;
  if (error == 0 && !in_place && std::rename(written.c_str(), path.c_str()) != 0) error = errno;
  if (error == 0) return;
  if (!in_place) unlink(written.c_str());
  fail(path, error);
}

} // namespace phasewright
