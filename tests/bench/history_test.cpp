#include "bench/history.hpp"

#include "support/catch.hpp"
