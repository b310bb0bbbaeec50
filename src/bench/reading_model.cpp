#include "bench/reading_model.hpp"
