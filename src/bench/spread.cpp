#include "bench/spread.hpp"
