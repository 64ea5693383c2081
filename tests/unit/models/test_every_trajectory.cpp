// SPDX-License-Identifier: MIT
// Every screw at every level on both sides lies in the bone it is named after. The bone is known by the coordinate table:
// centres of masses and bodies, joint surfaces, back and front of the bodies; sizes that the table lacks stand beside the
// check.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>

#include "models/hardware/occiput_surface.hpp"
#include "models/hardware/trajectory.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using Eigen::Vector3d;
using models::Anchor;
using models::AnchorKind;
using models::LateralMassPath;
using models::Level;
using models::Purchase;
using models::Side;
using models::Tissue;

namespace {

Vector3d point(Level level, std::string_view what) {
  return models::ParameterReader(tests::library()).point(std::string("point.").append(name(level)).append(".").append(what));
}

models::Trajectory path(const Anchor& anchor, const models::Neck& neck = {}) {
  return models::trajectory(anchor, neck, models::ParameterReader(tests::library()));
}

template <typename Visit>
void each_screw(const Visit& visit) {
  for (const models::AnchorKindRow& row : models::anchor_kinds())
    for (int i = 0; i < models::kLevelCount; ++i) {
      const Level level = static_cast<Level>(i);
      if (!models::has_trajectory(row.kind, level)) continue;
      for (const Purchase purchase : {Purchase::unicortical, Purchase::bicortical})
        for (const LateralMassPath way : {LateralMassPath::straight, LateralMassPath::divergent}) {
          const Anchor anchor{.kind = row.kind, .level = level, .purchase = purchase, .path = way};
          INFO(row.title << " at " << name(level));
          visit(anchor);
        }
    }
}

/// Along the body's own axes from C3 down: forward, left, up.
Vector3d in_body_axes(Level level, const Vector3d& v) {
  const Vector3d up = (point(level, "body_top_mid") - point(level, "body_bottom_mid")).normalized();
  return {v.dot(Vector3d(up.z(), 0.0, -up.x())), v.y(), v.dot(up)};
}

/// Height over a joint surface, out of the bone positive.
double out_of(const Vector3d& p, Level level, const std::string& facet) {
  return (p - point(level, facet + "_facet_centre.left")).dot(point(level, facet + "_facet_normal.left"));
}

double body_half_depth(Level level) {
  return 0.5 * (point(level, "all_attachment") - point(level, "pll_attachment")).norm();
}

}  // namespace

TEST_CASE("every trajectory: the right screw mirrors the left one, but for the height of laminar screws") {
  each_screw([](const Anchor& left) {
    Anchor right = left;
    right.side = Side::right;
    const models::Trajectory l = path(left);
    const models::Trajectory r = path(right);
    CHECK(l.into_bone.norm() == Approx(1.0));
    CHECK(r.length_mm == l.length_mm);
    REQUIRE(r.layers.size() == l.layers.size());
    if (models::is_midline(left.kind)) {
      CHECK(r.entry_mm == l.entry_mm);
      CHECK(l.entry_mm.y() == 0.0);
      CHECK(l.into_bone.y() == 0.0);
      return;
    }
    CHECK(r.into_bone == models::mirrored(l.into_bone));
    const Vector3d off = r.entry_mm - models::mirrored(l.entry_mm);
    if (left.kind == AnchorKind::laminar)
      CHECK(off.z() < -3.5);
    else
      CHECK(off.norm() == 0.0);
  });
}

TEST_CASE("every trajectory: layers follow each other inside the screw, the first is cortex of the level it enters") {
  each_screw([](const Anchor& anchor) {
    const models::Trajectory t = path(anchor);
    REQUIRE_FALSE(t.layers.empty());
    double sum = 0.0;
    for (const models::AnchorLayer& layer : t.layers) {
      CHECK(layer.length_mm > 0.0);
      sum += layer.length_mm;
    }
    CHECK(sum <= t.length_mm + 1e-9);
    CHECK(sum > 0.7 * t.length_mm);
    CHECK(t.layers.front().tissue == Tissue::cortex);
    CHECK(t.layers.front().level == anchor.level);
    CHECK(t.layers.back().level == models::ends_at(anchor.kind, anchor.level));
    CHECK(t.free_shank_mm > 0.0);
    CHECK(t.core_diameter_mm < t.diameter_mm);
    // The tip of a screw through both cortices passes the second one. A pedicle screw has none in the front of the body.
    if (anchor.purchase == Purchase::bicortical) CHECK(t.layers.back().tissue == Tissue::cortex);
  });
}

