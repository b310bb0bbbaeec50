#include "bench/align.hpp"
