#include "render/rig.hpp"

#include <glad/gl.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

TEST_CASE("A context says what it is") {
  with_renderer([](Renderer& renderer) {
    CHECK(renderer.description().find("OpenGL ") != std::string::npos);
    const bool by_name = renderer.description().find("llvmpipe") != std::string::npos ||
                         renderer.description().find("softpipe") != std::string::npos;
    if (by_name) CHECK(renderer.software());
    CHECK(glGetString(GL_VERSION) != nullptr);
  });
}

TEST_CASE("Two contexts draw in turn, each its own pictures") {
  with_context([](OffscreenContext& first_context) {
    Renderer first(OffscreenContext::get_proc(), shader_folder());
    first.upload({box({-10, -10, -10}, {10, 10, 10})});
    Scene scene;
    scene.instances = {placed(0, Material::inlet, {0, 0, 0})};
    const Image before = drawn(first, scene);
    {
      OffscreenContext other;
      Renderer second(OffscreenContext::get_proc(), shader_folder());
      second.upload({box({-30, -30, -10}, {30, 30, 10})});
      const Image larger = drawn(second, scene);
      CHECK(difference(at(larger, 50, 100), at(before, 50, 100)) > 40);
      first_context.make_current();
      CHECK(drawn(first, scene).rgba == before.rgba);
      other.make_current();
      CHECK(drawn(second, scene).rgba == larger.rgba);
    }
    first_context.make_current();
    CHECK(drawn(first, scene).rgba == before.rgba);
    // A context that goes leaves another that is current alone.
    {
      const OffscreenContext brief;
      first_context.make_current();
    }
    CHECK(drawn(first, scene).rgba == before.rgba);
    CHECK(glGetError() == GL_NO_ERROR);
  });
}

TEST_CASE("A missing shader is named") {
  with_renderer([](Renderer&) {
    CHECK_THROWS_WITH(Renderer(OffscreenContext::get_proc(), "/nonexistent"), containing("the shader /nonexistent/"));
  });
}

TEST_CASE("A shader that does not compile is named with the compiler's words") {
  with_renderer(
      [](Renderer&) {
        const std::filesystem::path folder = std::filesystem::temp_directory_path() / "phasewright-render-test-shaders";
        std::filesystem::remove_all(folder);
        std::filesystem::copy(shader_folder(), folder);
        std::ofstream(folder / "stroke.frag", std::ios::trunc)
            << "#version 330 core\nvoid main() { gl_FragDepth = nonsense; }\n";
        CHECK_THROWS_WITH(Renderer(OffscreenContext::get_proc(), folder),
                          containing("stroke.frag does not compile: ") && containing("nonsense"));
        std::filesystem::remove_all(folder);
      },
      Complaints::expected);
}

TEST_CASE("Where there is no OpenGL, each way says what stood against it") {
  // Answered by a program of its own: the library looks for its drivers once.
  const std::filesystem::path words = std::filesystem::temp_directory_path() / "phasewright-render-test-words";
  const std::string command =
      "__EGL_VENDOR_LIBRARY_DIRS=/nonexistent __EGL_VENDOR_LIBRARY_FILENAMES=/nonexistent env -u "
      "PHASEWRIGHT_NO_GL " PHASEWRIGHT_FRAME_TIMES " --quick > " +
      words.string() + " 2>&1";
  CHECK(std::system(command.c_str()) != 0);
  std::ifstream in(words);
  const std::string said{std::istreambuf_iterator<char>(in), {}};
  for (const char* part : {"no OpenGL 3.3 without a display: ", "surfaceless: ", "device: ", "default display: ",
                           "LIBGL_ALWAYS_SOFTWARE=1", "libegl1"})
    CHECK_THAT(said, containing(part));
  std::filesystem::remove(words);
}
