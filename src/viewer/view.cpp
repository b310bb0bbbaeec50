#include "viewer/view.hpp"

namespace phasewright::viewer {

void View::open(ViewerPage page) {
  switch (page) {
  case ViewerPage::parts:
    step = Step::parts;
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
  }
}

} // namespace phasewright::viewer
