// SPDX-License-Identifier: MIT
#include "solver/study/naming.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>

#include "models/quantity/units.hpp"

namespace opisthion::study {
namespace {

constexpr double kDominates = 2.0;  // one kind of motion names a mode when it is twice the other
constexpr double kTakesPart = 0.5;  // a component takes part when it is half of the largest
constexpr double kDegenerate = 0.01;
constexpr std::string_view kDensFragment = "dens fragment";  // its name in mesh/build's Origins

Eigen::Vector3d rigid_point_motion(const mesh::Vector6& body, const Eigen::Vector3d& offset_mm) {
  return body.head<3>() + Eigen::Vector3d(body.tail<3>()).cross(offset_mm);
}

mesh::Vector6 motion_of(const core::ReducedModel& model, mesh::BodyId id, const Eigen::VectorXd& q) {
  const int first = id.valid() ? model.first_dof[static_cast<std::size_t>(id.value)] : -1;
  if (first < 0) return mesh::Vector6::Zero();
  return q.segment<6>(first);
}

std::string called(const std::string& body) {
  constexpr std::string_view kInBone = " in bone";  // elements of a screw are named so; its head is not in bone
  if (body == kDensFragment) return "the dens fragment";
  return body.ends_with(kInBone) ? body.substr(0, body.size() - kInBone.size()) : body;
}

/// Motions of a degenerate pair that are of one kind and one joint: one name holds both.
bool alike(const RelativeMotion& a, const RelativeMotion& b) {
  return a.upper == b.upper && a.lower == b.lower && mostly_turns(a) == mostly_turns(b);
}
RelativeMotion both(const RelativeMotion& a, const RelativeMotion& b) {
  RelativeMotion out = a;
  out.slide_mm = (a.slide_mm.cwiseAbs2() + b.slide_mm.cwiseAbs2()).cwiseSqrt();
  out.turn_rad = (a.turn_rad.cwiseAbs2() + b.turn_rad.cwiseAbs2()).cwiseSqrt();
  return out;
}

std::string join(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) out += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
  return out;
}

/// Friction along the pair that feeds on a strand is that of a loop of wire round the upper one.
bool held_by_wires(const mesh::System& system, const mesh::NeighbourPair& pair) {
  return std::any_of(system.slips.begin(), system.slips.end(), [&pair](const mesh::Slip& slip) {
    return slip.a.body == pair.upper && slip.b == pair.lower &&
           std::any_of(slip.normal.begin(), slip.normal.end(),
                       [](const mesh::NormalForce& by) { return by.of == mesh::NormalForce::Of::strand; });
  });
}

/// Indices of the components that take part, largest first.
std::vector<std::size_t> taking_part(const Eigen::Vector3d& v) {
  std::vector<std::size_t> order{0, 1, 2};
  const auto size = [&v](std::size_t i) { return std::abs(v[static_cast<Eigen::Index>(i)]); };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return size(a) > size(b); });
  std::erase_if(order, [&](std::size_t i) { return size(i) < kTakesPart * v.cwiseAbs().maxCoeff() || size(i) == 0.0; });
  return order;
}

std::string slide_words(const Eigen::Vector3d& slide, Sense sense) {
  // x anterior, y left, z superior
  constexpr std::array<const char*, 3> kBoth{"forward and back", "sideways", "up and down"};
  constexpr std::array<const char*, 3> kPlus{"forward", "to the left", "up"};
  constexpr std::array<const char*, 3> kMinus{"back", "to the right", "down"};
  std::vector<std::string> words;
  for (const std::size_t i : taking_part(slide))
    words.emplace_back(sense == Sense::both_ways                   ? kBoth[i]
                       : slide[static_cast<Eigen::Index>(i)] > 0.0 ? kPlus[i]
                                                                   : kMinus[i]);
  return join(words);
}

struct TurnWords {
  std::string verb{};  ///< "turns", "tilts", "tilts and turns"
  std::string way{};   ///< "about the vertical axis", "forward", "to the side"
};

