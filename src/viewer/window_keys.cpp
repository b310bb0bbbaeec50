#include "viewer/window_keys.hpp"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

namespace phasewright::viewer {

namespace {

Key key_of(int key) {
  if (key >= GLFW_KEY_0 && key <= GLFW_KEY_5)
    return static_cast<Key>(static_cast<int>(Key::digit_0) + key - GLFW_KEY_0);
  switch (key) {
  case GLFW_KEY_SPACE:
    return Key::space;
  case GLFW_KEY_TAB:
    return Key::tab;
  case GLFW_KEY_LEFT:
    return Key::left;
  case GLFW_KEY_RIGHT:
    return Key::right;
  case GLFW_KEY_UP:
    return Key::up;
  case GLFW_KEY_DOWN:
    return Key::down;
  case GLFW_KEY_HOME:
    return Key::home;
  case GLFW_KEY_END:
    return Key::end;
  case GLFW_KEY_PAGE_UP:
    return Key::page_up;
  case GLFW_KEY_PAGE_DOWN:
    return Key::page_down;
  case GLFW_KEY_DELETE:
    return Key::del;
  case GLFW_KEY_BACKSPACE:
    return Key::backspace;
  case GLFW_KEY_ENTER:
  case GLFW_KEY_KP_ENTER:
    return Key::enter;
  case GLFW_KEY_ESCAPE:
    return Key::escape;
  case GLFW_KEY_F1:
    return Key::f1;
  case GLFW_KEY_EQUAL:
  case GLFW_KEY_KP_ADD:
    return Key::plus;
  case GLFW_KEY_MINUS:
  case GLFW_KEY_KP_SUBTRACT:
    return Key::minus;
  case GLFW_KEY_KP_0:
    return Key::digit_0;
  default:
    return Key::other;
  }
}

} // namespace

Key letter_of(int key, int scancode) {
  const char* name = glfwGetKeyName(key, scancode);
  if (name == nullptr || name[0] == '\0' || name[1] != '\0') return key_of(key);
  switch (name[0]) {
  case 'a':
    return Key::a;
  case 'b':
    return Key::b;
  case 'c':
    return Key::c;
  case 'd':
    return Key::d;
  case 'e':
    return Key::e;
  case 'f':
    return Key::f;
  case 'h':
    return Key::h;
  case 'i':
    return Key::i;
  case 'k':
    return Key::k;
  case 'l':
    return Key::l;
  case 'm':
    return Key::m;
  case 'n':
    return Key::n;
  case 'o':
    return Key::o;
  case 'p':
    return Key::p;
  case 'r':
    return Key::r;
  case 's':
    return Key::s;
  case 't':
    return Key::t;
  case 'u':
    return Key::u;
  case 'v':
    return Key::v;
  case 'x':
    return Key::x;
  case 'y':
    return Key::y;
  case 'z':
    return Key::z;
  case '+':
    return Key::plus;
  case '-':
    return Key::minus;
  default:
    return key_of(key);
  }
}

std::string utf8(unsigned code) {
  std::string text;
  if (code < 0x80U) {
    text += static_cast<char>(code);
  } else if (code < 0x800U) {
    text += static_cast<char>(0xC0U | (code >> 6U));
    text += static_cast<char>(0x80U | (code & 0x3FU));
  } else if (code < 0x10000U) {
    text += static_cast<char>(0xE0U | (code >> 12U));
    text += static_cast<char>(0x80U | ((code >> 6U) & 0x3FU));
    text += static_cast<char>(0x80U | (code & 0x3FU));
  }
  return text;
}

} // namespace phasewright::viewer