TEST_CASE("every trajectory: both ways of a subaxial lateral mass screw stay in the mass, between its joint surfaces") {
  for (const Level level : {Level::C3, Level::C4, Level::C5, Level::C6, Level::C7})
    for (const LateralMassPath way : {LateralMassPath::straight, LateralMassPath::divergent})
      for (const Purchase purchase : {Purchase::unicortical, Purchase::bicortical}) {
        INFO(name(level));
        const models::Trajectory t =
            path({.kind = AnchorKind::lateral_mass, .level = level, .purchase = purchase, .path = way});
        const Vector3d centre = point(level, "lateral_mass_centre.left");
        const bool straight = way == LateralMassPath::straight;
        for (const double depth : {0.0, 0.5 * t.length_mm, t.length_mm}) {
          CHECK(out_of(t.at(depth), level, "superior") < 0.0);
          CHECK(out_of(t.at(depth), level, "inferior") < 0.0);
          // Schroeder et al. 2019: mass 12.0 wide, 10.8 deep; half of each, and 0.5 mm of cortex passed by the tip
          CHECK(std::abs(t.at(depth).y() - centre.y()) < 6.0);
          CHECK(std::abs(in_body_axes(level, t.at(depth) - centre).x()) < 5.9);
        }
        // Standard technique (from memory): straight about level and 0-10 deg outwards, divergent 25-30 and 30-45.
        const Vector3d d = in_body_axes(level, t.into_bone);
        const double outwards = std::atan2(d.y(), d.x()) * 57.2957795;
        const double upwards = std::asin(d.z()) * 57.2957795;
        CHECK(outwards == (straight ? Approx(5.0).margin(5.1) : Approx(27.5).margin(2.6)));
        CHECK(upwards == (straight ? Approx(0.0).margin(5.0) : Approx(37.5).margin(7.6)));
      }
}

TEST_CASE("every trajectory: pedicle screws pass from the mass into the body and end in it") {
  for (int i = static_cast<int>(Level::C2); i <= static_cast<int>(Level::T3); ++i) {
    const Level level = static_cast<Level>(i);
    INFO(name(level));
    const models::Trajectory t = path({.kind = AnchorKind::pedicle, .level = level});
    const Vector3d tip = in_body_axes(level, t.at(t.length_mm) - point(level, "body_centre"));
    CHECK(std::abs(tip.x()) < body_half_depth(level));
    CHECK(tip.y() > 0.0);  // it does not cross the midline
    CHECK(tip.y() < 9.0);  // half the breadth of the smallest body, about 18 mm (from memory)
    const double height = (point(level, "body_top_mid") - point(level, "body_bottom_mid")).norm();
    CHECK(std::abs(tip.z()) < 0.5 * height);
    if (level == Level::C2) continue;  // its canal narrows from the mass to the body: no one half breadth says where it ends
    // Where it passes the back of the body it is beside the canal, not in it: half a canal 20-25 mm wide (from memory).
    const Vector3d entry = in_body_axes(level, t.entry_mm - point(level, "pll_attachment"));
    const Vector3d d = in_body_axes(level, t.into_bone);
    const double y_at_back = entry.y() - d.y() * entry.x() / d.x();
    CHECK(y_at_back > (level >= Level::T1 ? 9.0 : 11.0));
    CHECK(y_at_back < 16.0);
    if (level == Level::T3) continue;
    CHECK((t.entry_mm - point(level, "lateral_mass_centre.left")).norm() < 16.0);
  }
}

TEST_CASE("every trajectory: laminar screws enter beside the spinous process and run through the other lamina") {
  for (const Level level : {Level::C2, Level::C3, Level::C4, Level::C5, Level::C6, Level::C7}) {
    INFO(name(level));
    const models::Trajectory l = path({.kind = AnchorKind::laminar, .level = level});
    const models::Trajectory r = path({.kind = AnchorKind::laminar, .level = level, .side = Side::right});
    CHECK(l.entry_mm.y() > 0.0);
    CHECK(l.at(l.length_mm).y() < -10.0);
    const Vector3d lamina = models::mirrored(point(level, "lamina.left"));
    CHECK((lamina - l.entry_mm).cross(l.into_bone).norm() < 2.6);  // off by the height that lets two screws pass
    const Vector3d across = l.into_bone.cross(r.into_bone).normalized();
    CHECK(std::abs((r.entry_mm - l.entry_mm).dot(across)) > l.diameter_mm);
  }
}

