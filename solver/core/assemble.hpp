// SPDX-License-Identifier: MIT
#pragma once
// Assembly: from the reference pose to the one in which wires are tight, screws lagged and rods locked (THEORY 8).
#include <span>
#include <vector>

#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/modes.hpp"
#include "solver/core/prestress.hpp"

namespace opisthion::core {

enum class AssemblyStatus {
  not_needed,  ///< nothing to tighten and nothing locked last: the model is that of `reduce`
  assembled,
  no_equilibrium,  ///< tightening did not converge
  runs_away        ///< nothing but regularisation stops a part that tightening pulls on
};

/// The model as assembled, for every load that follows.
struct Assembly {
  AssemblyStatus status = AssemblyStatus::not_needed;
  ReducedModel model{};
  Eigen::MatrixXd prestress{};   ///< the geometric stiffness in model.stiffness; empty when there is none
  Eigen::VectorXd q{};           ///< the assembled pose, from the reference pose; zero when not needed
  EquilibriumOutcome outcome{};  ///< of tightening
  double imbalance_N = 0.0;      ///< what regularisation held in the assembled pose (scaled norm); taken into force0
  bool friction_held = false;    ///< seated without friction it would have run away; friction was let act and holds it
  Eigen::VectorXd escape{};      ///< direction in which it runs away (unit length in the scaled measure)
  /// The forces of assembly buckle what they hold: the tangent with them has a negative direction. The model then leaves
  /// geometric stiffness out, because small kinematics cannot follow the branch.
  bool buckles = false;
  Mode buckling{};
  explicit operator bool() const { return status == AssemblyStatus::not_needed || status == AssemblyStatus::assembled; }
};

/// Whether a system has an assembly at all: something to tighten, rods locked last, or a strand or pad that carries force in
/// the reference pose already (a slip held reduced, a spacer that presses its joint open).
bool has_assembly(const mesh::System& system, std::span<const mesh::Component> components);

/// Whether the tangent at q is positive definite with the least regularisation that a load is judged with (a hundredth): the
/// energy is convex but for geometric stiffness, so only that can make it fail.
bool stands(const ReducedModel& model, const Eigen::VectorXd& q);
/// The assembled model without its geometric stiffness, still in balance in the assembled pose.
ReducedModel without_prestress(const ReducedModel& model, const Assembly& assembly);

/// On the kept unknowns: components in the order of `parts`.
Assembly assemble(const mesh::System& system, std::span<const mesh::Component> components,
                  std::span<const CondensedComponent> parts);
/// The same on every free body: second method, and what is exported.
Assembly assemble_whole(const mesh::System& system, std::span<const mesh::Component> components);

}  // namespace opisthion::core
