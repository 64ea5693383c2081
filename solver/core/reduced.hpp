// SPDX-License-Identifier: MIT
#pragma once
// The system on its kept unknowns: one dense stiffness for all that is linear, and a functional per unilateral or
// nonlinear law. Small kinematics: linear geometry, so a law sees e = row . q.
#include <array>
#include <span>
#include <vector>

#include "mesh/system/load.hpp"
#include "mesh/system/system.hpp"
#include "solver/core/condense.hpp"

namespace opisthion::core {

/// e = sum over blocks of row_i . q[first_i .. first_i+5]; blocks of held bodies are left out.
struct Functional {
  static constexpr int kMostBlocks = 4;
  int blocks = 0;
  std::array<int, kMostBlocks> first_dof{};
  std::array<mesh::Vector6, kMostBlocks> row{};
  mesh::ScalarLaw law{};
  mesh::ItemId item{};
  /// Two sums side by side: half the wait for each addition, the same bits everywhere.
  double at(const Eigen::VectorXd& q) const {
    double even = 0.0;
    double odd = 0.0;
    for (std::size_t b = 0; b < static_cast<std::size_t>(blocks); ++b) {
      const double* part = q.data() + first_dof[b];
      const double* r = row[b].data();
      for (int i = 0; i < 6; i += 2) {
        even += r[i] * part[i];
        odd += r[i + 1] * part[i + 1];
      }
    }
    return even + odd;
  }
  bool strand = false;  ///< counts as a strand for the share of energy
};

/// Friction among the functionals: a spring about its anchor whose force cannot exceed the cap, which follows normal forces.
struct Friction {
  int functional = 0;
  double stiffness = 0.0;
  double cap_per_N = 0.0;
  double anchor = 0.0;  ///< the elongation at which it carries nothing
  struct Feed {
    int functional = 0;
    double weight = 1.0;
  };
  std::vector<Feed> normal{};
};

/// A functional that assembly pulls (or presses) to a force and then makes fast.
struct Tightened {
  int functional = 0;
  double force_N = 0.0;
};

struct ReducedModel {
  std::vector<int> first_dof{};  ///< per body; -1: held or condensed away
  int dofs = 0;
  Eigen::MatrixXd stiffness{};       ///< linear parts, no regularisation
  Eigen::MatrixXd regularisation{};  ///< at factor 1: 0.001 N/mm and 1 N mm/rad between neighbours
  Eigen::VectorXd force0{};
  std::vector<Functional> functionals{};
  std::vector<double> dof_scale{};  ///< 1 for translations, 20 mm for rotations: q_scaled = dof_scale * q
  std::vector<Friction> frictions{};
  std::vector<Tightened> tightened{};
  /// The pose that assembly left (see assemble.hpp); empty without assembly. Regularisation carries nothing there, and
  /// shares of energy count from there.
  Eigen::VectorXd assembled{};
};

inline constexpr double kRotationScale_mm = 20.0;
inline constexpr double kRegularisation_N_per_mm = 0.001;
inline constexpr double kRegularisation_Nmm_per_rad = 1.0;

/// Bodies that are ports stay; everything linear that belongs to no component is added directly.
ReducedModel reduce(const mesh::System& system, std::span<const CondensedComponent> components);
/// The same without condensation: every free body stays (second method for tests, benchmark and export).
ReducedModel reduce_nothing(const mesh::System& system);

Eigen::VectorXd load_vector(const mesh::System& system, const ReducedModel& model, std::span<const mesh::BodyLoad> loads);
double measure(const mesh::System& system, const ReducedModel& model, const mesh::Probe& probe, const Eigen::VectorXd& q);

}  // namespace opisthion::core
