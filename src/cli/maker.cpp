#include "cli/maker.hpp"

#include "cli/commands.hpp"
#include "cli/export.hpp"
#include "cli/film_shot.hpp"
#include "cli/printed.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <sstream>

namespace phasewright::cli {

namespace {

using viewer::Made;
using viewer::Order;
using viewer::Preview;

constexpr int most_preview_px = 2048; // on its longer side
constexpr std::size_t most_lines = 200;
constexpr std::size_t most_line_bytes = 8000;

Preview preview_of(paper::Print print) {
  const int leaves = static_cast<int>(print.pages.size());
  return {.leaves = leaves, .pages = std::move(print.pages)};
}

Preview preview_of(Image image, int leaves = 1) {
  return {.leaves = leaves, .image = std::move(image)};
}

Preview preview_of(const std::string& text) {
  Preview preview;
  std::istringstream lines(text);
  for (std::string line; preview.lines.size() < most_lines && std::getline(lines, line);)
    preview.lines.push_back(line.substr(0, most_line_bytes));
  return preview;
}

template <class T>
Result<Preview> preview_of(Result<T> drawn) {
  if (!drawn) return drawn.problems();
  return preview_of(*std::move(drawn));
}

// No larger than a screen has use for.
void limit_size(DrawOptions& draw) {
  const double share = static_cast<double>(most_preview_px) / std::max(draw.width_px, draw.height_px);
  if (share >= 1.0) return;
  draw.width_px = std::max(1, static_cast<int>(std::lround(draw.width_px * share)));
  draw.height_px = std::max(1, static_cast<int>(std::lround(draw.height_px * share)));
}

Result<Preview> film_preview(const Context& context, int frame) {
  Result<FilmShot> shot = FilmShot::make(context);
  if (!shot) return shot.problems();
  const int frames = context.options.film.frames;
  Result<film::DrawnDrive> drawn = shot->draw(std::clamp(frame, 0, frames - 1));
  if (!drawn) return drawn.problems();
  return preview_of(std::move(drawn->image), frames);
}

Result<Preview> export_preview(Context context) {
  switch (context.options.curves.kind) {
  case ExportKind::curves:
    return preview_of(curves_text(context));
  case ExportKind::answers:
    return preview_of(answers_text(context));
  case ExportKind::model:
    break;
  }
  context.options.draw.from = to_word(NamedView::whole);
  return preview_of(drive_image(context));
}

class CommandMaker final : public viewer::Maker {
public:
  explicit CommandMaker(Resources resources) : resources_(std::move(resources)) {}

  [[nodiscard]] Result<Preview> preview(const Opened& opened, const Order& order, int leaf) const override {
    return guarded<Preview>(opened, order, [leaf](const Command& command, Context context) -> Result<Preview> {
      limit_size(context.options.draw);
      if (command.run == sheet_command) return preview_of(sheet_print(context));
      if (command.run == wheel_command) return preview_of(wheel_print(context));
      if (command.run == key_card_command) return preview_of(key_card_print(context));
      if (command.run == film_command) return film_preview(context, leaf);
      if (command.run == picture_command) return preview_of(drive_image(context));
      return export_preview(std::move(context));
    });
  }

  [[nodiscard]] Result<Made> make(const Opened& opened, const Order& order, const film::Watch& watch) const override {
    return guarded<Made>(opened, order, [&watch](const Command& command, Context context) -> Result<Made> {
      context.watch = &watch;
      Result<Answer> answer = command.run(context);
      if (!answer) return answer.problems();
      return Made{.words = std::move(answer->page),
                  .stands_ill = answer->exit_code == exit_out_of_limits,
                  .cancelled = answer->exit_code == exit_cancelled};
    });
  }

private:
  // What the command line's user would read as its last words is a problem here.
  template <class T, class Work>
  Result<T> guarded(const Opened& opened, const Order& order, Work work) const {
    const Command* command = order.empty() ? nullptr : find_command(order.front());
    if (command == nullptr) return problem_at({}, {}, {}, "no such command");
    Parsed parsed = parse_options(*command, {order.begin() + 1, order.end()});
    if (parsed.fault) return *std::move(parsed.fault);
    if (!parsed.options) return problem_at({}, {}, {}, "no file is asked for");
    Context context{.options = *std::move(parsed.options),
                    .opened = opened,
                    .resources = resources_,
                    .started = std::chrono::steady_clock::now()};
    try {
      return work(*command, std::move(context));
    } catch (const std::exception& error) {
      return problem_at({}, {}, {}, error.what());
    }
  }

  Resources resources_;
};

} // namespace

std::shared_ptr<const viewer::Maker> command_maker(const Resources& resources) {
  return std::make_shared<CommandMaker>(resources);
}

} // namespace phasewright::cli
