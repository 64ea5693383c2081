// SPDX-License-Identifier: MIT
#include "solver/study/figures.hpp"

#include <algorithm>
#include <cmath>

#include "models/quantity/units.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

constexpr double kMostMove_deg = 0.05;
constexpr double kMostMove_mm = 0.05;
constexpr double kMostRelativeMove = 0.01;
constexpr double kShows = 0.1;  // of the bench's resolution: a smaller move shows in no figure, whatever its share

std::optional<double> read(const Prepared& prepared, std::string_view probe, const Eigen::VectorXd& q) {
  const int index = prepared.mesh.find_probe(probe);
  if (index < 0) return std::nullopt;
  return core::measure(prepared.mesh.system, prepared.model, prepared.mesh.probes[static_cast<std::size_t>(index)], q);
}

Eigen::Vector3d change3(const Prepared& prepared, const std::string& stem, const std::array<const char*, 3>& xyz,
                        const Eigen::VectorXd& q, const Eigen::VectorXd& neutral) {
  Eigen::Vector3d out;
  for (int i = 0; i < 3; ++i) out[i] = probe_change(prepared, stem + xyz[static_cast<std::size_t>(i)], q, neutral);
  return out;
}

struct Move {
  std::string text{};
  double excess = 0.0;  ///< how many times the tolerance
};

void look(Move& worst, const std::string& what, double from, double to, double resolution, double most, const char* unit) {
  const double move = std::abs(to - from);
  double excess = move / most;
  if (std::abs(from) >= resolution && move >= kShows * resolution)
    excess = std::max(excess, move / (kMostRelativeMove * std::abs(from)));
  if (!std::isfinite(move)) excess = 1e300;
  if (excess > 1.0 && excess > worst.excess)
    worst = {.text = what + " moves from " + figure(from, 3) + " to " + figure(to, 3) + " " + unit, .excess = excess};
}

void look(Move& worst, const char* what, const std::optional<double>& from, const std::optional<double>& to) {
  if (from && to) look(worst, what, *from, *to, kTravelResolution_mm, kMostMove_mm, "mm");
}

}  // namespace

double probe_change(const Prepared& prepared, const std::string& probe, const Eigen::VectorXd& q,
                    const Eigen::VectorXd& neutral) {
  const auto at = read(prepared, probe, q);
  const auto before = read(prepared, probe, neutral);
  const double change = at && before ? *at - *before : 0.0;
  return std::abs(change) < kRounding ? 0.0 : change;
}

Figures read_figures(const Prepared& prepared, const Eigen::VectorXd& q, const Eigen::VectorXd& neutral) {
  constexpr std::array<const char*, 3> kTurns{"/rotation/bending", "/rotation/flexion", "/rotation/rotation"};
  constexpr std::array<const char*, 3> kMoves{"/translation/x", "/translation/y", "/translation/z"};
  Figures out;
  out.overall_rad = change3(prepared, "overall", kTurns, q, neutral);
  for (const mesh::JointProbes& joint : prepared.mesh.joints)
    out.joints.push_back({.rotation_rad = change3(prepared, joint.name, kTurns, q, neutral),
                          .translation_mm = change3(prepared, joint.name, kMoves, q, neutral)});
  out.measures.atlas_dens_interval_mm = read(prepared, "atlas_dens_interval", q);
  if (prepared.mesh.find_probe("c1_slip") >= 0) out.measures.c1_slip_mm = probe_change(prepared, "c1_slip", q, neutral);
  for (const char* room : {"cord_room/arch_to_dens", "cord_room/arch_to_C2", "cord_room/dens_to_lamina"})
    if (const auto mm = read(prepared, room, q))
      out.measures.cord_room_mm = out.measures.cord_room_mm ? std::min(*out.measures.cord_room_mm, *mm) : *mm;
  return out;
}

LargestRotation largest_rotation(const Figures& figures) {
  LargestRotation largest;
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const double rotation_deg = models::to_deg(figures.joints[i].rotation_rad.norm());
    if (largest.joint < 0 || rotation_deg > largest.rotation_deg)
      largest = {.joint = static_cast<int>(i), .rotation_deg = rotation_deg};
  }
  return largest;
}

std::string moved(const mesh::Mesh& mesh, const Figures& from, const Figures& to, bool rotations_too) {
  Move worst;
  const auto turn = [&worst](const std::string& what, const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
    constexpr std::array<const char*, 3> kAbout{" bending", " flexion", " rotation"};
    for (int i = 0; i < 3; ++i)
      look(worst, what + kAbout[static_cast<std::size_t>(i)], models::to_deg(a[i]), models::to_deg(b[i]),
           kRotationResolution_deg, kMostMove_deg, "deg");
  };
  if (rotations_too) turn("overall", from.overall_rad, to.overall_rad);
  for (std::size_t i = 0; rotations_too && i < from.joints.size() && i < to.joints.size(); ++i) {
    const std::string& name = mesh.joints[i].name;
    turn(name, from.joints[i].rotation_rad, to.joints[i].rotation_rad);
    for (int k = 0; k < 3; ++k)
      look(worst, name + " translation", from.joints[i].translation_mm[k], to.joints[i].translation_mm[k],
           kTravelResolution_mm, kMostMove_mm, "mm");
  }
  look(worst, "the atlas-dens interval", from.measures.atlas_dens_interval_mm, to.measures.atlas_dens_interval_mm);
  look(worst, "the room for the cord", from.measures.cord_room_mm, to.measures.cord_room_mm);
  look(worst, "the slip of C1", from.measures.c1_slip_mm, to.measures.c1_slip_mm);
  return worst.text;
}

std::string moved_travel(double from_mm, double to_mm) {
  Move worst;
  look(worst, "the travel", from_mm, to_mm, kTravelResolution_mm, kMostMove_mm, "mm");
  return worst.text;
}

}  // namespace opisthion::study
