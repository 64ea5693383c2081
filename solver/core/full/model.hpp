// SPDX-License-Identifier: MIT
#pragma once
// The system in finite rotation: scalar laws on true geometry, linear parts in gauge frames, friction with stored slip.
#include <span>
#include <vector>

#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/full/gauge.hpp"
#include "solver/core/full/loads.hpp"
#include "solver/core/full/measures.hpp"
#include "solver/core/full/neighbour_tie.hpp"

namespace opisthion::core::full {

/// A scalar law on one strain measure. Order in Model::laws: strands, pads, per ring its arch and its ligament, slips.
struct LawElement {
  enum class Kind { strand, pad, slide, turn } kind = Kind::strand;
  int geometry = 0;  ///< into Model::strands, pads, slides or turns
  mesh::ScalarLaw law{};
  mesh::ItemId item{};
  bool strand = false;     ///< counts as a strand for the share of energy
  double tighten_N = 0.0;  ///< as in mesh::Strand
};

/// Friction: law `law` of the model is elastic about the slip stored in the state, up to the cap.
struct FrictionElement {
  int law = 0;
  double stiffness = 0.0;
  double cap_per_N = 0.0;
  bool bonded = false;  ///< never slides, pressed or not
  struct Feed {
    int law = 0;
    double weight = 1.0;
  };
  std::vector<Feed> normal{};
};

/// What changes under load: poses, and per friction the slip stored (elongation at which it carries nothing) and its cap [N;
/// N mm].
struct State {
  Poses poses{};
  std::vector<double> slip{};
  std::vector<double> cap{};
  /// Rotation vector of each moment's body, those of the constant load first: which branch of the log it is on. Empty: the
  /// first.
  std::vector<Vector3> branch{};
};

struct Model {
  mesh::System system{};
  std::vector<int> first_dof{};  ///< per body; -1: held or condensed away
  int dofs = 0;
  std::vector<double> dof_scale{};  ///< 1 for translations, 20 mm for rotations
  std::vector<StrandGeometry> strands{};
  std::vector<PadGeometry> pads{};
  std::vector<SlideGeometry> slides{};
  std::vector<TurnGeometry> turns{};
  std::vector<LawElement> laws{};
  std::vector<FrictionElement> frictions{};
  std::vector<GaugeElement> linear{};          ///< condensed metal first, then cushions, discs, beams
  int components = 0;                          ///< how many of `linear` are condensed metal
  std::vector<NeighbourTie> regularisation{};  ///< at factor 1
  /// Energy shares count from here (the assembled state); empty poses: from the reference pose.
  State assembled{};
};

/// Condensed: bodies that are ports stay; `parts` in the order of `components`.
Model make_model(const mesh::System& system, std::span<const mesh::Component> components,
                 std::span<const CondensedComponent> parts);
/// Every free body stays, every beam is corotational: the yardstick, and what takes over where condensation is not good
/// enough.
Model make_whole_model(const mesh::System& system);
State reference_state(const Model& model);

/// Strain measure of a law of the model at these poses.
void measure_law(const Model& model, int law, std::span<const Pose> poses, Order order, Measure& out);
/// Elongation of a law at these poses.
double elongation(const Model& model, int law, std::span<const Pose> poses);
/// Motion (six per kept body, scaled by nothing) from one state to another: dp and log(R_b R_a^T).
Eigen::VectorXd motion_between(const Model& model, std::span<const Pose> from, std::span<const Pose> to);
/// Moves kept bodies by a step of the unknowns.
void move(const Model& model, const Eigen::VectorXd& step, Poses& poses);

}  // namespace opisthion::core::full
