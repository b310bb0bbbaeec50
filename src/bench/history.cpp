#include "bench/history.hpp"
