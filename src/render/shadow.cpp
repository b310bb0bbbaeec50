#include "render/shadow.hpp"

#include <glm/common.hpp>
#include <glm/ext/matrix_clip_space.hpp>
#include <glm/ext/matrix_transform.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/type_ptr.hpp>

#include <algorithm>
#include <limits>
#include <stdexcept>

namespace phasewright::gl {

namespace {

// Rollers and pins stand between the plates, which cast what shadow there is.
bool casts(const Instance& instance) {
  return !instance.ghost && instance.material != Material::chain_roller;
}

glm::dmat4 to_light() {
  return glm::lookAt(glm::dvec3{0.0}, -key_direction(), glm::dvec3{0.0, 1.0, 0.0});
}

} // namespace

glm::dvec3 key_direction() {
  return glm::normalize(glm::dvec3{-0.34, 0.56, 0.92});
}

ShadowMap::ShadowMap(const std::filesystem::path& shader_folder)
    : texture_(make_texture()), framebuffer_(make_framebuffer()),
      program_(shader_folder / "shadow.vert", shader_folder / "depth.frag") {
  glBindTexture(GL_TEXTURE_2D, texture_.get());
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_MODE, GL_COMPARE_REF_TO_TEXTURE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_FUNC, GL_LEQUAL);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, texture_.get(), 0);
  glDrawBuffer(GL_NONE);
  glReadBuffer(GL_NONE);
}

void ShadowMap::resize(int side_px) {
  if (side_px == side_px_) return;
  side_px_ = side_px;
  known_ = false;
  glBindTexture(GL_TEXTURE_2D, texture_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_DEPTH_COMPONENT24, side_px, side_px, 0, GL_DEPTH_COMPONENT, GL_UNSIGNED_INT,
               nullptr);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
    throw std::runtime_error("this OpenGL cannot draw into a depth texture");
}

glm::dvec3 ShadowMap::right() {
  return glm::dvec3(glm::transpose(to_light())[0]);
}

glm::dvec3 ShadowMap::up() {
  return glm::dvec3(glm::transpose(to_light())[1]);
}

void ShadowMap::update(const Scene& scene, const Geometry& geometry, int side_px) {
  resize(side_px);
  const glm::dmat4 turn = to_light();
  glm::dvec3 low(std::numeric_limits<double>::infinity());
  glm::dvec3 high(-std::numeric_limits<double>::infinity());
  for (const Instance& instance : scene.instances) {
    if (!casts(instance)) continue;
    const double radius = geometry.reach(instance.mesh).radius_mm;
    const glm::dvec3 middle = glm::dvec3(turn * glm::dvec4(geometry.middle_mm(instance), 1.0));
    low = glm::min(low, middle - radius);
    high = glm::max(high, middle + radius);
  }
  if (!(low.x <= high.x)) low = high = glm::dvec3(0.0);
  // Whole steps keep the map's texels where they are while things turn, so that the edges of shadows stand still.
  constexpr double step_mm = 32.0;
  low = glm::floor(low / step_mm) * step_mm;
  high = (glm::floor(high / step_mm) + 1.0) * step_mm;
  const glm::dvec3 middle = (low + high) / 2.0;
  const glm::dvec3 half = (high - low) / 2.0;
  const glm::dvec3 origin = glm::dvec3(glm::transpose(turn) * glm::dvec4(middle, 1.0));
  const glm::dmat4 to_clip = glm::ortho(-half.x, half.x, -half.y, half.y, -half.z, half.z) * turn;
  const bool moved = geometry.place(scene, scene_colours(Theme::day), origin, casts, casters_);
  if (known_ && !moved && origin == origin_mm_ && to_clip == to_clip_) return;
  origin_mm_ = origin;
  to_clip_ = to_clip;
  per_mm_ = 0.5 / half;
  known_ = true;

  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glViewport(0, 0, side_px_, side_px_);
  glClear(GL_DEPTH_BUFFER_BIT);
  program_.use();
  glUniformMatrix4fv(program_.uniform("to_clip"), 1, GL_FALSE, glm::value_ptr(glm::mat4(to_clip)));
  glEnable(GL_POLYGON_OFFSET_FILL);
  glPolygonOffset(2.0f, 4.0f);
  // A part of a texel, which a soft edge hides.
  const double texel_mm = 2.0 * std::max(half.x, half.y) / side_px_;
  geometry.draw(casters_, 0.4 * texel_mm);
  glDisable(GL_POLYGON_OFFSET_FILL);
}

glm::dmat4 ShadowMap::to_texture(glm::dvec3 eye_mm) const {
  // Clip space runs from -1 to 1, a texture from 0 to 1.
  const glm::dmat4 halved = glm::scale(glm::translate(glm::dmat4{1.0}, glm::dvec3{0.5}), glm::dvec3{0.5});
  return halved * to_clip_ * glm::translate(glm::dmat4{1.0}, eye_mm - origin_mm_);
}

} // namespace phasewright::gl
