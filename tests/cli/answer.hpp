// A command's JSON, checked for what every answer has to be.
#pragma once

#include "cli/program.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace phasewright::testing {

inline nlohmann::json answer(std::vector<std::string> arguments, int exit_code = 0) {
  arguments.emplace_back("--json");
  const Run run = run_program(arguments);
  INFO(run.err);
  CHECK(run.exit_code == exit_code);
  CHECK(run.err.empty());
  CHECK(run.out.find("nan") == std::string::npos);
  CHECK(run.out.find("inf") == std::string::npos);
  REQUIRE(nlohmann::json::accept(run.out));
  return nlohmann::json::parse(run.out);
}

inline double number(const nlohmann::json& value) {
  REQUIRE(value.is_number());
  return value.get<double>();
}

inline void check_has(const nlohmann::json& object, const std::vector<std::string>& keys) {
  for (const std::string& key : keys) {
    INFO("key " << key);
    CHECK(object.contains(key));
  }
}

} // namespace phasewright::testing