TurnWords turn_words(const Eigen::Vector3d& turn, Sense sense) {
  // +x right bending, +y flexion, +z left rotation
  constexpr std::array<const char*, 3> kBoth{"from side to side", "forward and back", "about the vertical axis"};
  constexpr std::array<const char*, 3> kPlus{"to the right", "forward", "to the left about the vertical axis"};
  constexpr std::array<const char*, 3> kMinus{"to the left", "back", "to the right about the vertical axis"};
  bool tilts = false;
  bool turns = false;
  std::vector<std::string> ways;
  for (const std::size_t i : taking_part(turn)) {
    (i == 2 ? turns : tilts) = true;
    ways.emplace_back(sense == Sense::both_ways                  ? kBoth[i]
                      : turn[static_cast<Eigen::Index>(i)] > 0.0 ? kPlus[i]
                                                                 : kMinus[i]);
  }
  return {.verb = tilts && turns ? "tilts and turns" : turns ? "turns" : "tilts", .way = join(ways)};
}

}  // namespace

std::string listed(const std::vector<std::string>& names) {
  std::string out;
  for (const std::string& name : names) out += (out.empty() ? "" : ", ") + name;
  return out;
}

double RelativeMotion::size_mm() const {
  return std::sqrt(slide_mm.squaredNorm() + core::kRotationScale_mm * core::kRotationScale_mm * turn_rad.squaredNorm());
}

bool mostly_turns(const RelativeMotion& motion) {
  return core::kRotationScale_mm * motion.turn_rad.norm() >= motion.slide_mm.norm();
}

std::string describe(const RelativeMotion& motion, Sense sense) {
  const double slide = motion.slide_mm.norm();
  const double turn = core::kRotationScale_mm * motion.turn_rad.norm();
  const std::string who = called(motion.upper);
  const std::string on = motion.lower.empty() ? "" : " on " + called(motion.lower);
  const TurnWords words = turn_words(motion.turn_rad, sense);
  if (turn >= kDominates * slide) return who + " " + words.verb + on + " " + words.way;
  const std::string slides = "slides " + slide_words(motion.slide_mm, sense) + (motion.wired ? " through its wires" : "");
  if (slide >= kDominates * turn) return who + " " + slides + on;
  return who + " " + words.verb + " " + words.way + " and " + slides + on;
}

std::vector<RelativeMotion> relative_motions(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                             const Eigen::VectorXd& q) {
  std::vector<RelativeMotion> out;
  const auto name = [&mesh](mesh::BodyId id) { return mesh.origins[mesh::body(mesh.system, id).item].name; };
  for (const mesh::NeighbourPair& pair : mesh.system.neighbours) {
    const mesh::Vector6 upper = motion_of(model, pair.upper, q);
    const mesh::Vector6 lower = motion_of(model, pair.lower, q);
    const Eigen::Vector3d offset =
        mesh::body(mesh.system, pair.upper).position_mm - mesh::body(mesh.system, pair.lower).position_mm;
    out.push_back({.upper = name(pair.upper),
                   .lower = name(pair.lower),
                   .slide_mm = upper.head<3>() - rigid_point_motion(lower, offset),
                   .turn_rad = upper.tail<3>() - lower.tail<3>(),
                   .wired = held_by_wires(mesh.system, pair)});
  }
  return out;
}

RelativeMotion largest_relative_motion(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q) {
  std::vector<RelativeMotion> motions = relative_motions(mesh, model, q);
  std::vector<bool> paired(mesh.system.bodies.size(), false);
  for (const mesh::NeighbourPair& pair : mesh.system.neighbours)
    paired[static_cast<std::size_t>(pair.upper.value)] = paired[static_cast<std::size_t>(pair.lower.value)] = true;
  for (std::size_t i = 0; i < mesh.system.bodies.size(); ++i) {
    if (paired[i] || model.first_dof[i] < 0) continue;
    // Metal that rides on bone (a plate on the skull) moves as its bone does: that has its own name.
    if (mesh.system.bodies[i].kind == mesh::BodyKind::metal && !motions.empty()) continue;
    const mesh::Vector6 own = q.segment<6>(model.first_dof[i]);
    motions.push_back({.upper = mesh.origins[mesh.system.bodies[i].item].name,
                       .lower = "",
                       .slide_mm = own.head<3>(),
                       .turn_rad = own.tail<3>(),
                       .wired = false});
  }
  RelativeMotion largest;
  for (const RelativeMotion& motion : motions)
    if (largest.upper.empty() || motion.size_mm() > largest.size_mm()) largest = motion;
  return largest;
}

