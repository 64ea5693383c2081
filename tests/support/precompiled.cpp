// SPDX-License-Identifier: MIT
// The source that the precompiled header is compiled for; main.cpp must not see it.
#include "tests/support/precompiled.hpp"
