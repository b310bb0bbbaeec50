#include "cli/cautions.hpp"

#include "mechanics/gap_cautions.hpp"
#include "mechanics/lobe_cautions.hpp"

namespace phasewright::cli {

std::vector<std::string> cautions_over(const Opened& opened) {
  std::vector<std::string> cautions = opened.cautions;
  for (std::string& caution : lobe_cautions(*opened.engine)) cautions.push_back(std::move(caution));
  for (std::string& caution : gap_cautions(*opened.engine)) cautions.push_back(std::move(caution));
  return cautions;
}

} // namespace phasewright::cli
