#include "read_back.hpp"

#include "support/catch.hpp"

#include <glm/ext/matrix_transform.hpp>
#include <glm/gtc/quaternion.hpp>

#include <algorithm>

namespace phasewright::testing {

namespace {

glm::dmat4 matrix_of(const aiMatrix4x4& rows) {
  glm::dmat4 matrix;
  for (unsigned row = 0; row < 4; ++row)
    for (unsigned column = 0; column < 4; ++column) matrix[int(column)][int(row)] = double{rows[row][column]};
  return matrix;
}

glm::dvec3 of(const aiVector3D& v) {
  return {double{v.x}, double{v.y}, double{v.z}};
}

glm::dquat of(const aiQuaternion& q) {
  return {double{q.w}, double{q.x}, double{q.y}, double{q.z}};
}

// Joins the keys about a moment: at(first, second, share).
template <class Key, class Join>
auto at_moment(const Key* keys, unsigned count, double tick, Join join) {
  const Key* next = std::upper_bound(keys, keys + count, tick, [](double t, const Key& key) { return t < key.mTime; });
  if (next == keys) return join(keys[0], keys[0], 0.0);
  if (next == keys + count) return join(keys[count - 1], keys[count - 1], 0.0);
  const Key& before = next[-1];
  return join(before, *next, (tick - before.mTime) / (next->mTime - before.mTime));
}

} // namespace

ReadBack::ReadBack(const std::string& glb) : importer_(std::make_unique<Assimp::Importer>()) {
  scene_ = importer_->ReadFileFromMemory(glb.data(), glb.size(), 0, "glb");
  INFO(importer_->GetErrorString());
  REQUIRE(scene_ != nullptr);
  REQUIRE(scene_->mNumAnimations == 1);
  const aiAnimation& animation = *scene_->mAnimations[0];
  for (unsigned i = 0; i < animation.mNumChannels; ++i)
    channels_[animation.mChannels[i]->mNodeName.C_Str()] = animation.mChannels[i];
}

bool ReadBack::has(const std::string& node) const {
  return scene_->mRootNode->FindNode(node.c_str()) != nullptr;
}

double ReadBack::duration_s() const {
  return scene_->mAnimations[0]->mDuration / scene_->mAnimations[0]->mTicksPerSecond;
}

glm::dmat4 ReadBack::local(const aiNode& node, double at_s) const {
  const auto found = channels_.find(node.mName.C_Str());
  if (found == channels_.end()) return matrix_of(node.mTransformation);
  const aiNodeAnim& channel = *found->second;
  const double tick = at_s * scene_->mAnimations[0]->mTicksPerSecond;
  const glm::dvec3 move = at_moment(channel.mPositionKeys, channel.mNumPositionKeys, tick,
                                    [](const aiVectorKey& a, const aiVectorKey& b, double share) {
                                      return glm::mix(of(a.mValue), of(b.mValue), share);
                                    });
  const glm::dquat turn = at_moment(channel.mRotationKeys, channel.mNumRotationKeys, tick,
                                    [](const aiQuatKey& a, const aiQuatKey& b, double share) {
                                      return glm::slerp(of(a.mValue), of(b.mValue), share);
                                    });
  return glm::translate(glm::dmat4(1.0), move) * glm::mat4_cast(turn);
}

glm::dmat4 ReadBack::world(const std::string& name, double at_s) const {
  const aiNode* node = scene_->mRootNode->FindNode(name.c_str());
  INFO(name);
  REQUIRE(node != nullptr);
  glm::dmat4 world(1.0);
  for (; node != nullptr; node = node->mParent) world = local(*node, at_s) * world;
  return world;
}

glm::dvec3 ReadBack::origin_mm(const std::string& node, double at_s) const {
  return point_mm(node, {}, at_s);
}

glm::dvec3 ReadBack::point_mm(const std::string& node, glm::dvec3 in_node_mm, double at_s) const {
  return 1000.0 * glm::dvec3(world(node, at_s) * glm::dvec4(in_node_mm / 1000.0, 1.0));
}

} // namespace phasewright::testing
