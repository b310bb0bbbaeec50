#include "paper/sheet_html.hpp"

#include "paper/key_drawings.hpp"
#include "paper/sheet_plots.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <iterator>
#include <string_view>

namespace phasewright::paper {

namespace {

// Figures in columns of one width; tables become cards where there is no room for columns.
constexpr std::string_view style = R"(
:root { color-scheme: light dark; --paper: #fbfaf7; --ink: #1c2024; --quiet: #55595e; --line: #cfccc4; --wash: #f1efea;
  --accent: #0f6b73; --inlet: #005f99; --exhaust: #a33f08; --bad: #a82a15; --doubt: #7a4f00; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #1b1e21; --ink: #eceae4; --quiet: #b3b6b9; --line: #43474b; --wash: #26292d;
    --accent: #6fc9cf; --inlet: #7cc0ee; --exhaust: #f0a070; --bad: #ff9a86; --doubt: #e8c06a; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 15px/1.45 "DejaVu Sans", system-ui, sans-serif; }
main { max-width: 60rem; margin: 0 auto; padding: 1.2rem 1rem 3rem; }
h1 { font-size: 1.6rem; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 1.1rem; margin: 2rem 0 .5rem; color: var(--accent); }
header { border-bottom: 3px solid var(--accent); padding-bottom: .6rem; }
p { margin: .35rem 0; overflow-wrap: anywhere; }
.quiet, .note, caption { color: var(--quiet); }
.note { font-size: .85rem; }
.good { color: var(--accent); font-weight: bold; }
.bad { color: var(--bad); font-weight: bold; }
.warning { color: var(--doubt); font-weight: bold; }
.standing { font-weight: normal; }
.verdict { border: 2px solid currentColor; background: var(--wash); padding: .7rem .9rem; margin: 1rem 0; }
table { border-collapse: collapse; width: 100%; margin: .7rem 0; font-variant-numeric: tabular-nums; font-size: .92rem; }
caption { text-align: left; font-size: .85rem; }
th, td { text-align: left; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid var(--line); vertical-align: top;
  overflow-wrap: anywhere; }
thead th { color: var(--quiet); overflow-wrap: normal; }
tbody th { font-weight: normal; }
@media (min-width: 40.01rem) { td.figure { text-align: right; } }
tr.inlet th { color: var(--inlet); }
tr.exhaust th { color: var(--exhaust); }
tr.good td, tr.good th { color: var(--accent); font-weight: bold; }
tr.bad td, tr.bad th { color: var(--bad); font-weight: bold; }
tr.warning td, tr.warning th { color: var(--doubt); font-weight: normal; }
td.bad { color: var(--bad); font-weight: bold; }
figure { margin: 1rem 0; max-width: 34rem; background: #fff; padding: .5rem; border: 1px solid var(--line); }
figure img { display: block; width: 100%; height: auto; }
figcaption { color: #1c2024; font-size: .85rem; padding-top: .4rem; }
.drawings { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 20rem), 1fr)); gap: 0 1rem; }
ul.checks { list-style: none; padding: 0; }
ul.checks li { display: flex; gap: .7rem; padding: .35rem 0; border-bottom: 1px solid var(--line); align-items: baseline; }
ul.checks label { flex: 1; min-width: 0; overflow-wrap: anywhere; }
ul.checks input { width: 1.1rem; height: 1.1rem; flex: none; }
.blank { flex: 0 1 9rem; border-bottom: 1px solid var(--ink); align-self: stretch; }
.signatures { display: grid; grid-template-columns: repeat(auto-fit, minmax(10rem, 1fr)); gap: 2.5rem 1.5rem; margin-top: 3rem; }
.signatures div { border-top: 1px solid var(--ink); color: var(--quiet); font-size: .85rem; }
@media (max-width: 40rem) {
  table, tbody, tr, td, tbody th, caption { display: block; width: 100%; }
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  tr { border-bottom: 1px solid var(--line); padding: .4rem 0; }
  td, tbody th { border: 0; padding: .1rem 0; text-align: left; }
  td::before { content: attr(data-head) ": "; color: var(--quiet); font-weight: normal; }
  tbody th { font-weight: bold; } }
@media print { body { font-size: 10pt; } figure, tr, li { break-inside: avoid; } h2 { break-after: avoid; } }
)";

std::string escaped(std::string_view words) {
  std::string safe;
  for (const char c : words) {
    switch (c) {
    case '&':
      safe += "&amp;";
      break;
    case '<':
      safe += "&lt;";
      break;
    case '>':
      safe += "&gt;";
      break;
    case '"':
      safe += "&quot;";
      break;
    default:
      safe += c;
    }
  }
  return safe;
}

const char* to_class(SheetTone tone) {
  switch (tone) {
  case SheetTone::plain:
    return "plain";
  case SheetTone::quiet:
    return "quiet";
  case SheetTone::good:
    return "good";
  case SheetTone::warning:
    return "warning";
  case SheetTone::bad:
    return "bad";
  case SheetTone::inlet:
    return "inlet";
  case SheetTone::exhaust:
    return "exhaust";
  }
  return "";
}

// RFC 4648.
std::string base64(std::string_view bytes) {
  constexpr std::string_view digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  for (std::size_t at = 0; at < bytes.size(); at += 3) {
    std::uint32_t three = 0;
    for (std::size_t i = 0; i < 3; ++i)
      three = three << 8U | (at + i < bytes.size() ? static_cast<std::uint8_t>(bytes[at + i]) : 0U);
    for (std::size_t i = 0; i < 4; ++i)
      text += at + i <= bytes.size() || i < 2 ? digits[three >> (18U - 6U * i) & 0x3FU] : '=';
  }
  return text;
}

class Writer {
public:
  [[nodiscard]] std::string take() { return std::move(html_); }

