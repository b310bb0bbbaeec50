#include "viewer/by_hand.hpp"

#include "geometry/angle.hpp"
#include "mechanics/strand.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace phasewright::viewer {

namespace {

constexpr int greatest_lay = 10;

// A camshaft's sprocket as the picture shows it.
struct OnScreen {
  glm::dvec2 centre_px{};
  double radius_px = 0;
};

std::optional<OnScreen> sprocket_on_screen(const Frame& frame, const ScreenRect& rect, std::size_t camshaft) {
  const Engine& engine = frame.bench.engine();
  const auto place = find_cam_sprocket(engine, engine.camshafts[camshaft].name);
  if (!place) return std::nullopt;
  const Sprocket& sprocket = sprocket_at(engine, *place);
  const Box key = frame.picture.model().key_box(camshaft, frame.view.apart);
  const glm::dvec3 centre_mm{sprocket.centre_mm, (key.low_mm.z + key.high_mm.z) / 2.0};
  const double radius_mm = pitch_radius_mm(engine.loops[place->loop].chain.pitch_mm, sprocket.teeth);
  const glm::dvec2 size{static_cast<double>(rect.width()), static_cast<double>(rect.height())};
  const auto centre = frame.view.camera.project(centre_mm, size);
  if (!centre) return std::nullopt;
  OnScreen shown{glm::dvec2(*centre), 0.0};
  for (const glm::dvec3 out : {glm::dvec3{radius_mm, 0, 0}, glm::dvec3{0, radius_mm, 0}})
    if (const auto rim = frame.view.camera.project(centre_mm + out, size))
      shown.radius_px = std::max(shown.radius_px, glm::distance(glm::dvec2(*rim), shown.centre_px));
  return shown;
}

// Of those under the pointer the one whose middle is nearest; the chain round it counts as its own.
std::optional<std::size_t> camshaft_at(const Frame& frame, const ScreenRect& rect, glm::dvec2 pointer) {
  constexpr double with_chain = 1.15;
  std::optional<std::size_t> found;
  double nearest_px = 0.0;
  for (std::size_t k = 0; k < frame.bench.engine().camshafts.size(); ++k) {
    const auto shown = sprocket_on_screen(frame, rect, k);
    if (!shown) continue;
    const double px = glm::distance(pointer, shown->centre_px);
    if (px > with_chain * shown->radius_px || (found && px >= nearest_px)) continue;
    found = k;
    nearest_px = px;
  }
  return found;
}

// Clockwise from straight up, as the screen shows it.
double clock_deg(glm::dvec2 pointer, glm::dvec2 centre) {
  return degrees(std::atan2(pointer.x - centre.x, centre.y - pointer.y));
}

// Teeth for a turn of the hand: forward when it goes as the engine runs, whichever end that is looked at from.
int teeth_for(const Frame& frame, std::size_t camshaft, double turned_deg) {
  const Engine& engine = frame.bench.engine();
  const int teeth = sprocket_at(engine, *find_cam_sprocket(engine, engine.camshafts[camshaft].name)).teeth;
  const double running = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  const bool from_behind = cos_deg(frame.view.camera.yaw_deg) < 0.0;
  return static_cast<int>(std::lround(turned_deg * running * (from_behind ? -1.0 : 1.0) * teeth / 360.0));
}

void lay_by_hand(Frame& frame, const ScreenRect& rect, glm::dvec2 pointer) {
  View& view = frame.view;
  ChainInHand& hand = *view.chain_in_hand;
  const auto shown = sprocket_on_screen(frame, rect, hand.camshaft);
  if (!shown) return;
  const double now_deg = clock_deg(pointer, shown->centre_px);
  hand.turned_deg += wrap_180(now_deg - hand.at_clock_deg);
  hand.at_clock_deg = now_deg;
  const Engine& engine = frame.bench.engine();
  const int lay = std::clamp(hand.lay + teeth_for(frame, hand.camshaft, hand.turned_deg), -greatest_lay, greatest_lay);
  Fitted planned = frame.bench.document().planned;
  if (lay == hand.asked) return; // what is refused is not asked for again
  hand.asked = lay;
  set_lay(planned, engine, hand.camshaft, lay);
  frame.actions.planned = planned;
  frame.actions.what = "chain laid";
  frame.actions.field = "plan.lay";
}

} // namespace

