#include "cli/fit_page.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Answer fit_answer(const std::vector<std::string>& faults, const std::string& body,
                  const std::vector<std::string>& advice, Json json) {
  Answer answer;
  answer.exit_code = faults.empty() ? exit_done : exit_out_of_limits;
  for (const std::string& fault : faults) answer.page += fmt::format("OUT OF LIMITS: {}.\n", fault);
  answer.page += body;
  if (!advice.empty()) answer.page += "\n";
  for (const std::string& words : advice) answer.page += words + "\n";
  answer.page +=
      "\nThe engine maker's limits and a qualified engine builder's judgement come first. Turn the engine by "
      "hand only, in the running direction, plugs out. Renew every lock washer that was bent back.\n";
  answer.json = std::move(json);
  answer.json.set("within_limits", faults.empty())
      .set("out_of_limits", words_json(faults))
      .set("advice", words_json(advice));
  return answer;
}

Json words_json(const std::vector<std::string>& words) {
  Json json = Json::array();
  for (const std::string& piece : words) json.add(piece);
  return json;
}

Json figures_json(const std::vector<double>& figures) {
  Json json = Json::array();
  for (const double figure : figures) json.add(figure);
  return json;
}

} // namespace phasewright::cli
