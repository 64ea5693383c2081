// SPDX-License-Identifier: MIT
#pragma once
// What every test file includes anyway, compiled once. Test files still include what they use.
#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/Dense>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>
