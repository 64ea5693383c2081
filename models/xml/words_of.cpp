// SPDX-License-Identifier: MIT
#include "models/case/axial_line.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

template <>
const std::vector<Word<Level>>& words_of<Level>() {
  static const std::vector<Word<Level>> all = [] {
    std::vector<Word<Level>> out;
    for (int i = 0; i < kLevelCount; ++i) out.push_back({static_cast<Level>(i), name(static_cast<Level>(i))});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<Side>>& words_of<Side>() {
  static const std::vector<Word<Side>> all{{Side::left, name(Side::left)}, {Side::right, name(Side::right)}};
  return all;
}

template <>
const std::vector<Word<Artery>>& words_of<Artery>() {
  static const std::vector<Word<Artery>> all{
      {Artery::not_checked, "not checked"}, {Artery::equal, "equal"}, {Artery::high, "high"},
      {Artery::dominant, "dominant"},       {Artery::only, "only"},   {Artery::occluded, "occluded"}};
  return all;
}

template <>
const std::vector<Word<BoneQuality>>& words_of<BoneQuality>() {
  static const std::vector<Word<BoneQuality>> all{
      {BoneQuality::normal, "normal"}, {BoneQuality::osteopenic, "osteopenic"}, {BoneQuality::osteoporotic, "osteoporotic"}};
  return all;
}

template <>
const std::vector<Word<JointState>>& words_of<JointState>() {
  static const std::vector<Word<JointState>> all{
      {JointState::intact, "intact"}, {JointState::stiff, "stiff"}, {JointState::fused, "fused"}};
  return all;
}

template <>
const std::vector<Word<JointId>>& words_of<JointId>() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> out;
    for (int i = 0; i + 1 < kLevelCount; ++i) out.push_back(name(JointId{static_cast<Level>(i), static_cast<Level>(i + 1)}));
    return out;
  }();
  static const std::vector<Word<JointId>> all = [] {
    std::vector<Word<JointId>> out;
    for (int i = 0; i + 1 < kLevelCount; ++i)
      out.push_back({JointId{static_cast<Level>(i), static_cast<Level>(i + 1)}, names[static_cast<std::size_t>(i)]});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<InstabilityKind>>& words_of<InstabilityKind>() {
  static const std::vector<Word<InstabilityKind>> all{
      {InstabilityKind::dens_nonunion, "dens non-union"},
      {InstabilityKind::dens_fracture, "fresh dens fracture"},
      {InstabilityKind::odontoidectomy, "odontoidectomy"},
      {InstabilityKind::transverse_ligament_rupture, "transverse ligament rupture"},
      {InstabilityKind::alar_rupture, "alar rupture"},
      {InstabilityKind::tectorial_rupture, "tectorial rupture"},
      {InstabilityKind::occipitoatlantal_dissociation, "occipitoatlantal dissociation"},
      {InstabilityKind::vertical_instability, "vertical instability"},
      {InstabilityKind::lateral_mass_loss, "lateral mass loss"},
      {InstabilityKind::ring_fracture, "ring fracture"},
      {InstabilityKind::lateral_mass_destroyed, "lateral mass destroyed"},
      {InstabilityKind::body_destroyed, "body destroyed"},
      {InstabilityKind::laminectomy, "laminectomy"},
      {InstabilityKind::facetectomy, "facetectomy"},
      {InstabilityKind::posterior_ligament_section, "posterior ligament section"}};
  return all;
}

template <>
const std::vector<Word<AxialLine>>& words_of<AxialLine>() {
  static const std::vector<Word<AxialLine>> all = [] {
    std::vector<Word<AxialLine>> out;
    for (const AxialLine line : {AxialLine::lateral_masses, AxialLine::dens, AxialLine::condyles, AxialLine::body})
      out.push_back({line, title(line)});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<Motion>>& words_of<Motion>() {
  static const std::vector<Word<Motion>> all = [] {
    std::vector<Word<Motion>> out;
    for (const Motion motion : kMotions) out.push_back({motion, title(motion)});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<MomentKind>>& words_of<MomentKind>() {
  static const std::vector<Word<MomentKind>> all{{MomentKind::conservative, "conservative"},
                                                 {MomentKind::fixed_axis, "fixed axis"},
                                                 {MomentKind::head_following, "head-following"}};
  return all;
}

template <>
const std::vector<Word<AnchorKind>>& words_of<AnchorKind>() {
  static const std::vector<Word<AnchorKind>> all = [] {
    std::vector<Word<AnchorKind>> out;
    for (int i = 0; i < kAnchorKindCount; ++i)
      out.push_back({static_cast<AnchorKind>(i), title(static_cast<AnchorKind>(i))});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<Purchase>>& words_of<Purchase>() {
  static const std::vector<Word<Purchase>> all{{Purchase::unicortical, "unicortical"}, {Purchase::bicortical, "bicortical"}};
  return all;
}

template <>
const std::vector<Word<Metal>>& words_of<Metal>() {
  static const std::vector<Word<Metal>> all{{Metal::titanium_alloy, "titanium alloy"},
                                            {Metal::cobalt_chrome, "cobalt chrome"},
                                            {Metal::stainless_steel, "stainless steel"}};
  return all;
}

template <>
const std::vector<Word<AnchorState>>& words_of<AnchorState>() {
  static const std::vector<Word<AnchorState>> all{{AnchorState::sound, "sound"},
                                                  {AnchorState::loose, "loose"},
                                                  {AnchorState::stripped, "stripped"},
                                                  {AnchorState::rescue, "rescue"}};
  return all;
}

template <>
const std::vector<Word<LateralMassPath>>& words_of<LateralMassPath>() {
  static const std::vector<Word<LateralMassPath>> all{{LateralMassPath::straight, "straight"},
                                                      {LateralMassPath::divergent, "divergent"}};
  return all;
}

template <>
const std::vector<Word<HookFacing>>& words_of<HookFacing>() {
  static const std::vector<Word<HookFacing>> all{{HookFacing::up, "up"}, {HookFacing::down, "down"}};
  return all;
}

template <>
const std::vector<Word<Bending>>& words_of<Bending>() {
  static const std::vector<Word<Bending>> all{
      {Bending::contoured, "contoured"}, {Bending::pre_bent, "pre-bent"}, {Bending::bench_bent, "bench-bent"}};
  return all;
}

template <>
const std::vector<Word<PlateKind>>& words_of<PlateKind>() {
  static const std::vector<Word<PlateKind>> all{
      {PlateKind::midline, "midline"}, {PlateKind::paramedian, "paramedian"}, {PlateKind::lateral_mass, "lateral mass"}};
  return all;
}

template <>
const std::vector<Word<TieKind>>& words_of<TieKind>() {
  static const std::vector<Word<TieKind>> all = [] {
    std::vector<Word<TieKind>> out;
    for (const TieKind kind : {TieKind::midline_wire, TieKind::sublaminar_wire, TieKind::spinous_wire, TieKind::clamp})
      out.push_back({kind, title(kind)});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<GraftKind>>& words_of<GraftKind>() {
  static const std::vector<Word<GraftKind>> all{
      {GraftKind::block, "block"}, {GraftKind::onlay, "onlay"}, {GraftKind::lateral_joint, "lateral joint"}};
  return all;
}

template <>
const std::vector<Word<AssemblyOrder>>& words_of<AssemblyOrder>() {
  static const std::vector<Word<AssemblyOrder>> all{{AssemblyOrder::tighten_then_lock, "tighten then lock"},
                                                    {AssemblyOrder::lock_then_tighten, "lock then tighten"}};
  return all;
}

template <>
const std::vector<Word<bool>>& words_of<bool>() {
  static const std::vector<Word<bool>> all{{true, "yes"}, {false, "no"}};
  return all;
}

}  // namespace opisthion::models::xml