TEST_CASE("every trajectory: the arch screw of C1 stands behind the lateral mass screw and ends in the same mass") {
  const models::Trajectory arch = path({.kind = AnchorKind::posterior_arch});
  const models::Trajectory mass = path({.kind = AnchorKind::lateral_mass});
  CHECK(arch.entry_mm.x() < mass.entry_mm.x() - 4.0);
  CHECK(arch.lock_mm().x() < mass.lock_mm().x());
  CHECK(arch.free_shank_mm < mass.free_shank_mm);
  const Vector3d off = arch.at(arch.length_mm) - point(Level::C1, "lateral_mass_centre.left");
  CHECK(off.x() > 0.0);
  CHECK(off.x() < 9.85);           // half the depth of 19.7 mm: Hung et al. 2020
  CHECK(std::abs(off.y()) < 6.1);  // half the width of 12.2 mm
  CHECK(out_of(arch.at(arch.length_mm), Level::C1, "superior") < 0.0);
  // Gebauer et al. 2010: 21.6 (1.7) and 23.6 (2.3) mm beside the posterior tubercle
  CHECK(arch.entry_mm.y() == Approx(22.6).margin(2.0));
}

TEST_CASE("every trajectory: screws that cross a joint pass it near its middle and grip both bones") {
  struct Row {
    Anchor anchor;
    Vector3d joint;
    double far_mm;  ///< off the middle of the joint
  };
  const Vector3d c1_c2 =
      0.5 * (point(Level::C1, "inferior_facet_centre.left") + point(Level::C2, "superior_facet_centre.left"));
  const Row rows[]{{{.kind = AnchorKind::transarticular, .level = Level::C2}, c1_c2, 5.0},
                   {{.kind = AnchorKind::transarticular_side, .level = Level::C1}, c1_c2, 5.0},
                   {{.kind = AnchorKind::transarticular_above, .level = Level::C1},
                    point(Level::C0, "condyle_contact_centre.left"),
                    5.0}};
  for (const Row& row : rows) {
    INFO(models::title(row.anchor.kind));
    const models::Trajectory t = path(row.anchor);
    CHECK((row.joint - t.entry_mm).cross(t.into_bone).norm() < row.far_mm);
    std::map<Level, double> in;
    for (const models::AnchorLayer& layer : t.layers) {
      if (layer.tissue != Tissue::none) in[layer.level] += layer.length_mm;
      if (layer.tissue == Tissue::none) CHECK(layer.length_mm < 4.0);  // cartilage and gap
    }
    CHECK(in.size() == 2);
    CHECK(in[row.anchor.level] > 5.0);
    CHECK(in[models::ends_at(row.anchor.kind, row.anchor.level)] > 8.0);
  }
  // From the side it ends in the body of C2, on its own side of the midline, below the dens.
  const models::Trajectory side = path(rows[1].anchor);
  const Vector3d tip = side.at(side.length_mm) - point(Level::C2, "body_centre");
  CHECK(std::abs(tip.x()) < body_half_depth(Level::C2));
  CHECK(tip.y() > 0.0);
  CHECK(std::abs(tip.z()) < 9.5);
  // Towards the occiput it stays below the height of the condyle: 11.3 (7.1-15.3) mm, Global Spine J 2022;12(7):1475-1480
  const models::Trajectory above = path(rows[2].anchor);
  const double depth = -(above.at(above.length_mm) - point(Level::C0, "condyle_contact_centre.left"))
                            .dot(point(Level::C0, "condyle_normal.left"));
  CHECK(depth > 5.0);
  CHECK(depth < 11.3);
}

TEST_CASE("every trajectory: a screw too short for the joint grips the bone it enters only") {
  for (const AnchorKind kind : {AnchorKind::transarticular_side, AnchorKind::transarticular_above}) {
    const models::Trajectory t = path({.kind = kind, .length_mm = 6.0});
    for (const models::AnchorLayer& layer : t.layers) CHECK(layer.level == Level::C1);
  }
}

TEST_CASE("every trajectory: the condyle screw stays in the condyle, below the hypoglossal canal") {
  const models::Trajectory t = path({.kind = AnchorKind::condyle, .level = Level::C0});
  const Vector3d contact = point(Level::C0, "condyle_contact_centre.left");
  for (const double depth : {0.0, 0.5 * t.length_mm, t.length_mm}) {
    const double inside = -(t.at(depth) - contact).dot(point(Level::C0, "condyle_normal.left"));
    CHECK(inside > 1.75);         // half a screw inside the joint surface
    CHECK(inside < 11.3 - 1.75);  // height of the condyle
  }
  CHECK(t.at(t.length_mm).y() > 5.0);  // not in the foramen, whose front half is some 24 mm wide there (from memory)
}

