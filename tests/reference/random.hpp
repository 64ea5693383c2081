// SPDX-License-Identifier: MIT
#pragma once
// A small generator that gives the same numbers with every compiler (the std distributions do not).
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cstdint>

namespace opisthion::reference {

/// xorshift64* (Marsaglia, J. Stat. Softw. 8 (2003); multiplier by Vigna, ACM TOMS 42 (2016) - both from memory).
class Random {
 public:
  explicit Random(std::uint64_t start) : state_(start == 0 ? 1 : start) {}
  std::uint64_t bits() {
    state_ ^= state_ >> 12U;
    state_ ^= state_ << 25U;
    state_ ^= state_ >> 27U;
    return state_ * 2685821657736338717ULL;
  }
  /// Uniform in [0, 1).
  double unit() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }
  double between(double low, double high) { return low + (high - low) * unit(); }
  /// Uniform whole number, both ends included.
  int whole(int low, int high) { return low + static_cast<int>(unit() * static_cast<double>(high - low + 1)); }
  bool coin() { return unit() < 0.5; }
  Eigen::Vector3d vector(double half_width) {
    const double x = between(-half_width, half_width);
    const double y = between(-half_width, half_width);
    const double z = between(-half_width, half_width);
    return {x, y, z};
  }
  /// A right-handed frame, not uniformly distributed on the rotations but reaching all of them.
  Eigen::Matrix3d frame() {
    Eigen::Vector3d v = vector(1.0);
    if (v.norm() < 1e-3) v = Eigen::Vector3d::UnitX();
    return Eigen::AngleAxisd(between(-3.0, 3.0), v.normalized()).toRotationMatrix();
  }

 private:
  std::uint64_t state_;
};

}  // namespace opisthion::reference