  template <class... Parts>
  void add(fmt::format_string<Parts...> format, Parts&&... parts) {
    fmt::format_to(std::back_inserter(html_), format, std::forward<Parts>(parts)...);
  }

  void words(const SheetWords& one) { add("<p class=\"{}\">{}</p>\n", to_class(one.tone), escaped(one.words)); }
  // With a sign, which tells as much as its colour.
  void judged(const char* also, const SheetWords& one) {
    const char* sign = one.tone == SheetTone::good ? "✓" : one.tone == SheetTone::bad ? "✗" : "△";
    add("<p class=\"{} {}\"><span aria-hidden=\"true\">{}</span> {}</p>\n", also, to_class(one.tone), sign,
        escaped(one.words));
  }

  void table(const SheetTable& table) {
    if (table.rows.empty()) return;
    add("<table>\n<thead><tr>");
    for (const std::string& head : table.head) add("<th scope=\"col\">{}</th>", escaped(head));
    add("</tr></thead>\n<tbody>\n");
    for (const SheetRow& row : table.rows) {
      add("<tr class=\"{}\"><th scope=\"row\">{}</th>", to_class(row.tone), escaped(row.cells.front().words));
      for (std::size_t i = 1; i < row.cells.size(); ++i)
        add("<td data-head=\"{}\" class=\"{}{}\">{}</td>", escaped(table.head[i]), row.cells[i].figure ? "figure " : "",
            to_class(row.cells[i].tone), escaped(row.cells[i].words));
      add("</tr>\n");
    }
    add("</tbody></table>\n");
  }

  void part(const SheetPart& part) {
    if (part.words.empty() && part.tables.empty()) return;
    add("<h2>{}</h2>\n", escaped(part.title));
    for (const SheetWords& one : part.words) words(one);
    for (const SheetTable& one : part.tables) table(one);
    for (const std::string& note : part.notes) add("<p class=\"note\">{}</p>\n", escaped(note));
  }