TEST_CASE("every trajectory: the outer surface of the occiput runs from inion to opisthion and bulges outwards") {
  const models::ParameterReader number(tests::library());
  const Vector3d inion = point(Level::C0, "inion");
  const Vector3d opisthion = point(Level::C0, "opisthion");
  const double length = models::occiput_length_mm(number);
  CHECK((models::occiput_surface(0.0, 0.0, number).point_mm - inion).norm() < 1e-9);
  CHECK((models::occiput_surface(length, 0.0, number).point_mm - opisthion).norm() < 1e-9);
  CHECK(length > (opisthion - inion).norm());
  const Vector3d middle = models::occiput_surface(0.5 * length, 0.0, number).point_mm - 0.5 * (inion + opisthion);
  CHECK(middle.norm() == Approx(number.scalar("occiput.bulge")));
  CHECK(middle.x() < 0.0);
  CHECK(middle.z() < 0.0);
  for (const double below : {5.0, 20.0, 40.0})
    for (const double lateral : {-15.0, 0.0, 12.0}) {
      const auto at = [&](double b, double l) { return models::occiput_surface(b, l, number); };
      const models::OcciputPoint p = at(below, lateral);
      CHECK(p.outward.norm() == Approx(1.0));
      CHECK(std::abs(p.outward.dot(p.to_foramen)) < 1e-12);
      CHECK(p.point_mm.y() == Approx(lateral).margin(1e-12));
      // The outward vector stands square to the surface: tangents by differences.
      const Vector3d down = at(below + 1e-4, lateral).point_mm - at(below - 1e-4, lateral).point_mm;
      const Vector3d sideways = at(below, lateral + 1e-4).point_mm - at(below, lateral - 1e-4).point_mm;
      CHECK(std::abs(down.normalized().dot(p.outward)) < 1e-7);
      CHECK(std::abs(sideways.normalized().dot(p.outward)) < 1e-7);
      CHECK(down.normalized().dot(p.to_foramen) == Approx(1.0));
    }
}

TEST_CASE("every trajectory: keel screws stand square to the bone and are as long as it is thick at their height") {
  // common practice: 10-15 mm near the protuberance, thinner towards the foramen
  const models::ParameterReader number(tests::library());
  double before = 100.0;
  for (const double below : {0.0, 8.0, 16.0, 24.0, 32.0, 40.0}) {
    const double thickness = models::keel_thickness({}, below, number).thickness_mm;
    CHECK(thickness < before);
    before = thickness;
    if (below <= 16.0) CHECK(thickness == Approx(12.5).margin(2.6));
    Anchor keel{.kind = AnchorKind::keel, .level = Level::C0, .purchase = Purchase::bicortical, .below_inion_mm = below};
    const models::Trajectory both = path(keel);
    CHECK(both.length_mm == Approx(thickness));
    CHECK(both.into_bone == -models::occiput_surface(below, 0.0, number).outward);
    REQUIRE(both.layers.size() == 3);
    // Very hard bone. Zipnick et al. 1996 (from memory): tables make 55 % of the thickness.
    CHECK(both.layers[0].length_mm + both.layers[2].length_mm == Approx(0.55 * thickness));
    keel.purchase = Purchase::unicortical;
    const models::Trajectory one = path(keel);
    CHECK(one.length_mm < thickness);
    CHECK(one.layers.size() == 2);
  }
  CHECK(models::keel_thickness({}, models::occiput_length_mm(number) + 1.0, number).thickness_mm == 0.0);
}

TEST_CASE(
    "every trajectory: a keel measured at three heights is as thick as measured there, and a lone measure scales all") {
  const models::ParameterReader number(tests::library());
  const double length = models::occiput_length_mm(number);
  models::Neck neck;
  neck.anatomy = {{.level = Level::C0, .keel_upper_mm = 12.0, .keel_middle_mm = 9.0, .keel_lower_mm = 6.5}};
  CHECK(models::keel_thickness(neck, 0.0, number).thickness_mm == Approx(12.0));
  CHECK(models::keel_thickness(neck, 0.5 * length, number).thickness_mm == Approx(9.0));
  CHECK(models::keel_thickness(neck, length - 10.0, number).thickness_mm == Approx(6.5));
  CHECK_FALSE(models::keel_thickness(neck, 0.0, number).generic);
  neck.anatomy = {{.level = Level::C0, .keel_upper_mm = 7.5}};  // half of the generic 15
  for (const double below : {0.0, 12.0, 33.0})
    CHECK(models::keel_thickness(neck, below, number).thickness_mm ==
          Approx(0.5 * models::keel_thickness({}, below, number).thickness_mm));
}

TEST_CASE("every trajectory: a rescue screw is half a millimetre thicker in thread and core") {
  // common practice: the next size up
  Anchor screw{.kind = AnchorKind::pars, .level = Level::C2};
  const models::Trajectory sound = path(screw);
  screw.state = models::AnchorState::rescue;
  const models::Trajectory rescue = path(screw);
  CHECK(rescue.diameter_mm == Approx(sound.diameter_mm + 0.5));
  CHECK(rescue.core_diameter_mm / sound.core_diameter_mm == Approx(rescue.diameter_mm / sound.diameter_mm));
  CHECK(rescue.length_mm == sound.length_mm);
}
