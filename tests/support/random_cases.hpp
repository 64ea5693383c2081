// SPDX-License-Identifier: MIT
#pragma once
// Cases that nobody thought of: necks, injuries, constructs and benches drawn by integers, the same on every machine. What
// `check` refuses is drawn again, so every case is one that a user could have written.
#include <cstdint>
#include <optional>
#include <string_view>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"

namespace opisthion::tests {

/// Integers from a 64-bit counter put through a mixing function (splitmix64, public domain, from memory): no library's
/// distribution, which may differ between standard libraries.
class Dice {
 public:
  explicit Dice(std::uint64_t start) : state_(start) {}
  std::uint64_t next();
  int below(int n);  ///< 0 .. n - 1
  bool percent(int of_hundred) { return below(100) < of_hundred; }
  /// low + k (high - low)/100, k = 0 .. 100.
  double between(double low, double high) { return low + (high - low) * below(101) / 100.0; }
  template <typename Container>
  const auto& one_of(const Container& all) {
    return all[static_cast<std::size_t>(below(static_cast<int>(all.size())))];
  }

 private:
  std::uint64_t state_;
};

enum class Family { screws_and_rods, wired_rods, mixed_rods, joint_screws, ties, plates, bare };
inline constexpr int kFamilyCount = 7;
std::string_view name(Family family);

struct RandomCase {
  std::uint64_t number = 0;
  Family family = Family::bare;
  models::Case the_case{};  ///< one construct; a bench with the six motions
};

/// What to draw; what is left out is drawn, too.
struct Wish {
  std::optional<Family> family{};
  std::optional<models::JointId> span{};  ///< the neck's upper and lower level
};

/// Nothing where the wish cannot be met (a lateral mass plate on C0-C2).
std::optional<RandomCase> random_case(std::uint64_t number, const models::ParameterTable& parameters, const Wish& wish = {});

}  // namespace opisthion::tests
