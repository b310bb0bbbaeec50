#include "bench/spread.hpp"

#include "support/catch.hpp"
