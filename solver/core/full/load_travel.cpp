// SPDX-License-Identifier: MIT
#include "solver/core/full/load_travel.hpp"

#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/modes.hpp"

namespace opisthion::core::full {
namespace {

Vector3 branch_of(const State& state, std::size_t i) {
  return i < state.branch.size() ? state.branch[i] : Vector3(Vector3::Zero());
}

Vector3 point_before(const PointForce& force, const Model& model) {
  return mesh::body(model.system, force.body).position_mm + force.arm_mm;
}

}  // namespace

double size_N(const Loads& loads) {
  double sum = 0.0;
  for (const PointForce& force : loads.forces) sum += force.force_N.squaredNorm();
  for (const Moment& moment : loads.moments) sum += (moment.moment_Nmm / kRotationScale_mm).squaredNorm();
  return std::sqrt(sum);
}

double travel_size(const Loads& loads) {
  return loads.forces.empty() ? kRotationScale_mm * size_N(loads) : size_N(loads);
}

double work_without_travel(const Loads& loads, const Model& model) {
  double work = 0.0;
  for (const PointForce& force : loads.forces) work += force.force_N.dot(point_before(force, model));
  return work;
}

double travel(const Loads& loads, const Model& model, const State& state, std::size_t first_branch) {
  double work = 0.0;
  for (const PointForce& force : loads.forces) {
    const Pose& pose = pose_of(state.poses, force.body);
    work += force.force_N.dot(pose.position_mm + pose.rotation * force.arm_mm - point_before(force, model));
  }
  for (std::size_t i = 0; i < loads.moments.size(); ++i) {
    const Moment& moment = loads.moments[i];
    work += moment.moment_Nmm.dot(turned(moment, pose_of(state.poses, moment.body), branch_of(state, first_branch + i)));
  }
  return work / travel_size(loads);
}

void push_and_slope(const Loads& loads, const Model& model, const State& state, std::size_t first_branch, Pushing& out) {
  const double size = travel_size(loads);
  out.push.setZero(model.dofs);
  out.slope.setZero(model.dofs);
  for (const PointForce& force : loads.forces) {
    const int i = model.first_dof[at_index(force.body.value)];
    if (i < 0) continue;
    const Vector6 own = -answer(force, pose_of(state.poses, force.body)).gradient;
    out.push.segment<6>(i) += own;
    out.slope.segment<6>(i) += own / size;
  }
  for (std::size_t m = 0; m < loads.moments.size(); ++m) {
    Moment moment = loads.moments[m];
    const int i = model.first_dof[at_index(moment.body.value)];
    if (i < 0) continue;
    const Pose& pose = pose_of(state.poses, moment.body);
    const Vector3 branch = branch_of(state, first_branch + m);
    out.push.segment<6>(i) -= answer(moment, pose, branch).gradient;
    moment.kind = MomentKind::conservative;  // whose work is moment times rotation vector
    out.slope.segment<6>(i) -= answer(moment, pose, branch).gradient / size;
  }
}

}  // namespace opisthion::core::full
