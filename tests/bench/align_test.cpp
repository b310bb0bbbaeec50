#include "bench/align.hpp"

#include "support/catch.hpp"
