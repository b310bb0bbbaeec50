#include "bench/shim_pack.hpp"

#include "support/catch.hpp"
