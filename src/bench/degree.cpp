#include "bench/degree.hpp"
