// phasewright_frame_times [--quick | --pictures FOLDER]: how long the demo's pictures take to draw, on whatever OpenGL
// there is without a display. --quick shows that it runs; --pictures writes every view in both themes instead.

#include "bench/plan.hpp"
#include "files/files.hpp"
#include "render/offscreen.hpp"
#include "scene/model.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <optional>
#include <stdexcept>
#include <string_view>

using namespace phasewright;

namespace {

constexpr std::array views{NamedView::end, NamedView::side, NamedView::key, NamedView::valve, NamedView::whole};

struct Demo {
  Mechanism planned;
  Mechanism fitted;
  SceneModel model;
};

Demo open() {
  const Result<Opened> opened = open_demo();
  if (!opened) throw std::runtime_error(to_text(opened.problems()));
  const Result<Mechanism> fitted = Mechanism::assemble(opened->engine, opened->build.fitted);
  const Result<Plan> plan = plan_corrections(*opened->engine, opened->build);
  if (!fitted || !plan) throw std::runtime_error("the demo build cannot be assembled or planned");
  const Result<Mechanism> planned =
      Mechanism::assemble(opened->engine, fitted_with(*opened->engine, *plan, plan->options.front()));
  if (!planned) throw std::runtime_error(to_text(planned.problems()));
  return {*planned, *fitted, SceneModel(opened->engine)};
}

Scene scene_at(const Demo& demo, double crank_deg) {
  SceneOptions options;
  options.crank_deg = crank_deg;
  return demo.model.compose(demo.planned, &demo.fitted, options);
}

std::size_t triangle_count(const Demo& demo, const Scene& scene) {
  std::size_t count = 0;
  for (const Instance& instance : scene.instances) count += demo.model.meshes().at(instance.mesh).indices.size() / 3;
  return count;
}

struct FrameTime {
  double wall_ms = 0;
  double processor_ms = 0; // of all threads together: what a busy machine does not stretch
};

double median(std::vector<double> values) {
  std::ranges::nth_element(values, values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2));
  return values[values.size() / 2];
}

// Frames of a turning drive, each waited for.
FrameTime time_frames(Renderer& renderer, const Demo& demo, NamedView view, RenderSize size, bool smooth, int frames) {
  const Camera camera = frame_view(demo.model, view, {size.width_px, size.height_px});
  std::vector<Scene> scenes;
  for (int i = 0; i < frames; ++i) scenes.push_back(scene_at(demo, 2.0 * i));
  std::vector<double> wall_ms, processor_ms;
  renderer.draw(scenes[0], camera, Theme::day, size, smooth);
  renderer.finish();
  for (const Scene& scene : scenes) {
    const auto from = std::chrono::steady_clock::now();
    const std::clock_t processor_from = std::clock();
    renderer.draw(scene, camera, Theme::day, size, smooth);
    renderer.finish();
    wall_ms.push_back(std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count());
    processor_ms.push_back(1e3 * static_cast<double>(std::clock() - processor_from) / CLOCKS_PER_SEC);
  }
  return {median(std::move(wall_ms)), median(std::move(processor_ms))};
}

void print_times(Renderer& renderer, const Demo& demo, int frames) {
  const Scene scene = scene_at(demo, 0.0);
  fmt::print(
      "{}\n{} instances, {} triangles; medians of {} frames: wall time and time of all processors together (ms)\n\n",
      renderer.description(), scene.instances.size(), triangle_count(demo, scene), frames);
  constexpr std::array sizes{RenderSize{720, 570}, RenderSize{1280, 800}};
  fmt::print("{:<8}", "view");
  for (const RenderSize size : sizes)
    for (const char* how : {"plain", "smooth"})
      fmt::print("{:>22}", fmt::format("{}x{} {}", size.width_px, size.height_px, how));
  fmt::print("\n");
  for (const NamedView view : views) {
    fmt::print("{:<8}", to_word(view));
    for (const RenderSize size : sizes)
      for (const bool smooth : {false, true}) {
        const FrameTime time = time_frames(renderer, demo, view, size, smooth, frames);
        fmt::print("{:>22}", fmt::format("{:.1f} {:.1f}", time.wall_ms, time.processor_ms));
      }
    fmt::print("\n");
    std::fflush(stdout);
  }
}

void write_pictures(Renderer& renderer, const Demo& demo, const std::filesystem::path& folder) {
  constexpr RenderSize size{1280, 800};
  const Scene scene = scene_at(demo, 41.0);
  for (const Theme theme : {Theme::day, Theme::night})
    for (const NamedView view : views)
      for (const bool smooth : {true, false}) {
        renderer.draw(scene, frame_view(demo.model, view, {size.width_px, size.height_px}), theme, size, smooth);
        write_png(renderer.read(), folder / fmt::format("{}-{}{}.png", to_word(view),
                                                        theme == Theme::day ? "day" : "night", smooth ? "" : "-plain"));
      }
}

} // namespace

int main(int argc, char** argv) {
  const std::string_view how = argc > 1 ? argv[1] : "";
  const bool pictures = argc == 3 && how == "--pictures";
  if (argc > 1 && !pictures && !(argc == 2 && how == "--quick")) {
    fmt::print(stderr, "usage: phasewright_frame_times [--quick | --pictures FOLDER]\n");
    return 2;
  }
  try {
    const OffscreenContext context;
    Renderer renderer(OffscreenContext::get_proc(), PHASEWRIGHT_SOURCE_RESOURCES "/shaders");
    const Demo demo = open();
    renderer.upload(demo.model.meshes());
    if (pictures)
      write_pictures(renderer, demo, argv[2]);
    else
      print_times(renderer, demo, how == "--quick" ? 3 : 61);
  } catch (const std::exception& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
  return 0;
}