  // Drawn in a box of that size (mm); `alt` says what is to be seen.
  template <class Draw>
  void drawing(glm::dvec2 size_mm, const std::string& alt, const std::string& caption, const Draw& draw) {
    Page page{.size_mm = size_mm, .elements = {}, .bookmarks = {}};
    Canvas canvas(page);
    draw(canvas, Box{0.0, 0.0, size_mm.x, size_mm.y});
    add("<figure><img src=\"data:image/svg+xml;base64,{}\" alt=\"{}\"><figcaption>{}</figcaption></figure>\n",
        base64(to_svg(page)), escaped(alt), escaped(caption));
  }

private:
  std::string html_;
};

void write_keys(Writer& out, const std::vector<SheetKey>& keys) {
  if (keys.empty()) return;
  out.add("<div class=\"drawings\">\n");
  for (const auto& [key, name] : keys) {
    const std::string words = fmt::format("{}: {}", name, key.picture.words);
    const double scale = shaft_end_scale(key);
    constexpr double section_scale = 5.0;
    out.drawing(shaft_end_size_mm(key, scale), words, words + ". The shaft’s end, not to scale.",
                [&key, scale](Canvas& canvas, const Box&) {
                  draw_shaft_end(canvas, {0.0, 0.0}, key, scale, "shaft’s end at overlap TDC of No. 1");
                });
    out.drawing(section_size_mm(key, section_scale), words + ", its section", name + ", its section, not to scale.",
                [&key](Canvas& canvas, const Box&) {
                  draw_section(canvas, {0.0, 0.0}, key, section_scale);
                });
  }
  out.add("</div>\n");
}

std::string states_words(const BuildSheet& sheet) {
  if (sheet.states.size() < 2) return sheet.states.front().name;
  return fmt::format("{} strong, {} pale", sheet.states.back().name, sheet.states.front().name);
}

void write_events(Writer& out, const BuildSheet& sheet) {
  out.part(sheet.events);
  if (sheet.events.tables.empty()) return;
  out.add("<div class=\"drawings\">\n");
  out.drawing({98.0, 76.0}, "Ring of valve events about the dead centres; the table above has its figures.",
              "Valve events, " + states_words(sheet),
              [&](Canvas& canvas, const Box& box) { draw_event_ring(canvas, inset(box, 2.0), sheet); });
  out.drawing({120.0, 76.0}, "Lift of inlet and exhaust valve of No. 1 against crank degrees.",
              "Valve lifts, " + states_words(sheet),
              [&](Canvas& canvas, const Box& box) { draw_lift_curves(canvas, box, sheet); });
  out.add("</div>\n");
}

void write_checks(Writer& out, const BuildSheet& sheet) {
  if (!sheet.fasteners.rows.empty()) {
    out.add("<h2>Fasteners, by the maker’s figures</h2>\n");
    out.table(sheet.fasteners);
  }
  out.add("<h2>To be ticked off</h2>\n<ul class=\"checks\">\n");
  int number = 0;
  for (const SheetRow& row : sheet.fasteners.rows)
    out.add("<li><input type=\"checkbox\" id=\"check{0}\"><label for=\"check{0}\">{1}, {2}</label></li>\n", ++number,
            escaped(row.cells[0].words), escaped(row.cells[1].words));
  for (const SheetCheck& check : sheet.checks)
    out.add("<li><input type=\"checkbox\" id=\"check{0}\"><label for=\"check{0}\">{1}</label>{2}</li>\n", ++number,
            escaped(check.words), check.blank ? "<span class=\"blank\"></span>" : "");
  out.add("</ul>\n<div class=\"signatures\"><div>fitted by</div><div>checked by</div><div>date</div></div>\n");
}

} // namespace

std::string sheet_html(const BuildSheet& sheet) {
  Writer out;
  out.add("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
          "content=\"width=device-width, initial-scale=1\">\n<title>Build sheet: {}</title>\n<style>{}</style>\n"
          "</head>\n<body>\n<main>\n<header><h1>{}</h1>\n",
          escaped(sheet.title), style, escaped(sheet.title));
  out.add("<p class=\"quiet\">Build sheet{}{}</p></header>\n",
          sheet.engine == sheet.title ? std::string() : " · " + escaped(sheet.engine),
          sheet.date.empty() ? std::string() : " · readings of " + escaped(sheet.date));
  out.judged("verdict", sheet.verdict);
  for (const SheetWords& one : sheet.standings) out.judged("standing", one);
  out.part(sheet.correction);
  write_keys(out, sheet.keys);
  out.part(sheet.clearances);
  out.add("<h2>Cautions</h2>\n<ul>\n");
  for (const std::string& caution : sheet.cautions) out.add("<li>{}</li>\n", escaped(caution));
  out.add("</ul>\n");
  write_events(out, sheet);
  out.part(sheet.readings);
  out.part(sheet.alignment);
  write_checks(out, sheet);
  out.part(sheet.as_read);
  out.add("</main>\n</body>\n</html>\n");
  return out.take();
}

} // namespace phasewright::paper
