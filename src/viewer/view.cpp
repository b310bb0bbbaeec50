#include "viewer/view.hpp"

namespace phasewright::viewer {

void View::open(ViewerPage page) {
  switch (page) {
  case ViewerPage::parts:
  case ViewerPage::key:
  case ViewerPage::spread:
    step = Step::parts;
    parts_page = page == ViewerPage::parts ? PartsPage::figures
                 : page == ViewerPage::key ? PartsPage::keys
                                           : PartsPage::spread;
    return;
  case ViewerPage::alignment:
    step = Step::alignment;
    return;
  case ViewerPage::end_float:
    step = Step::end_float;
    return;
  case ViewerPage::timing:
    step = Step::base_timing;
    return;
  case ViewerPage::events:
  case ViewerPage::lobes:
  case ViewerPage::compression:
    step = Step::valves;
    valves_page = page == ViewerPage::events  ? ValvesPage::events
                  : page == ViewerPage::lobes ? ValvesPage::lobes
                                              : ValvesPage::compression;
    return;
  case ViewerPage::degree:
  case ViewerPage::found:
  case ViewerPage::explain:
  case ViewerPage::earlier:
    step = Step::readings;
    readings_page = page == ViewerPage::degree    ? ReadingsPage::taken
                    : page == ViewerPage::found   ? ReadingsPage::found
                    : page == ViewerPage::explain ? ReadingsPage::causes
                                                  : ReadingsPage::earlier;
    return;
  case ViewerPage::correction:
    step = Step::correction;
    return;
  case ViewerPage::clearance:
  case ViewerPage::phase:
  case ViewerPage::readings:
    step = Step::clearance;
    clearance_page = page == ViewerPage::clearance ? ClearancePage::least
                     : page == ViewerPage::phase   ? ClearancePage::phase
                                                   : ClearancePage::readings;
    return;
  case ViewerPage::sheet:
    step = Step::sheet;
    return;
  }
}

bool magnifies_gaps(Step step) {
  return step == Step::alignment || step == Step::end_float;
}

void take_apart(View& view, double share, Actions& actions) {
  constexpr double near_end = 0.03;
  view.apart = share < near_end ? 0.0 : share > 1.0 - near_end ? 1.0 : share;
  actions.fit_again = true;
}

void cut_keyway(View& view, bool cut, Actions& actions) {
  view.section = cut;
  actions.go_to = cut ? NamedView::key : view.subject;
}

double& magnified(View& view) {
  return magnifies_gaps(view.step) ? view.magnify_gaps : view.magnify_key_step;
}

} // namespace phasewright::viewer
