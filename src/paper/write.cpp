#include "paper/write.hpp"

#include "files/files.hpp"
#include "paper/draw_page.hpp"
#include "paper/layout.hpp"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <fmt/format.h>

#include <cassert>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <map>
#include <memory>
#include <string_view>

namespace phasewright::paper {

namespace {

struct Destroy {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  void operator()(cairo_t* cairo) const { cairo_destroy(cairo); }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroy>;
using Pencil = std::unique_ptr<cairo_t, Destroy>;

cairo_status_t append(void* bytes, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

double in_pt(double mm) {
  return mm / mm_per_pt;
}

// On one page of a surface, `scale` units to the millimetre.
void draw_scaled(cairo_surface_t* surface, double scale, const Page& page) {
  const Pencil cairo(cairo_create(surface));
  cairo_scale(cairo.get(), scale, scale);
  draw_page(cairo.get(), page);
}

void set_info(cairo_surface_t* pdf, const PrintInfo& info) {
  const auto set = [pdf](cairo_pdf_metadata_t what, const std::string& words) {
    if (!words.empty()) cairo_pdf_surface_set_metadata(pdf, what, words.c_str());
  };
  set(CAIRO_PDF_METADATA_TITLE, info.title);
  set(CAIRO_PDF_METADATA_AUTHOR, "Phasewright");
  set(CAIRO_PDF_METADATA_CREATOR, "Phasewright");
  set(CAIRO_PDF_METADATA_SUBJECT, info.subject);
  set(CAIRO_PDF_METADATA_KEYWORDS, info.keywords);
  // Without this cairo puts in the time of day. A PDF need not say when it was made (ISO 32000-1, 14.3.3).
  const std::string date = info.date.empty() ? "" : info.date + "T00:00:00Z";
  cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, date.empty() ? nullptr : date.c_str());
}

// Outermost entries of all pages, and what stands under each.
void add_outline(cairo_surface_t* pdf, const Print& print) {
  int parent = CAIRO_PDF_OUTLINE_ROOT;
  for (std::size_t number = 0; number < print.pages.size(); ++number)
    for (const Bookmark& bookmark : print.pages[number].bookmarks) {
      const std::string place = fmt::format("page={} pos=[0 {:.3f}]", number + 1, in_pt(bookmark.top_mm));
      const bool outermost = bookmark.level <= 1;
      const int entry =
          cairo_pdf_surface_add_outline(pdf, outermost ? CAIRO_PDF_OUTLINE_ROOT : parent, bookmark.title.c_str(),
                                        place.c_str(), CAIRO_PDF_OUTLINE_FLAG_OPEN);
      if (outermost) parent = entry;
    }
}

std::uint32_t crc_of(std::string_view bytes) {
  std::uint32_t crc = 0xffffffffU;
  for (const char byte : bytes) {
    crc ^= static_cast<unsigned char>(byte);
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1U) ^ ((crc & 1U) != 0U ? 0xedb88320U : 0U);
  }
  return ~crc;
}

std::string big_endian(std::uint32_t number) {
  std::string bytes;
  for (const unsigned shift : {24U, 16U, 8U, 0U}) bytes += static_cast<char>((number >> shift) & 0xffU);
  return bytes;
}

// Cairo does not write a PNG's resolution. Its chunk, pHYs, may stand anywhere before the pixels (ISO/IEC 15948,
// 11.3.5.3), so right behind the header, which comes first and has a fixed length.
void say_resolution(std::string& png, int dpi) {
  constexpr std::size_t header_ends = 8 + 4 + 4 + 13 + 4;
  constexpr double metres_per_inch = 0.0254;
  const auto per_metre = static_cast<std::uint32_t>(std::lround(dpi / metres_per_inch));
  const std::string chunk = "pHYs" + big_endian(per_metre) + big_endian(per_metre) + '\1';
  constexpr std::uint32_t data_bytes = 9;
  png.insert(header_ends, big_endian(data_bytes) + chunk + big_endian(crc_of(chunk)));
}

// Cairo numbers what an SVG refers to by a count of all it made since the program began. Counted anew, in the order
// they stand in, they are the same each time.
std::string with_plain_ids(const std::string& svg) {
  const auto is_of_id = [](char letter) {
    return letter == '-' || letter == '_' || std::isalnum(static_cast<unsigned char>(letter)) != 0;
  };
  const auto id_at = [&](std::size_t at) {
    std::size_t end = at;
    while (end < svg.size() && is_of_id(svg[end])) ++end;
    return svg.substr(at, end - at);
  };
  constexpr std::string_view marks = " id=\"";
  std::map<std::string, std::string> plain;
  for (std::size_t at = svg.find(marks); at != std::string::npos; at = svg.find(marks, at + 1))
    plain.emplace(id_at(at + marks.size()), fmt::format("n{}", plain.size() + 1));
  std::string text;
  for (std::size_t at = 0; at < svg.size(); ++at) {
    const bool refers = svg[at] == '#';
    const bool named = svg.compare(at, marks.size(), marks) == 0;
    const std::string_view before = refers ? "#" : marks;
    const auto known = refers || named ? plain.find(id_at(at + before.size())) : plain.end();
    if (known == plain.end()) {
      text += svg[at];
      continue;
    }
    text.append(before).append(known->second);
    at += before.size() + known->first.size() - 1;
  }
  return text;
}

} // namespace

std::optional<FileKind> file_kind(const std::string& path) {
  const std::filesystem::path name(path);
  if (name.stem().empty()) return std::nullopt;
  const std::string ending = name.extension().string();
  if (ending == ".pdf") return FileKind::pdf;
  if (ending == ".svg") return FileKind::svg;
  if (ending == ".png") return FileKind::png;
  return std::nullopt;
}

std::string to_pdf(const Print& print) {
  assert(!print.pages.empty());
  std::string bytes;
  const glm::dvec2 first_mm = print.pages.front().size_mm;
  const Surface pdf(cairo_pdf_surface_create_for_stream(append, &bytes, in_pt(first_mm.x), in_pt(first_mm.y)));
  cairo_pdf_surface_restrict_to_version(pdf.get(), CAIRO_PDF_VERSION_1_5);
  set_info(pdf.get(), print.info);
  for (const Page& page : print.pages) {
    cairo_pdf_surface_set_size(pdf.get(), in_pt(page.size_mm.x), in_pt(page.size_mm.y));
    draw_scaled(pdf.get(), in_pt(1.0), page);
    cairo_surface_show_page(pdf.get());
  }
  add_outline(pdf.get(), print);
  cairo_surface_finish(pdf.get());
  expect_sound(cairo_surface_status(pdf.get()));
  return bytes;
}

std::string to_svg(const Page& page) {
  std::string bytes;
  const Surface svg(cairo_svg_surface_create_for_stream(append, &bytes, in_pt(page.size_mm.x), in_pt(page.size_mm.y)));
  cairo_svg_surface_set_document_unit(svg.get(), CAIRO_SVG_UNIT_PT);
  draw_scaled(svg.get(), in_pt(1.0), page);
  cairo_surface_finish(svg.get());
  expect_sound(cairo_surface_status(svg.get()));
  return with_plain_ids(bytes);
}

std::string to_png(const Page& page, int dpi) {
  assert(dpi > 0);
  const double px_per_mm = dpi / 25.4;
  const auto px = [px_per_mm](double mm) { return static_cast<int>(std::lround(mm * px_per_mm)); };
  const Surface image(cairo_image_surface_create(CAIRO_FORMAT_RGB24, px(page.size_mm.x), px(page.size_mm.y)));
  expect_sound(cairo_surface_status(image.get()));
  {
    const Pencil cairo(cairo_create(image.get()));
    cairo_set_source_rgb(cairo.get(), 1.0, 1.0, 1.0);
    cairo_paint(cairo.get());
  }
  draw_scaled(image.get(), px_per_mm, page);
  std::string bytes;
  expect_sound(cairo_surface_write_to_png_stream(image.get(), append, &bytes));
  say_resolution(bytes, dpi);
  return bytes;
}

void draw_over(const Page& page, int width_px, int height_px, std::span<std::uint8_t> rgba) {
  assert(rgba.size() == 4 * static_cast<std::size_t>(width_px) * static_cast<std::size_t>(height_px));
  const Surface image(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, height_px));
  expect_sound(cairo_surface_status(image.get()));
  cairo_surface_flush(image.get());
  unsigned char* const rows = cairo_image_surface_get_data(image.get());
  const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(image.get()));
  const auto width = static_cast<std::size_t>(width_px);
  // Cairo keeps a pixel in four bytes, in the machine's own order.
  const auto each_pixel = [&](auto use) {
    for (std::size_t i = 0; i < rgba.size() / 4; ++i) use(rows + i / width * stride + 4 * (i % width), &rgba[4 * i]);
  };
  each_pixel([](unsigned char* at, const std::uint8_t* from) {
    const std::uint32_t pixel =
        (std::uint32_t{from[0]} << 16U) | (std::uint32_t{from[1]} << 8U) | std::uint32_t{from[2]};
    std::memcpy(at, &pixel, sizeof pixel);
  });
  cairo_surface_mark_dirty(image.get());
  draw_scaled(image.get(), width_px / page.size_mm.x, page);
  cairo_surface_flush(image.get());
  each_pixel([](const unsigned char* at, std::uint8_t* to) {
    std::uint32_t pixel = 0;
    std::memcpy(&pixel, at, sizeof pixel);
    to[0] = static_cast<std::uint8_t>(pixel >> 16U);
    to[1] = static_cast<std::uint8_t>(pixel >> 8U);
    to[2] = static_cast<std::uint8_t>(pixel);
  });
}

std::vector<std::string> file_names(const Print& print, const std::string& path) {
  if (file_kind(path) == FileKind::pdf || print.pages.size() == 1) return {path};
  const std::filesystem::path whole(path);
  std::vector<std::string> names;
  for (std::size_t number = 1; number <= print.pages.size(); ++number) {
    const std::string name = fmt::format("{}-{}{}", whole.stem().string(), number, whole.extension().string());
    names.push_back((whole.parent_path() / name).string());
  }
  return names;
}

Result<std::vector<std::string>> write_print(const Print& print, const std::string& path, int dpi) {
  const std::optional<FileKind> kind = file_kind(path);
  assert(kind.has_value());
  std::vector<std::string> names = file_names(print, path);
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::string bytes = *kind == FileKind::pdf   ? to_pdf(print)
                              : *kind == FileKind::svg ? to_svg(print.pages[i])
                                                       : to_png(print.pages[i], dpi);
    if (std::optional<Problem> trouble = write_atomic(names[i], bytes)) return *std::move(trouble);
  }
  return names;
}

} // namespace phasewright::paper
