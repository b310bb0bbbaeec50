#include "bench/degree.hpp"

#include "support/catch.hpp"
