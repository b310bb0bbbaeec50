#include "bench/end_float.hpp"
