#include "bench/explain.hpp"

#include "support/catch.hpp"
