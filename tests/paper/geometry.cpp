#include "paper/geometry.hpp"

#include "paper/outside.hpp"

#include <fmt/format.h>

#include <cmath>
#include <regex>

namespace phasewright::testing {

namespace {

constexpr double mm_per_pt = 25.4 / 72.0;

// x' = a x + c y + e, y' = b x + d y + f
struct Matrix {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;

  [[nodiscard]] glm::dvec2 at(glm::dvec2 v) const { return {a * v.x + c * v.y + e, b * v.x + d * v.y + f}; }
  // This one first, then `next`.
  [[nodiscard]] Matrix then(const Matrix& next) const {
    return {next.a * a + next.c * b, next.b * a + next.d * b,          next.a * c + next.c * d,
            next.b * c + next.d * d, next.a * e + next.c * f + next.e, next.b * e + next.d * f + next.f};
  }
};

// What a path's operators leave, until it is stroked or given up.
struct Pen {
  std::vector<DrawnLine> path;
  glm::dvec2 at{};
  glm::dvec2 began{};

  void move(glm::dvec2 to) { at = began = to; }
  void line(glm::dvec2 to) {
    path.push_back({at, to});
    at = to;
  }
  void jump(glm::dvec2 to) { at = to; } // along a curve, which is no straight piece
};

// The content of the page, and its height.
struct Content {
  std::string operators;
  double height_pt = 0;
};

Content content_of(const std::string& path, int page) {
  const std::string spread = said_by(fmt::format("qpdf --qdf --object-streams=disable '{}' -", path));
  Content content;
  const std::string here = fmt::format("%% Page {}\n", page);
  const std::size_t begins = spread.find(here);
  REQUIRE(begins != std::string::npos);
  const std::size_t box = spread.find("/MediaBox [", begins);
  double width = 0;
  double left = 0;
  double bottom = 0;
  REQUIRE(std::sscanf(spread.c_str() + box, "/MediaBox [ %lf %lf %lf %lf", &left, &bottom, &width,
                      &content.height_pt) == 4);
  const std::size_t body = spread.find(fmt::format("%% Contents for page {}\n", page));
  REQUIRE(body != std::string::npos);
  const std::size_t from = spread.find("stream\n", body) + 7;
  content.operators = spread.substr(from, spread.find("\nendstream", from) - from);
  return content;
}

class PdfReader {
public:
  explicit PdfReader(double height_pt) : height_pt_(height_pt) {}

  void take(const std::string& word) {
    char* end = nullptr;
    const double number = std::strtod(word.c_str(), &end);
    if (end != word.c_str() && *end == '\0') {
      operands_.push_back(number);
      return;
    }
    act(word);
    operands_.clear();
  }

  std::vector<DrawnLine> lines;

private:
  [[nodiscard]] glm::dvec2 on_page(glm::dvec2 operand) const {
    const glm::dvec2 pt = matrix_.at(operand);
    return {pt.x * mm_per_pt, (height_pt_ - pt.y) * mm_per_pt};
  }
  [[nodiscard]] glm::dvec2 point(std::size_t from_last) const {
    const std::size_t at = operands_.size() - from_last;
    return on_page({operands_.at(at), operands_.at(at + 1)});
  }

  void act(const std::string& word) {
    if (word == "q") kept_.push_back(matrix_);
    if (word == "Q") {
      matrix_ = kept_.back();
      kept_.pop_back();
    }
    if (word == "cm")
      matrix_ =
          Matrix{operands_.at(0), operands_.at(1), operands_.at(2), operands_.at(3), operands_.at(4), operands_.at(5)}
              .then(matrix_);
    if (word == "m") pen_.move(point(2));
    if (word == "l") pen_.line(point(2));
    if (word == "c" || word == "v" || word == "y") pen_.jump(point(2));
    if (word == "re") {
      const glm::dvec2 corner{operands_.at(0), operands_.at(1)};
      const glm::dvec2 size{operands_.at(2), operands_.at(3)};
      pen_.move(on_page(corner));
      pen_.line(on_page({corner.x + size.x, corner.y}));
      pen_.line(on_page(corner + size));
      pen_.line(on_page({corner.x, corner.y + size.y}));
      pen_.line(pen_.began);
    }
    if (word == "h" || word == "s") pen_.line(pen_.began);
    if (word == "S" || word == "s" || word == "B") lines.insert(lines.end(), pen_.path.begin(), pen_.path.end());
    if (word == "S" || word == "s" || word == "B" || word == "f" || word == "n" || word == "f*" || word == "W") {
      if (word != "W") pen_ = {};
    }
  }

