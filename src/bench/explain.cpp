#include "bench/explain.hpp"
