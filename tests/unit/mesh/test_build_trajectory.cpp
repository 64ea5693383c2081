// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

#include "models/hardware/trajectory.hpp"
#include "models/quantity/units.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/samples.hpp"

using namespace opisthion;
using models::AnchorKind;
using models::Level;
using models::Side;
using models::Tissue;

namespace {

models::Trajectory path(AnchorKind kind, Side side, const models::Neck& neck = {}) {
  const models::ParameterReader number(tests::library());
  return models::trajectory(tests::anchor(kind, kind == AnchorKind::lateral_mass ? Level::C1 : Level::C2, side), neck,
                            number);
}

double length_in(const models::Trajectory& t, Level level, bool bone) {
  double sum = 0.0;
  for (const models::AnchorLayer& layer : t.layers)
    if ((layer.tissue != Tissue::none) == bone && (!bone || layer.level == level)) sum += layer.length_mm;
  return sum;
}

Eigen::Vector3d library_point(std::string_view id) {
  return models::ParameterReader(tests::library()).point(id);
}

}  // namespace

TEST_CASE("trajectory: the right side mirrors the left, but for the crossing of laminar screws") {
  for (const AnchorKind kind :
       {AnchorKind::lateral_mass, AnchorKind::pars, AnchorKind::pedicle, AnchorKind::laminar, AnchorKind::transarticular}) {
    const models::Trajectory left = path(kind, Side::left);
    const models::Trajectory right = path(kind, Side::right);
    CHECK(right.into_bone == models::mirrored(left.into_bone));
    const Eigen::Vector3d off = right.entry_mm - models::mirrored(left.entry_mm);
    if (kind == AnchorKind::laminar)
      CHECK(off.z() == Approx(-4.0));
    else
      CHECK(off.norm() == 0.0);
    CHECK(right.length_mm == left.length_mm);
    CHECK(left.into_bone.norm() == Approx(1.0));
  }
}

TEST_CASE("trajectory: the C2 pedicle axis runs 33 degrees medial and 20 degrees cranial") {
  // Xu R et al. 1995, Spine: posterior projection of the C2 pedicle axis
  const Eigen::Vector3d d = path(AnchorKind::pedicle, Side::left).into_bone;
  CHECK(models::to_deg(std::atan2(-d.y(), d.x())) == Approx(33.0));
  CHECK(models::to_deg(std::asin(d.z())) == Approx(20.0));
}

TEST_CASE("trajectory: the C1 lateral mass screw runs through the middle of the mass from half its depth behind it") {
  const models::Trajectory t = path(AnchorKind::lateral_mass, Side::left);
  const Eigen::Vector3d centre = library_point("point.C1.lateral_mass_centre.left");
  CHECK((centre - t.entry_mm).cross(t.into_bone).norm() < 0.02);                   // entry rounded to 0.01 mm in the library
  CHECK((centre - t.entry_mm).dot(t.into_bone) == Approx(19.7 / 2).margin(0.02));  // depth: Hung et al. 2020
  CHECK(t.free_shank_mm >= 8.0);  // common practice: the head lies behind the posterior arch
}

TEST_CASE("trajectory: a deeper lateral mass on the CT has its entry further back, by half the difference") {
  models::Neck neck;
  neck.anatomy = {{.level = Level::C1, .left = {.lateral_mass_depth_mm = 23.7}}};
  const models::Trajectory usual = path(AnchorKind::lateral_mass, Side::left);
  const models::Trajectory deep = path(AnchorKind::lateral_mass, Side::left, neck);
  CHECK((deep.entry_mm - (usual.entry_mm - 2.0 * usual.into_bone)).norm() < 1e-12);
  CHECK(path(AnchorKind::lateral_mass, Side::right, neck).entry_mm == path(AnchorKind::lateral_mass, Side::right).entry_mm);
}

TEST_CASE("trajectory: the pars screw ends short of the C1-C2 joint and the transarticular one goes through it") {
  const Eigen::Vector3d facet = library_point("point.C2.superior_facet_centre.left");
  const Eigen::Vector3d normal = library_point("point.C2.superior_facet_normal.left");
  const models::Trajectory pars = path(AnchorKind::pars, Side::left);
  const models::Trajectory through = path(AnchorKind::transarticular, Side::left);
  CHECK(pars.length_mm == 16.0);
  CHECK((pars.at(pars.length_mm) - facet).dot(normal) < -5.0);
  CHECK((through.at(through.length_mm) - facet).dot(normal) > 5.0);
  CHECK(through.entry_mm == pars.entry_mm);
  CHECK(through.into_bone.z() > pars.into_bone.z());
}

