// The exported file itself: its size, its names, what it says of itself, and that it comes out the same twice.
#include "exported.hpp"

#include <nlohmann/json.hpp>

#include <cstring>
#include <set>

using namespace phasewright;
using namespace phasewright::testing;
using nlohmann::json;

namespace {

std::uint32_t word(const std::string& bytes, std::size_t at) {
  std::uint32_t value = 0;
  REQUIRE(bytes.size() >= at + sizeof value);
  std::memcpy(&value, bytes.data() + at, sizeof value);
  return value;
}

// Header and chunks as glTF 2.0 has them, section 4.4.
json document_of(const std::string& glb) {
  CHECK(glb.substr(0, 4) == "glTF");
  CHECK(word(glb, 4) == 2);
  CHECK(word(glb, 8) == glb.size());
  CHECK(glb.substr(16, 4) == "JSON");
  return json::parse(glb.substr(20, word(glb, 12)));
}

} // namespace

TEST_CASE("every model is under 8 MB, and the same bytes twice", "[model3d]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    CHECK(exported(one).glb.size() < 8'000'000);
    CHECK(exported(one).glb == made(one, {.generator = "a test"}).glb);
  }
}

TEST_CASE("nodes have names of their own and stand in one tree", "[model3d]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const Model3d& model = exported(one);
    const json document = document_of(model.glb);
    const json& nodes = document["nodes"];
    REQUIRE(nodes.size() == model.nodes);
    std::set<std::string> names;
    std::vector<int> parents(nodes.size(), 0);
    for (const json& node : nodes) {
      names.insert(node["name"].get<std::string>());
      CHECK_FALSE(node.contains("scale"));
      if (node.contains("children"))
        for (const json& child : node["children"]) ++parents[child.get<std::size_t>()];
    }
    CHECK(names.size() == nodes.size());
    CHECK(document["scenes"][0]["nodes"] == json::array({0}));
    CHECK(parents.front() == 0);
    CHECK(std::all_of(parents.begin() + 1, parents.end(), [](int count) { return count == 1; }));
    for (const char* name : {"timing drive", "crank, rods and pistons", "valve gear", "crank sprocket", "crank key",
                             "crankshaft", "piston No. 1", "inlet valve No. 1"})
      CHECK(names.contains(name));
    const std::string stage = one.engine().loops.size() > 1 ? ", first stage" : "";
    for (const char* name : {"chain pin 1", "chain link 1"}) CHECK(names.contains(name + stage));
    CHECK_FALSE(names.contains("crank nut"));
  }
}

TEST_CASE("nuts and words are in the model when they are asked for", "[model3d]") {
  const Modelled& one = modelled().front();
  const json document = document_of(made(one, {.nuts = true, .words = {{"build", "one of many"}}}).glb);
  CHECK(document.dump().find("crank nut") != std::string::npos);
  CHECK(document["nodes"][0]["extras"]["build"] == "one of many");
}

TEST_CASE("the root says whether the valves keep clear where that is known", "[model3d]") {
  const Modelled& one = modelled().front();
  for (const bool safe : {false, true})
    CHECK(document_of(made(one, {.safe = safe}).glb)["nodes"][0]["extras"]["safe"] == safe);
  CHECK_FALSE(document_of(made(one, {}).glb)["nodes"][0]["extras"].contains("safe"));
}

TEST_CASE("each mesh is kept once, and what does not move has no channel", "[model3d]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const Model3d& model = exported(one);
    const json document = document_of(model.glb);
    std::set<int> positions;
    for (const json& mesh : document["meshes"])
      for (const json& primitive : mesh["primitives"]) positions.insert(primitive["attributes"]["POSITION"].get<int>());
    CHECK(positions.size() == model.meshes);
    std::size_t kept = 0;
    for (const json& accessor : document["accessors"])
      if (accessor["type"] == "VEC3" && accessor.contains("min")) ++kept;
    CHECK(kept == model.meshes);

    REQUIRE(document["animations"].size() == 1);
    const json& animation = document["animations"][0];
    CHECK(animation["channels"].size() == model.channels);
    std::size_t keys = 0;
    for (const json& channel : animation["channels"]) {
      const std::string path = channel["target"]["path"];
      CHECK((path == "translation" || path == "rotation"));
      const json& input =
          document["accessors"]
                  [animation["samplers"][channel["sampler"].get<std::size_t>()]["input"].get<std::size_t>()];
      CHECK(input["min"][0] == 0.0);
      CHECK(input["max"][0] == model.animation_s);
      keys += input["count"].get<std::size_t>();
      const std::string name = document["nodes"][channel["target"]["node"].get<std::size_t>()]["name"];
      for (const char* still : {"backing plate", "guide", "seat", "piston No. 1 "}) {
        INFO(name);
        CHECK(name.find(still) == std::string::npos);
      }
      if (path == "rotation")
        CHECK((name.find("piston") == std::string::npos && name.find("valve No.") == std::string::npos));
    }
    CHECK(keys == model.keys);
  }
}

TEST_CASE("the root says what the model is, in which units, and to be careful", "[model3d]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const json document = document_of(exported(one).glb);
    CHECK(document["asset"]["version"] == "2.0");
    CHECK(document["asset"]["generator"] == "a test");
    const json& root = document["nodes"][0];
    CHECK(root["name"] == one.engine().name);
    const json& said = root["extras"];
    CHECK(said["engine"] == one.engine().name);
    CHECK(said["cycle_s"] == 12.0);
    CHECK(said["units"].get<std::string>().find("metres") == 0);
    CHECK(said["caution"] ==
          "a plan, computed and not measured: confirm clearances physically before starting the engine");
    for (std::size_t k = 0; k < one.engine().camshafts.size(); ++k)
      CHECK(said["phase_crank_deg"][one.engine().camshafts[k].name] == one.mechanism.drive().phase_deg(k));
    const auto turns = 2 * one.engine().loops[0].sprockets[0].teeth; // in a cycle, tooth by tooth
    const int links = one.engine().loops[0].chain.links;
    CHECK(said["chain"].get<std::string>().find("a chain of " + std::to_string(links) + " links goes on by " +
                                                std::to_string(turns % links)) != std::string::npos);
  }
}

TEST_CASE("what is not drawn as the file has it is said in the model", "[model3d]") {
  for (const Modelled& one : modelled()) {
    const Model3d& model = exported(one);
    const json said = document_of(model.glb)["nodes"][0]["extras"];
    CHECK(said.contains("not_as_stated") == !model.changed.empty());
    if (!model.changed.empty()) CHECK(said["not_as_stated"].get<std::vector<std::string>>() == model.changed);
    const Scene scene = one.model.compose(one.mechanism, nullptr, {});
    CHECK(model.changed == scene.confessions);
  }
}
