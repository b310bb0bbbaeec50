#include "bench/end_float.hpp"

#include "support/catch.hpp"
