#include "bench/key_fit.hpp"

#include "support/catch.hpp"