  double height_pt_;
  Matrix matrix_;
  std::vector<Matrix> kept_;
  std::vector<double> operands_;
  Pen pen_;
};

std::string attribute(const std::string& tag, const std::string& name) {
  const std::string opening = " " + name + "=\"";
  const std::size_t at = tag.find(opening);
  if (at == std::string::npos) return "";
  const std::size_t from = at + opening.size();
  return tag.substr(from, tag.find('"', from) - from);
}

void add_svg_path(const std::string& data, const Matrix& matrix, double mm_per_unit, std::vector<DrawnLine>& lines) {
  std::istringstream words(data);
  Pen pen;
  const auto point = [&] {
    glm::dvec2 at{};
    words >> at.x >> at.y;
    return matrix.at(at) * mm_per_unit;
  };
  for (std::string word; words >> word;) {
    if (word == "M") pen.move(point());
    if (word == "L") pen.line(point());
    if (word == "Z") pen.line(pen.began);
    if (word == "C") {
      static_cast<void>(point());
      static_cast<void>(point());
      pen.jump(point());
    }
  }
  lines.insert(lines.end(), pen.path.begin(), pen.path.end());
}

} // namespace

double DrawnLine::length_mm() const {
  return std::hypot(to_mm.x - from_mm.x, to_mm.y - from_mm.y);
}

std::vector<DrawnLine> lines_of_pdf(const std::string& path, int page) {
  const Content content = content_of(path, page);
  PdfReader reader(content.height_pt);
  // Strings and arrays stand with text and dashes, which are not looked at.
  const std::string plain =
      std::regex_replace(content.operators, std::regex(R"(\((\\.|[^\\)])*\)|<[^<>]*>|[\[\]])"), " ");
  std::istringstream words(plain);
  for (std::string word; words >> word;) reader.take(word);
  return reader.lines;
}

std::vector<DrawnLine> lines_of_svg(const std::string& path) {
  const std::string svg = bytes_of(path);
  const std::string root = svg.substr(svg.find("<svg"), svg.find('>', svg.find("<svg")) - svg.find("<svg"));
  double width_pt = 0;
  REQUIRE(std::sscanf(attribute(root, "width").c_str(), "%lfpt", &width_pt) == 1);
  double left = 0, top = 0, width = 0, height = 0;
  REQUIRE(std::sscanf(attribute(root, "viewBox").c_str(), "%lf %lf %lf %lf", &left, &top, &width, &height) == 4);
  const double mm_per_unit = width_pt / width * mm_per_pt;
  std::vector<DrawnLine> lines;
  // What letters are made of stands in <defs>, and has no stroke.
  for (std::size_t at = svg.find("<path", svg.find("</defs>")); at != std::string::npos;
       at = svg.find("<path", at + 1)) {
    const std::string tag = svg.substr(at, svg.find('>', at) - at);
    const bool stroked =
        tag.find("stroke:none") == std::string::npos && tag.find("stroke=\"none\"") == std::string::npos;
    if (!stroked) continue;
    Matrix matrix;
    const std::string transform = attribute(tag, "transform");
    if (!transform.empty()) {
      const std::string figures = std::regex_replace(transform, std::regex(","), " ");
      REQUIRE(std::sscanf(figures.c_str(), "matrix(%lf %lf %lf %lf %lf %lf)", &matrix.a, &matrix.b, &matrix.c,
                          &matrix.d, &matrix.e, &matrix.f) == 6);
    }
    add_svg_path(attribute(tag, "d"), matrix, mm_per_unit, lines);
  }
  return lines;
}

} // namespace phasewright::testing