std::optional<Step> step_of_part(std::string_view name) {
  // The first that is met counts: a "dial on the inlet valve" is no valve.
  static constexpr std::array<std::pair<std::string_view, Step>, 31> belong{{
      {"dial on the camshaft", Step::end_float},
      {"camshaft's end", Step::end_float},
      {"dial", Step::readings},
      {"piston stop", Step::readings},
      {"wheel", Step::readings},
      {"retaining plate", Step::end_float},
      {"boss", Step::end_float},
      {"shim", Step::alignment},
      {"straight-edge", Step::alignment},
      {"feeler", Step::alignment},
      {"key", Step::correction},
      {"spring", Step::valves},
      {"tappet", Step::valves},
      {"pushrod", Step::valves},
      {"rocker", Step::valves},
      {"finger", Step::valves},
      {"bucket", Step::valves},
      {"lobe", Step::valves},
      {"camshaft", Step::valves},
      {"valve", Step::clearance},
      {"seat and guide", Step::clearance},
      {"piston", Step::clearance},
      {"mark", Step::base_timing},
      {"chain", Step::base_timing},
      {"strand", Step::base_timing},
      {"tensioner", Step::base_timing},
      {"guide", Step::base_timing},
      {"nut", Step::parts},
      {"sprocket", Step::parts},
      {"crank", Step::parts},
      {"shaft", Step::parts},
  }};
  const auto* const found =
      std::ranges::find_if(belong, [name](const auto& one) { return name.find(one.first) != std::string_view::npos; });
  return found == belong.end() ? std::nullopt : std::optional(found->second);
}

void turn_key_round(const Workbench& bench, const View& view, bool crank, Actions& actions) {
  Fitted planned = bench.document().planned;
  const double deg = crank ? planned.crank_key_deg : cam_key_at(planned, bench.engine(), view.camshaft);
  if (deg == 0.0) return; // a straight key is the same either way
  if (crank)
    planned.crank_key_deg = -deg;
  else
    set_cam_key(planned, bench.engine(), view.camshaft, -deg);
  actions.planned = planned;
  actions.what = crank ? "crank key turned round" : "cam key turned round";
}

bool work_by_hand(Frame& frame, const ScreenRect& rect) {
  const ImGuiIO& io = ImGui::GetIO();
  View& view = frame.view;
  const glm::dvec2 pointer{static_cast<double>(io.MousePos.x - rect.left),
                           static_cast<double>(io.MousePos.y - rect.top)};
  if (!ImGui::IsItemActive()) view.chain_in_hand.reset();
  if (ImGui::IsItemHovered() && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left) && !io.KeyCtrl) {
    const auto part =
        frame.picture.part_at(static_cast<int>(pointer.x * static_cast<double>(io.DisplayFramebufferScale.x)),
                              static_cast<int>(pointer.y * static_cast<double>(io.DisplayFramebufferScale.y)));
    if (part) frame.actions.step = step_of_part(frame.picture.scene().parts[*part].name);
  }
  if (ImGui::IsItemActivated() && io.KeyCtrl && ImGui::IsMouseDown(ImGuiMouseButton_Left))
    if (const auto camshaft = camshaft_at(frame, rect, pointer)) {
      const auto shown = sprocket_on_screen(frame, rect, *camshaft);
      const int lay = lay_at(frame.bench.document().planned, frame.bench.engine(), *camshaft);
      view.chain_in_hand = ChainInHand{*camshaft, clock_deg(pointer, shown->centre_px), 0.0, lay, lay};
    }
  if (!view.chain_in_hand) return false;
  lay_by_hand(frame, rect, pointer);
  return true;
}

} // namespace phasewright::viewer
