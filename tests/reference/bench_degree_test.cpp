#include "support/catch.hpp"
