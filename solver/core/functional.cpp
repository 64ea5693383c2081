// SPDX-License-Identifier: MIT
#include "solver/core/functional.hpp"

#include <Eigen/Geometry>
#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/beam.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Vector3;
using mesh::Vector6;

/// Collects rows body by body; the same body twice becomes one block.
class Builder {
 public:
  Builder(const mesh::System& system, const std::vector<int>& first_dof) : system_(system), first_dof_(first_dof) {}

  /// Adds direction . (motion of the body's point).
  void add_motion(BodyId id, const Vector3& point_mm, const Vector3& direction) {
    const Vector3 arm = point_mm - mesh::body(system_, id).position_mm;
    Vector6 row;
    row << direction, arm.cross(direction);
    add(id, row);
  }

  /// Adds direction . (rotation of the body).
  void add_rotation(BodyId id, const Vector3& direction) {
    Vector6 row;
    row << Vector3::Zero(), direction;
    add(id, row);
  }

  Functional finish(const mesh::ScalarLaw& law, mesh::ItemId item, bool strand) {
    functional_.law = law;
    functional_.item = item;
    functional_.strand = strand;
    Functional done = functional_;
    functional_ = {};
    return done;
  }

 private:
  void add(BodyId id, const Vector6& row) {
    if (mesh::body(system_, id).fixed) return;
    const int first = first_dof_[at_index(id.value)];
    assert(first >= 0 && "a law touches a body that condenses away");
    for (int b = 0; b < functional_.blocks; ++b) {
      if (functional_.first_dof[at_index(b)] != first) continue;
      functional_.row[at_index(b)] += row;
      return;
    }
    assert(functional_.blocks < Functional::kMostBlocks);
    functional_.first_dof[at_index(functional_.blocks)] = first;
    functional_.row[at_index(functional_.blocks)] = row;
    ++functional_.blocks;
  }

  const mesh::System& system_;
  const std::vector<int>& first_dof_;
  Functional functional_{};
};

}  // namespace

Vector3 pad_gradient(const mesh::Pad& pad) {
  const Vector3 p_surface = pad.global_from_surface.transpose() * (pad.a.point_mm - pad.vertex_mm);
  const Vector3 gradient(-pad.curvature_sagittal_per_mm * p_surface.x(), -pad.curvature_coronal_per_mm * p_surface.y(), 1.0);
  return pad.global_from_surface * gradient;
}

std::vector<Functional> functionals_of(const mesh::System& system, const std::vector<int>& first_dof) {
  std::vector<Functional> out;
  out.reserve(system.strands.size() + system.pads.size() + 2 * system.rings.size() + 6 * system.axis_cushions.size() +
              system.slips.size());
  Builder row(system, first_dof);
  for (const mesh::Strand& strand : system.strands) {
    assert(strand.path.size() >= 2);
    for (std::size_t i = 0; i + 1 < strand.path.size(); ++i) {
      const mesh::Attachment& from = strand.path[i];
      const mesh::Attachment& to = strand.path[i + 1];
      const Vector3 along = to.point_mm - from.point_mm;
      const double length = along.norm();
      if (length == 0.0) continue;  // no direction: it neither lengthens nor pulls to first order
      row.add_motion(to.body, to.point_mm, along / length);
      row.add_motion(from.body, from.point_mm, -along / length);
    }
    out.push_back(row.finish(strand.law, strand.item, true));
  }
  for (const mesh::Pad& pad : system.pads) {
    const Vector3 normal = pad_gradient(pad).normalized();
    row.add_motion(pad.a.body, pad.a.point_mm, -normal);
    row.add_motion(pad.b, pad.a.point_mm, normal);
    out.push_back(row.finish(pad.law, pad.item, false));
  }
  for (const mesh::Ring& ring : system.rings) {
    row.add_motion(ring.dens, ring.axis_point_mm, ring.anterior);
    row.add_motion(ring.ring, ring.axis_point_mm, -ring.anterior);
    out.push_back(row.finish(ring.arch, ring.arch_item, false));
    if (!ring.has_ligament) continue;
    row.add_motion(ring.dens, ring.axis_point_mm, -ring.ligament_gain * ring.anterior);
    row.add_motion(ring.ring, ring.axis_point_mm, ring.ligament_gain * ring.anterior);
    out.push_back(row.finish(ring.ligament, ring.ligament_item, true));
  }
  for (const mesh::AxisCushion& cushion : system.axis_cushions) {
    for (int axis = 0; axis < 6; ++axis) {
      const Vector3 direction = cushion.global_from_cushion.col(axis % 3);
      if (axis < 3) {
        row.add_motion(cushion.b, cushion.point_mm, direction);
        row.add_motion(cushion.a, cushion.point_mm, -direction);
      } else {
        row.add_rotation(cushion.b, direction);
        row.add_rotation(cushion.a, -direction);
      }
      out.push_back(row.finish(cushion.laws[at_index(axis)], cushion.item, false));
    }
  }
  for (const mesh::Slip& slip : system.slips) {
    if (slip.turning) {
      row.add_rotation(slip.a.body, slip.direction);
      row.add_rotation(slip.b, -slip.direction);
    } else {
      row.add_motion(slip.a.body, slip.a.point_mm, slip.direction);
      row.add_motion(slip.b, slip.a.point_mm, -slip.direction);
    }
    out.push_back(row.finish(mesh::ToeLinear{}, slip.item, false));
  }
  return out;
}

