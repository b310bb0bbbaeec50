#include "render/offscreen.hpp"

#include <EGL/egl.h>
#include <EGL/eglext.h>
#include <fmt/format.h>

#include <array>
#include <cstring>
#include <stdexcept>
#include <string>

namespace phasewright {

struct OffscreenContext::Impl {
  EGLDisplay display = EGL_NO_DISPLAY;
  EGLContext context = EGL_NO_CONTEXT;
  std::string tried; // what each way said

  bool open(EGLDisplay on, const char* way) {
    const auto refuse = [&](const char* step) {
      tried += fmt::format("{}{}: {} failed (0x{:x})", tried.empty() ? "" : "; ", way, step, eglGetError());
      return false;
    };
    EGLint major = 0, minor = 0;
    if (on == EGL_NO_DISPLAY || eglInitialize(on, &major, &minor) == EGL_FALSE) return refuse("eglInitialize");
    if (eglBindAPI(EGL_OPENGL_API) == EGL_FALSE) return refuse("eglBindAPI");
    // Windows are what EGL looks for unless told otherwise; there are none here.
    constexpr std::array<EGLint, 5> wanted{EGL_SURFACE_TYPE, EGL_PBUFFER_BIT, EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT,
                                           EGL_NONE};
    EGLConfig config = nullptr;
    EGLint count = 0;
    if (eglChooseConfig(on, wanted.data(), &config, 1, &count) == EGL_FALSE || count == 0) config = EGL_NO_CONFIG_KHR;
    constexpr std::array<EGLint, 7> version{
        EGL_CONTEXT_MAJOR_VERSION,           3,       EGL_CONTEXT_MINOR_VERSION, 3, EGL_CONTEXT_OPENGL_PROFILE_MASK,
        EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT, EGL_NONE};
    const EGLContext made = eglCreateContext(on, config, EGL_NO_CONTEXT, version.data());
    if (made == EGL_NO_CONTEXT) return refuse("eglCreateContext for OpenGL 3.3");
    if (eglMakeCurrent(on, EGL_NO_SURFACE, EGL_NO_SURFACE, made) == EGL_FALSE) {
      eglDestroyContext(on, made);
      return refuse("eglMakeCurrent without a surface");
    }
    display = on;
    context = made;
    return true;
  }

  bool open_any() {
    const char* extensions = eglQueryString(EGL_NO_DISPLAY, EGL_EXTENSIONS);
    const auto has = [extensions](const char* name) {
      return extensions != nullptr && std::strstr(extensions, name) != nullptr;
    };
    const auto platform_display =
        reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
    const auto query_devices = reinterpret_cast<PFNEGLQUERYDEVICESEXTPROC>(eglGetProcAddress("eglQueryDevicesEXT"));
    if (platform_display == nullptr || !has("EGL_MESA_platform_surfaceless"))
      tried = "surfaceless: not offered";
    else if (open(platform_display(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr), "surfaceless"))
      return true;
    if (platform_display != nullptr && query_devices != nullptr && has("EGL_EXT_platform_device")) {
      std::array<EGLDeviceEXT, 16> devices{};
      EGLint count = 0;
      query_devices(static_cast<EGLint>(devices.size()), devices.data(), &count);
      for (EGLint i = 0; i < count; ++i)
        if (open(platform_display(EGL_PLATFORM_DEVICE_EXT, devices[static_cast<std::size_t>(i)], nullptr), "device"))
          return true;
      if (count == 0) tried += "; device: there is none";
    } else {
      tried += "; device: not offered";
    }
    return open(eglGetDisplay(EGL_DEFAULT_DISPLAY), "default display");
  }
};

OffscreenContext::OffscreenContext() : impl_(std::make_unique<Impl>()) {
  if (!impl_->open_any())
    throw std::runtime_error(
        fmt::format("no OpenGL 3.3 without a display: {}. LIBGL_ALWAYS_SOFTWARE=1 asks for software "
                    "drawing; on Debian the packages are libegl1, libegl-mesa0 and libgl1-mesa-dri",
                    impl_->tried));
}

OffscreenContext::~OffscreenContext() {
  if (eglGetCurrentContext() == impl_->context)
    eglMakeCurrent(impl_->display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
  eglDestroyContext(impl_->display, impl_->context);
}

void OffscreenContext::make_current() {
  eglMakeCurrent(impl_->display, EGL_NO_SURFACE, EGL_NO_SURFACE, impl_->context);
}

Renderer::GetProc OffscreenContext::get_proc() {
  return eglGetProcAddress;
}

} // namespace phasewright
