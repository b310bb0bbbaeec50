#pragma once
// Catch2 as Debian 12 (2.13) and Debian 13 (3.7) have it, under one name. Comparisons of floating-point numbers say
// their tolerance by a matcher: CHECK_THAT(x, WithinAbs(1.0, 1e-9)).

#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
using Catch::Approx;
#else
#include <catch2/catch.hpp>
#endif

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