TEST_CASE("trajectory: bone lengths of a transarticular screw follow from its axis and the two facet planes") {
  const models::Trajectory t = path(AnchorKind::transarticular, Side::left);
  const auto depth = [&](std::string_view joint_side) {
    const Eigen::Vector3d point = library_point(std::string("point.").append(joint_side).append("_facet_centre.left"));
    const Eigen::Vector3d normal = library_point(std::string("point.").append(joint_side).append("_facet_normal.left"));
    const double s = (point - t.entry_mm).dot(normal) / t.into_bone.dot(normal);
    CHECK((t.at(s) - point).norm() < 8.0);  // inside the joint surface of about 16 x 14 mm
    return s;
  };
  const double leaves_c2 = depth("C2.superior");
  const double enters_c1 = depth("C1.inferior");
  CHECK(length_in(t, Level::C2, true) == Approx(leaves_c2));
  CHECK(length_in(t, Level::C1, true) == Approx(40.0 - enters_c1));
  CHECK(length_in(t, Level::C1, false) == Approx(enters_c1 - leaves_c2));
  CHECK(length_in(t, Level::C1, true) > 8.0);
  // It stays below the joint with the occiput.
  const Eigen::Vector3d top = library_point("point.C1.superior_facet_centre.left");
  CHECK((t.at(40.0) - top).dot(library_point("point.C1.superior_facet_normal.left")) < -1.0);
}

TEST_CASE("trajectory: a transarticular screw that is too short grips C2 only") {
  const models::ParameterReader number(tests::library());
  models::Anchor a = tests::anchor(AnchorKind::transarticular, Level::C2, Side::left);
  a.length_mm = 20.0;
  const models::Trajectory t = models::trajectory(a, {}, number);
  CHECK(length_in(t, Level::C2, true) == Approx(20.0));
  CHECK(length_in(t, Level::C1, true) == 0.0);
}

TEST_CASE("trajectory: two laminar screws cross the midline without touching") {
  const models::Trajectory left = path(AnchorKind::laminar, Side::left);
  const models::Trajectory right = path(AnchorKind::laminar, Side::right);
  CHECK(left.entry_mm.y() > 0.0);
  CHECK(left.at(left.length_mm).y() < -10.0);
  // Distance of two skew lines.
  const Eigen::Vector3d across = left.into_bone.cross(right.into_bone).normalized();
  CHECK(std::abs((right.entry_mm - left.entry_mm).dot(across)) > left.diameter_mm);
  // The axis runs through the middle of the opposite lamina, at its own height.
  const Eigen::Vector3d lamina = models::mirrored(library_point("point.C2.lamina.left"));
  const Eigen::Vector3d level_entry(left.entry_mm.x(), left.entry_mm.y(), lamina.z());
  CHECK((lamina - level_entry).cross(left.into_bone).norm() < 0.5);
}

TEST_CASE("trajectory: bicortical purchase adds a far cortex, a case's length lengthens the cancellous part") {
  const models::ParameterReader number(tests::library());
  models::Anchor a = tests::anchor(AnchorKind::lateral_mass, Level::C1, Side::left);
  const models::Trajectory one = models::trajectory(a, {}, number);
  REQUIRE(one.layers.size() == 2);
  CHECK(one.layers[0].length_mm == Approx(1.0));
  CHECK(one.layers[1].length_mm == Approx(15.0));  // 18 mm long, the last 2 mm hold nothing
  a.length_mm = 20.0;
  CHECK(models::trajectory(a, {}, number).layers[1].length_mm == Approx(17.0));
  a.length_mm.reset();
  a.purchase = models::Purchase::bicortical;
  const models::Trajectory both = models::trajectory(a, {}, number);
  REQUIRE(both.layers.size() == 3);
  CHECK(both.layers[2].tissue == Tissue::cortex);
  CHECK(both.layers[0].length_mm + both.layers[1].length_mm + both.layers[2].length_mm == Approx(both.length_mm));
}

TEST_CASE("trajectory: the core follows ISO 5835 and the case's diameter overrides the library's") {
  const models::ParameterReader number(tests::library());
  models::Anchor a = tests::anchor(AnchorKind::pars, Level::C2, Side::left);
  CHECK(models::trajectory(a, {}, number).core_diameter_mm == Approx(2.4).epsilon(1e-3));  // HA 3.5
  a.diameter_mm = 4.0;
  CHECK(models::trajectory(a, {}, number).diameter_mm == 4.0);
}
