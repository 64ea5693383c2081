// SPDX-License-Identifier: MIT
#pragma once
#include <span>
#include <vector>

#include "mesh/system/component.hpp"
#include "mesh/system/system.hpp"

namespace opisthion::core {

/// A component seen from its ports: force = stiffness * ports + force0. Interior motion = recovery * ports + interior0.
/// Six unknowns a port (translation, rotation at the body's reference point), in the order of `ports`.
struct CondensedComponent {
  std::vector<mesh::BodyId> ports{};
  std::vector<mesh::BodyId> interior{};
  Eigen::MatrixXd stiffness{};
  Eigen::VectorXd force0{};  ///< self-stress at the reference pose (zero until assembly loads come in)
  Eigen::MatrixXd recovery{};
  Eigen::VectorXd interior0{};
};

/// False in `regular` when the interior is a mechanism of its own (metal that nothing holds).
struct CondenseOutcome {
  CondensedComponent component{};
  bool regular = false;
  mesh::BodyId loose{};  ///< a body of the mechanism, when not regular
};
enum class Recovery { keep, leave_out };  ///< leave_out: `recovery` and `interior0` stay empty, at half the time
/// Blockwise Cholesky of the interior, nodes in an order of least fill.
CondenseOutcome condense(const mesh::System& system, const mesh::Component& component, Recovery recovery = Recovery::keep);

}  // namespace opisthion::core
