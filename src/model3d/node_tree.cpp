#include "model3d/node_tree.hpp"

#include <fmt/format.h>

#include <map>
#include <set>
#include <span>
#include <utility>

namespace phasewright {

namespace {

class Tree {
public:
  explicit Tree(const Cycle& cycle, const std::string& name) : cycle_(cycle) { add(name); }

  void add_part(std::span<const std::size_t> bodies) {
    const PartInfo& part = cycle_.scene.parts[cycle_.bodies[bodies.front()].part];
    std::size_t whole = 0;
    for (const std::string& name : part.within) whole = whole_in(whole, name);
    std::size_t node = 0;
    if (bodies.size() == 1) {
      node = add_body(whole, part.name, bodies.front());
    } else {
      node = add(part.name, whole);
      for (const std::size_t body : bodies) (void)add_body(node, part.name, body);
    }
    nodes_[node].figures = part.figures;
  }

  [[nodiscard]] std::vector<ModelNode> take() { return std::move(nodes_); }

private:
  // A name that is taken gets a number.
  std::string own_name(const std::string& wanted) {
    std::string name = wanted;
    for (int count = 2; !taken_.insert(name).second; ++count) name = fmt::format("{}, {}", wanted, count);
    return name;
  }

  std::size_t add(const std::string& name, std::optional<std::size_t> parent = std::nullopt) {
    const std::size_t index = nodes_.size();
    ModelNode node;
    node.name = own_name(name);
    nodes_.push_back(std::move(node));
    if (parent) nodes_[*parent].children.push_back(index);
    return index;
  }

  std::size_t whole_in(std::size_t parent, const std::string& name) {
    const auto [found, is_new] = wholes_.try_emplace({parent, name}, 0);
    if (is_new) found->second = add(name, parent);
    return found->second;
  }

  // The first instance and those that stand just where it does are drawn by the node itself, others by nodes under it.
  std::size_t add_body(std::size_t parent, const std::string& name, std::size_t index) {
    const Body& body = cycle_.bodies[index];
    const std::size_t node = add(name, parent);
    nodes_[node].body = index;
    nodes_[node].rest = cycle_.looks.front()[index];
    for (std::size_t i = 0; i < body.instances.size(); ++i) {
      const Instance& instance = cycle_.scene.instances[body.instances[i]];
      std::size_t at = node;
      if (apart_mm(body.from_first[i], {}, body.reach_mm) > same_place_mm) {
        at = add(name, node);
        nodes_[at].rest = body.from_first[i];
      }
      nodes_[at].drawn.push_back({instance.mesh, instance.material});
    }
    return node;
  }

  const Cycle& cycle_;
  std::vector<ModelNode> nodes_;
  std::set<std::string> taken_;
  std::map<std::pair<std::size_t, std::string>, std::size_t> wholes_; // by parent and name
};

} // namespace

std::vector<ModelNode> node_tree(const Cycle& cycle, const std::string& name) {
  Tree tree(cycle, name);
  std::vector<std::size_t> of_part;
  for (std::size_t body = 0; body < cycle.bodies.size(); ++body) {
    of_part.push_back(body);
    const bool last = body + 1 == cycle.bodies.size() || cycle.bodies[body + 1].part != cycle.bodies[body].part;
    if (!last) continue;
    tree.add_part(of_part);
    of_part.clear();
  }
  return tree.take();
}

} // namespace phasewright
