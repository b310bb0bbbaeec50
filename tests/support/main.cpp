// The one main() of the test programs. It is compiled once, as it is the slowest file of Catch2 2.x.

#define CATCH_CONFIG_MAIN
#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_session.hpp>

int main(int argc, char** argv) {
  return Catch::Session().run(argc, argv);
}
#else
#include <catch2/catch.hpp>
#endif