namespace {

/// q moves parts of this kind, and all else less than a tenth of that.
bool only_these_move(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q,
                     mesh::OriginKind kind) {
  constexpr double kStays = 0.1;
  const auto is_one = [&mesh, kind](mesh::BodyId id) { return mesh.origins[mesh::body(mesh.system, id).item].kind == kind; };
  const std::vector<RelativeMotion> motions = relative_motions(mesh, model, q);
  double these = 0.0;
  double others = 0.0;
  for (std::size_t i = 0; i < motions.size(); ++i) {
    const mesh::NeighbourPair& pair = mesh.system.neighbours[i];
    double& largest = is_one(pair.upper) || is_one(pair.lower) ? these : others;
    largest = std::max(largest, motions[i].size_mm());
  }
  return others < kStays * these;
}

}  // namespace

bool only_a_graft_moves(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q) {
  return only_these_move(mesh, model, q, mesh::OriginKind::graft);
}
bool only_the_dens_moves(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q) {
  return only_these_move(mesh, model, q, mesh::OriginKind::dens_fragment);
}

std::vector<std::string> floating_words(const std::vector<RelativeMotion>& motions) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < motions.size(); ++i) {
    int count = 0;
    bool told = false;
    for (std::size_t k = 0; k < motions.size(); ++k)
      if (motions[k].upper == motions[i].upper && motions[k].lower == motions[i].lower) {
        ++count;
        told = told || k < i;
      }
    if (told) continue;
    if (count == 1) {
      out.push_back(describe(motions[i], Sense::both_ways));
      continue;
    }
    const std::string on = motions[i].lower.empty() ? "" : " on " + called(motions[i].lower);
    out.push_back(called(motions[i].upper) + " floats" + on + ": " + std::to_string(count) + " free motions");
  }
  return out;
}

SoftMotion soft_motion(const RelativeMotion& motion, double eigenvalue_N_per_mm) {
  // A mode has unit length in the scaled measure, so its energy is eigenvalue/2 and its stiffness along a motion of size s
  // is eigenvalue/s^2. s counts the whole motion, slide and turn together (a turn as its arc at 20 mm): dividing by the turn
  // alone would make a mode that also slides look stiffer than it is, and out of order beside a pure turn.
  SoftMotion out{
      .what = describe(motion, Sense::both_ways), .stiffness = 0.0, .unit = mostly_turns(motion) ? "N m/deg" : "N/mm"};
  const double size_mm = motion.size_mm();
  if (!(size_mm > 0.0)) return out;
  const double along_N_per_mm = eigenvalue_N_per_mm / (size_mm * size_mm);
  out.stiffness = mostly_turns(motion)
                      ? models::to_Nm_per_deg(along_N_per_mm * core::kRotationScale_mm * core::kRotationScale_mm)
                      : along_N_per_mm;
  return out;
}

std::vector<SoftMotion> soft_motions(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                     const std::vector<core::Mode>& modes, std::size_t most) {
  std::vector<SoftMotion> out;
  bool fragment_told = false;
  for (std::size_t i = 0; i < modes.size() && out.size() < most; ++i) {
    const RelativeMotion motion = largest_relative_motion(mesh, model, modes[i].shape);
    // A mode has unit length: where hardly anything moves on its neighbour, metal rides along, and that is no motion of the
    // neck.
    constexpr double kRidesAlong = 0.1;
    if (motion.size_mm() < kRidesAlong) continue;
    // A dens fragment in fibrous tissue is always soft; its softest motion is enough, the levels are what a construct
    // controls.
    const bool fragment = motion.upper == kDensFragment;
    if (fragment && fragment_told) continue;
    fragment_told = fragment_told || fragment;
    SoftMotion soft = soft_motion(motion, modes[i].stiffness_N_per_mm);
    if (i + 1 < modes.size() && modes[i].stiffness_N_per_mm > 0.0 &&
        modes[i + 1].stiffness_N_per_mm - modes[i].stiffness_N_per_mm < kDegenerate * modes[i].stiffness_N_per_mm) {
      const RelativeMotion other = largest_relative_motion(mesh, model, modes[i + 1].shape);
      soft.what = (alike(motion, other) ? describe(both(motion, other), Sense::both_ways)
                                        : soft.what + ", and " + describe(other, Sense::both_ways)) +
                  " (a pair: any mixture is as soft)";
      ++i;
    }
    out.push_back(soft);
  }
  return out;
}

}  // namespace opisthion::study
