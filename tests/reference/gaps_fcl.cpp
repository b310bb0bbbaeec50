#include "reference/gaps_fcl.hpp"

#include <fcl/geometry/bvh/BVH_model.h>
#include <fcl/narrowphase/distance.h>

#include <cmath>
#include <stdexcept>

namespace phasewright::testing {

struct Mesh::Model {
  fcl::BVHModel<fcl::RSS<double>> bvh;
};

namespace {

fcl::Vector3<double> vector(glm::dvec3 v) {
  return {v.x, v.y, v.z};
}

fcl::Transform3<double> moved(glm::dvec3 by_mm) {
  fcl::Transform3<double> transform = fcl::Transform3<double>::Identity();
  transform.translation() = vector(by_mm);
  return transform;
}

} // namespace

Mesh::Mesh(const Soup& soup) {
  const auto model = std::make_shared<Model>();
  const int count = static_cast<int>(soup.size());
  if (model->bvh.beginModel(count, 3 * count) != fcl::BVH_OK) throw std::logic_error("no mesh can be begun");
  for (const Triangle& triangle : soup)
    if (model->bvh.addTriangle(vector(triangle[0]), vector(triangle[1]), vector(triangle[2])) != fcl::BVH_OK)
      throw std::logic_error("a triangle was not taken");
  if (model->bvh.endModel() != fcl::BVH_OK) throw std::logic_error("no mesh can be ended");
  model_ = model;
}

double Mesh::distance_mm(glm::dvec3 moved_mm, const Mesh& other, glm::dvec3 other_moved_mm) const {
  // Of two faces that lie parallel all pairs of triangles are as near as the nearest but for rounding, and without an
  // allowance FCL goes through every one. Both must hold before it leaves some out, so that it is the first that
  // counts.
  constexpr double allowed_mm = 2e-5, allowed_share = 1e-3;
  const fcl::DistanceRequest<double> request(false, false, allowed_share, allowed_mm);
  fcl::DistanceResult<double> result;
  fcl::distance(&model_->bvh, moved(moved_mm), &other.model_->bvh, moved(other_moved_mm), request, result);
  return std::fmax(0.0, result.min_distance);
}

} // namespace phasewright::testing
