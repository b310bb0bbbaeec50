#include "bench/key_fit.hpp"
