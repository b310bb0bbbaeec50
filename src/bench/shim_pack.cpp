#include "bench/shim_pack.hpp"
