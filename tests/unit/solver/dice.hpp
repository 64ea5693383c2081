// SPDX-License-Identifier: MIT
#pragma once
// Numbers, vectors and rotations that are the same in every run.
#include <random>

#include "solver/core/full/rotation.hpp"

namespace opisthion::tests {

class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double number() { return uniform_(engine_); }  ///< -1 to 1
  core::full::Vector3 vector(double size) { return size * core::full::Vector3(number(), number(), number()); }
  core::full::Matrix3 rotation(double size) { return core::full::exp_rotation(vector(size)); }

 private:
  std::mt19937 engine_;
  std::uniform_real_distribution<double> uniform_{-1.0, 1.0};
};

}  // namespace opisthion::tests