std::vector<Friction> frictions_of(const mesh::System& system) {
  std::vector<Friction> out;
  if (system.slips.empty()) return out;
  std::size_t place = system.strands.size() + system.pads.size() + 6 * system.axis_cushions.size();
  for (const mesh::Ring& ring : system.rings) place += ring.has_ligament ? 2 : 1;
  for (const mesh::Slip& slip : system.slips) {
    Friction friction{.functional = static_cast<int>(place++), .stiffness = slip.stiffness, .cap_per_N = slip.cap_per_N};
    for (const mesh::NormalForce& normal : slip.normal) {
      const bool strand = normal.of == mesh::NormalForce::Of::strand;
      const std::size_t index = at_index(normal.index);
      assert(normal.index >= 0 && index < (strand ? system.strands.size() : system.pads.size()));
      friction.normal.push_back({static_cast<int>(strand ? index : system.strands.size() + index), normal.weight});
    }
    out.push_back(std::move(friction));
  }
  return out;
}

std::vector<Tightened> tightened_of(const mesh::System& system) {
  std::vector<Tightened> out;
  const auto take = [&out](double force_N, const mesh::ScalarLaw& law, std::size_t place) {
    if (!(force_N > 0.0)) return;
    const auto* toe = std::get_if<mesh::ToeLinear>(&law);
    assert(toe != nullptr && toe->toe == 0.0 && toe->stiffness > 0.0 && "only a straight one-sided law can be tightened");
    static_cast<void>(toe);
    out.push_back({static_cast<int>(place), force_N});
  };
  for (std::size_t i = 0; i < system.strands.size(); ++i) take(system.strands[i].tighten_N, system.strands[i].law, i);
  for (std::size_t i = 0; i < system.pads.size(); ++i)
    take(system.pads[i].tighten_N, system.pads[i].law, system.strands.size() + i);
  return out;
}

NeighbourBlocks neighbour_blocks(const mesh::System& system, const mesh::NeighbourPair& pair) {
  const Vector3 upper = mesh::body(system, pair.upper).position_mm;
  const Vector3 lower = mesh::body(system, pair.lower).position_mm;
  const Vector3 middle = 0.5 * (upper + lower);
  const mesh::Matrix6 arm_u = rigid_arm(middle - upper);
  const mesh::Matrix6 arm_l = rigid_arm(middle - lower);
  Vector6 k;
  k << Vector3::Constant(kRegularisation_N_per_mm), Vector3::Constant(kRegularisation_Nmm_per_rad);
  NeighbourBlocks out;
  out.uu = arm_u.transpose() * k.asDiagonal() * arm_u;
  out.ul = -(arm_u.transpose() * k.asDiagonal() * arm_l);
  out.ll = arm_l.transpose() * k.asDiagonal() * arm_l;
  return out;
}

}  // namespace opisthion::core
