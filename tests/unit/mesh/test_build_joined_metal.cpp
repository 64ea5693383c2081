// SPDX-License-Identifier: MIT
// What joins grips, and what is tied or wedged between levels: plates, rods of every shape, cross-links, ties, grafts,
// spacers.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <set>

#include "mesh/build/friction.hpp"
#include "mesh/build/graft.hpp"
#include "mesh/build/rod_route.hpp"
#include "solver/core/assemble.hpp"
#include "solver/core/condense.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/metal_samples.hpp"

using namespace opisthion;
using mesh::BuildComplaint;
using mesh::OriginKind;
using mesh::Vector3;
using models::Anchor;
using models::AnchorKind;
using models::Level;
using models::Side;
using tests::built;
using tests::complaints;

namespace {

/// Laws of one kind of item.
template <class Part>
std::vector<Part> of_kind(const mesh::Mesh& m, const std::vector<Part>& parts, OriginKind kind) {
  std::vector<Part> found;
  for (const Part& part : parts)
    if (m.origins[part.item].kind == kind) found.push_back(part);
  return found;
}

mesh::BodyId bone(const mesh::Mesh& m, std::string_view called) {
  for (std::size_t i = 0; i < m.system.bodies.size(); ++i)
    if (m.origins[m.system.bodies[i].item].name == called) return {static_cast<int>(i)};
  FAIL("no body of this name");
  return {};
}

tests::Motions alone(const mesh::System& s, mesh::BodyId id, const Vector3& slide, const Vector3& turn) {
  tests::Motions q(s.bodies.size(), mesh::Vector6::Zero());
  q[static_cast<std::size_t>(id.value)] << slide, turn;
  return q;
}

/// Keel screws at these distances below the inion in one plate, and a rod on either side to a C1 lateral mass screw.
models::Construct keel_plate(const std::vector<double>& below_inion_mm, bool rods = true) {
  models::Construct construct{.name = "keel plate"};
  models::Plate plate{.name = "occiput"};
  for (const double below : below_inion_mm) {
    Anchor screw = tests::anchor(AnchorKind::keel, Level::C0, Side::left);
    screw.name = "keel " + std::to_string(construct.anchors.size());
    screw.below_inion_mm = below;
    screw.purchase = models::Purchase::bicortical;
    construct.anchors.push_back(screw);
    plate.through.push_back(screw.name);
  }
  construct.plates = {plate};
  if (!rods) return construct;
  for (const Side side : {Side::left, Side::right}) {
    const Anchor c1 = tests::anchor(AnchorKind::lateral_mass, Level::C1, side);
    construct.anchors.push_back(c1);
    construct.rods.push_back({.name = std::string(name(side)), .through = {{.plate = "occiput"}, {.anchor = c1.name}}});
  }
  return construct;
}

/// Subaxial lateral mass screws on one side.
std::vector<Anchor> masses(Side side, Level upper, Level lower) {
  std::vector<Anchor> all;
  for (Level level = upper; level <= lower; level = tests::next(level, 1))
    all.push_back(tests::anchor(AnchorKind::lateral_mass, level, side));
  return all;
}

models::Rod rod_through(const std::string& name, const std::vector<Anchor>& anchors) {
  models::Rod rod{.name = name};
  for (const Anchor& anchor : anchors) rod.through.push_back({.anchor = anchor.name});
  return rod;
}

models::Construct two_rods(Level upper, Level lower) {
  models::Construct construct{.name = "two rods"};
  for (const Side side : {Side::left, Side::right}) {
    const auto screws = masses(side, upper, lower);
    construct.anchors.insert(construct.anchors.end(), screws.begin(), screws.end());
    construct.rods.push_back(rod_through(std::string(name(side)), screws));
  }
  return construct;
}

}  // namespace

TEST_CASE("four keel screws stand in four different thicknesses of bone") {
  const mesh::Mesh m = built(tests::two_levels(Level::C0, Level::C1), keel_plate({2, 10, 18, 26}));
  std::vector<double> in_bone(4, 0.0);
  for (const mesh::Beam& b : m.system.beams)
    for (std::size_t i = 0; i < 4; ++i)
      if (b.bone.valid() && m.origins[b.item].name == "C0 keel screw 'keel " + std::to_string(i) + "' in bone")
        in_bone[i] += b.length_mm;
  for (std::size_t i = 0; i < 4; ++i) CHECK(in_bone[i] > 2.0);
  // Common practice: thick near the protuberance, thinner towards the foramen.
  for (std::size_t i = 1; i < 4; ++i) CHECK(in_bone[i] < in_bone[i - 1]);
}

TEST_CASE("a midline plate carries both rods, and is weakest at its holes") {
  const mesh::Mesh m = built(tests::two_levels(Level::C0, Level::C1), keel_plate({5, 17, 29}));
  CHECK(m.components.size() == 1);  // the plate joins left and right
  std::set<double> areas;
  for (const mesh::Beam& b : of_kind(m, m.system.beams, OriginKind::plate)) areas.insert(b.section.axial_N / 114000.0);
  // By hand: 10 x 3 mm whole; net of a hole of 4.5 + 0.5 mm: 15 mm2; arms 8 x 3 mm.
  REQUIRE(areas.size() == 3);
  CHECK(*areas.begin() == Approx(15.0));
  CHECK(*std::next(areas.begin()) == Approx(24.0));
  CHECK(*areas.rbegin() == Approx(30.0));
  // The strip lies flat on the skull: its width is across the midline, its thickness out of the bone.
  for (const mesh::Beam& b : of_kind(m, m.system.beams, OriginKind::plate))
    CHECK(std::abs(b.global_from_beam.col(1).y()) ==
          Approx(b.section.axial_N / 114000.0 == Approx(24.0) ? 0.0 : 1.0).margin(1e-9));
  // Four corners on the occiput, pressing only: the plate lifted off backwards opens them.
  const auto corners = of_kind(m, m.system.pads, OriginKind::plate);
  REQUIRE(corners.size() == 4);
  for (const mesh::Pad& pad : corners) {
    CHECK(tests::closing(m.system, pad, alone(m.system, pad.a.body, {-1, 0, 0}, Vector3::Zero())) < -0.3);
    CHECK(mesh::body(m.system, pad.a.body).port);
  }
  // The two rods lock at the library's offset on either side of the midline.
  std::vector<double> sideways;
  for (const mesh::Cushion& k : m.system.cushions)
    if (m.origins[k.item].name.find("lock of plate 'occiput' on rod") == 0) sideways.push_back(k.point_mm.y());
  REQUIRE(sideways.size() == 2);
  CHECK(sideways[0] == Approx(12.0));
  CHECK(sideways[1] == Approx(-12.0));
}

TEST_CASE("a plate without anything below it holds nothing") {
  CHECK(complaints(tests::two_levels(Level::C0, Level::C1), keel_plate({5, 17}, false))[0].code ==
        BuildComplaint::Code::nothing_held);
}

TEST_CASE("a paramedian plate takes its rod at its lower end, mirrored on the other side") {
  std::vector<Vector3> ends;
  for (const Side side : {Side::left, Side::right}) {
    models::Construct construct{.name = "paramedian"};
    models::Plate plate{.name = "strip", .kind = models::PlateKind::paramedian};
    for (const double below : {10.0, 20.0}) {
      Anchor screw = tests::anchor(AnchorKind::paramedian, Level::C0, side);
      screw.name += std::to_string(static_cast<int>(below));
      screw.below_inion_mm = below;
      construct.anchors.push_back(screw);
      plate.through.push_back(screw.name);
    }
    const Anchor c1 = tests::anchor(AnchorKind::lateral_mass, Level::C1, side);
    construct.anchors.push_back(c1);
    construct.plates = {plate};
    construct.rods = {{.name = "rod", .through = {{.plate = "strip"}, {.anchor = c1.name}}}};
    const mesh::Mesh m = built(tests::two_levels(Level::C0, Level::C1), construct);
    CHECK(m.components.size() == 1);
    for (const mesh::Cushion& k : m.system.cushions)
      if (m.origins[k.item].name == "lock of plate 'strip' on rod 'rod'") ends.push_back(k.point_mm);
  }
  REQUIRE(ends.size() == 2);
  CHECK((models::mirrored(ends[0]) - ends[1]).norm() < 1e-9);
  CHECK(ends[0].y() > 5.0);
}

TEST_CASE("a lateral mass plate lets its screws toggle and presses on every mass, and misses a screw aside of its line") {
  models::Construct construct{.name = "plate", .anchors = masses(Side::left, Level::C3, Level::C6)};
  models::Plate plate{.name = "left", .kind = models::PlateKind::lateral_mass};
  for (const Anchor& screw : construct.anchors) plate.through.push_back(screw.name);
  construct.plates = {plate};
  const models::Case c = tests::two_levels(Level::C3, Level::C6);
  const mesh::Mesh m = built(c, construct);
  const auto feet = of_kind(m, m.system.pads, OriginKind::plate);
  REQUIRE(feet.size() == 8);
  // They stand on the bone, where each screw enters it: below the plate, half its width to either side.
  const models::ParameterReader number(tests::library());
  for (std::size_t i = 0; i < feet.size(); i += 2) {
    const models::Trajectory path = models::trajectory(construct.anchors[i / 2], c.neck, number);
    CHECK((0.5 * (feet[i].a.point_mm + feet[i + 1].a.point_mm) - path.entry_mm).norm() < 1e-9);
    CHECK((feet[i].a.point_mm - feet[i + 1].a.point_mm).norm() == Approx(number.scalar("plate.lateral_mass.width")));
  }
  for (const mesh::Cushion& k : m.system.cushions)
    if (m.origins[k.item].kind == OriginKind::lock) CHECK(k.stiffness(4, 4) == Approx(2000.0));  // 2 N m/rad
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("lock.reach", 1e-6));
  const auto wrong = complaints(c, construct, table);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::lock_missed);
  CHECK(wrong[0].text.find("misses the head of C") != std::string::npos);
}

TEST_CASE("a tapered rod has its lower diameter below the taper and its upper one above") {
  models::Construct construct = two_rods(Level::C3, Level::C6);
  for (models::Rod& rod : construct.rods) {
    rod.diameter_mm = 3.5;
    rod.lower_diameter_mm = 5.5;
    rod.taper_at = {Level::C4, Level::C5};
  }
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("metal.titanium_alloy.elongation", 0.5));  // whatever its bends
  const mesh::Mesh m = built(tests::two_levels(Level::C3, Level::C6), construct, table);
  const auto inertia = [](double d) { return 114000.0 * std::numbers::pi * std::pow(d, 4) / 64.0; };
  int upper = 0;
  int lower = 0;
  int between = 0;
  for (const mesh::Beam& b : of_kind(m, m.system.beams, OriginKind::rod)) {
    const double z = 0.5 * (mesh::body(m.system, b.a).position_mm + mesh::body(m.system, b.b).position_mm).z();
    const double at = 0.5 * (52.23 + 34.76);  // about the middle of C4-C5, by its laminae
    if (z > at + 12.0) {
      CHECK(b.section.bending_y_Nmm2 == Approx(inertia(3.5)));
      ++upper;
    } else if (z < at - 12.0) {
      CHECK(b.section.bending_y_Nmm2 == Approx(inertia(5.5)));
      ++lower;
    } else {
      CHECK(b.section.bending_y_Nmm2 >= Approx(inertia(3.5)));
      CHECK(b.section.bending_y_Nmm2 <= Approx(inertia(5.5)));
      ++between;
    }
  }
  CHECK(upper > 0);
  CHECK(lower > 0);
  CHECK(between > 0);
}

TEST_CASE("a cross-link joins two rods into one component where they pass its joint") {
  models::Construct construct = two_rods(Level::C3, Level::C6);
  const models::Case c = tests::two_levels(Level::C3, Level::C6);
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("metal.titanium_alloy.elongation", 0.5));
  CHECK(built(c, construct, table).components.size() == 2);
  construct.cross_links = {{.name = "middle", .from = "left", .to = "right", .at = {Level::C4, Level::C5}}};
  for (const int elements : {8, 16}) {
    auto mesh = mesh::build(c, construct, table, {.rod_elements_per_span = elements});
    REQUIRE(mesh);
    CHECK(mesh->components.size() == 1);
    const auto bars = of_kind(*mesh, mesh->system.beams, OriginKind::cross_link);
    REQUIRE(bars.size() == 1);
    const Vector3 a = mesh::body(mesh->system, bars[0].a).position_mm;
    const Vector3 b = mesh::body(mesh->system, bars[0].b).position_mm;
    CHECK((models::mirrored(a) - b).norm() < 1e-9);  // level across
    // At the height of the middle between the two bodies: by the bodies' centres in the library.
    const models::ParameterReader number(table);
    const Vector3 upper = number.point("point.C4.body_centre");
    const Vector3 lower = number.point("point.C5.body_centre");
    CHECK(std::abs((a - 0.5 * (upper + lower)).dot((upper - lower).normalized())) < 1e-9);
  }
}

TEST_CASE("a third rod hangs on another by connectors, beside it, whatever their order in the case") {
  models::Construct construct = two_rods(Level::C3, Level::C6);
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("metal.titanium_alloy.elongation", 0.5));
  const models::JointId above{Level::C3, Level::C4};
  const models::JointId below{Level::C5, Level::C6};
  construct.rods.insert(construct.rods.begin(),
                        {.name = "third", .through = {{.rod = "left", .at = above}, {.rod = "left", .at = below}}});
  const mesh::Mesh m = built(tests::two_levels(Level::C3, Level::C6), construct, table);
  CHECK(m.components.size() == 2);
  const auto bars = of_kind(m, m.system.beams, OriginKind::cross_link);
  REQUIRE(bars.size() == 2);
  for (const mesh::Beam& bar : bars) {
    CHECK(bar.length_mm == Approx(8.0));
    CHECK(mesh::body(m.system, bar.b).position_mm.y() > mesh::body(m.system, bar.a).position_mm.y());  // outside
  }
  construct.rods[1].through.push_back({.rod = "third", .at = below});
  CHECK(complaints(tests::two_levels(Level::C3, Level::C6), construct, table)[0].code ==
        BuildComplaint::Code::rod_hangs_on_nothing);
}

TEST_CASE("a closed loop is one ring of rod that bends over the midline in half circles") {
  models::Construct construct{.name = "loop"};
  std::vector<Anchor> way;
  for (const Level level : {Level::C3, Level::C4, Level::C5})
    way.push_back(tests::anchor(AnchorKind::sublaminar_wire, level, Side::left));
  for (const Level level : {Level::C5, Level::C4, Level::C3})
    way.push_back(tests::anchor(AnchorKind::sublaminar_wire, level, Side::right));
  construct.anchors = way;
  construct.rods = {rod_through("loop", way)};
  construct.rods[0].closed = true;
  construct.rods[0].bending = models::Bending::pre_bent;
  const mesh::Mesh m = built(tests::two_levels(Level::C3, Level::C5), construct);
  REQUIRE(m.components.size() == 1);
  const auto ring = of_kind(m, m.system.beams, OriginKind::rod);
  std::vector<int> ends(m.system.bodies.size(), 0);
  for (const mesh::Beam& b : ring) {
    ++ends[static_cast<std::size_t>(b.a.value)];
    ++ends[static_cast<std::size_t>(b.b.value)];
  }
  for (const int n : ends) CHECK((n == 0 || n == 2));
  // Half circles: above the upper wires the rod reaches up by half their distance.
  double top = -1e9;
  double wire_top = -1e9;
  double wire_y = 0.0;
  for (const mesh::Beam& b : ring) top = std::max(top, mesh::body(m.system, b.a).position_mm.z());
  for (const mesh::Strand& s : of_kind(m, m.system.strands, OriginKind::wire)) {
    const Vector3 p = mesh::body(m.system, s.path[1].body).position_mm;
    if (p.z() > wire_top) wire_y = std::abs(p.y());
    wire_top = std::max(wire_top, p.z());
  }
  CHECK(top - wire_top == Approx(wire_y).epsilon(0.15));  // its arms lean a little
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("rod.pre_bent_radius_ratio", 10.0));
  CHECK(complaints(tests::two_levels(Level::C3, Level::C5), construct, table)[0].code == BuildComplaint::Code::rod_bend);
}

TEST_CASE("the least radius of a contoured rod goes with its diameter and its metal, and a bench-bent one is remarked on") {
  const models::ParameterReader number(tests::library());
  // By hand: 3.5/(2 x 10 %) = 17.5 mm, 4.0/(2 x 12 %) = 16.7 mm.
  CHECK(mesh::least_contour_radius_mm(number, models::Metal::titanium_alloy, 3.5) == Approx(17.5));
  CHECK(mesh::least_contour_radius_mm(number, models::Metal::cobalt_chrome, 4.0) == Approx(16.6667));
  models::Construct construct = tests::one_sided(AnchorKind::pedicle);
  construct.anchors.push_back(tests::anchor(AnchorKind::pars, Level::C2, Side::left));
  construct.rods[0].through.push_back({.anchor = construct.anchors.back().name});
  // The same rod at every limit: refused contoured, taken with a remark when bent on the bench, refused below that.
  models::Case c = tests::c1_c2_dens_nonunion();
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("rod.reach", 0.0));
  REQUIRE(table.change("metal.titanium_alloy.elongation", 1.75));
  CHECK(built(c, construct, table).remarks.empty());
  double radius = 1.0;  // the largest elongation limit that refuses it, from above
  for (double limit = 1.0; limit < 400.0; limit *= 1.05) {
    REQUIRE(table.change("metal.titanium_alloy.elongation", 3.5 / (2.0 * limit)));
    if (mesh::build(c, construct, table)) radius = limit;
  }
  REQUIRE(table.change("metal.titanium_alloy.elongation", 3.5 / (2.0 * radius * 1.2)));
  CHECK(complaints(c, construct, table)[0].code == BuildComplaint::Code::rod_bend);
  construct.rods[0].bending = models::Bending::bench_bent;
  const mesh::Mesh m = built(c, construct, table);
  REQUIRE(m.remarks.size() == 1);
  CHECK(m.remarks[0].item == "rod 'left'");
  REQUIRE(table.change("metal.titanium_alloy.elongation", 3.5 / (2.0 * radius * 3.0)));
  CHECK(complaints(c, construct, table)[0].code == BuildComplaint::Code::rod_bend);
}

TEST_CASE("a rod that would bend too tightly runs beside its locks as far as can be bridged, and says so") {
  models::Construct construct{.name = "cervicothoracic"};
  construct.anchors = masses(Side::left, Level::C5, Level::C6);
  construct.anchors.push_back(tests::anchor(AnchorKind::laminar, Level::C7, Side::left));
  construct.anchors.push_back(tests::anchor(AnchorKind::pedicle, Level::T1, Side::left));
  construct.anchors.push_back(tests::anchor(AnchorKind::pedicle, Level::T2, Side::left));
  construct.rods = {rod_through("left", construct.anchors)};
  const models::Case c = tests::two_levels(Level::C5, Level::T2);
  const mesh::Mesh m = built(c, construct);
  REQUIRE(m.remarks.size() == 1);
  CHECK(m.remarks[0].code == BuildComplaint::Code::lock_missed);
  double furthest = 0.0;
  for (const mesh::Cushion& k : m.system.cushions) {
    if (m.origins[k.item].kind != OriginKind::lock) continue;
    CHECK((mesh::body(m.system, k.a).position_mm - k.point_mm).norm() < 1e-12);  // the lock stays where the head is
    furthest = std::max(furthest, (mesh::body(m.system, k.b).position_mm - k.point_mm).norm());
  }
  CHECK(furthest > 1.0);
  CHECK(furthest <= 7.0 + 1e-9);
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("rod.reach", 1.0));
  const auto wrong = complaints(c, construct, table);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::rod_bend);
  CHECK(wrong[0].text.find("up to 1.0 mm can be bridged") != std::string::npos);
}

TEST_CASE("a rod that turns back on itself is refused however far beside its locks it might run") {
  models::Construct construct = tests::one_sided(AnchorKind::pars);  // pars enters lower than pedicle
  construct.anchors.push_back(tests::anchor(AnchorKind::pedicle, Level::C2, Side::left));
  construct.rods[0].through.push_back({.anchor = construct.anchors.back().name});
  CHECK(complaints(tests::c1_c2_dens_nonunion(), construct)[0].code == BuildComplaint::Code::rod_bend);
}

TEST_CASE("a smooth path has one curvature on both sides of a stop, and a closed one follows a circle") {
  const std::vector<Vector3> stops{{0, 0, 0}, {3, 1, -10}, {-2, 2, -22}, {0, 0, -35}};
  const mesh::RodPath path(stops, false, mesh::RodPath::Shape::smooth);
  for (int span = 0; span + 1 < path.spans(); ++span) {
    CHECK(path.radius_mm(span, 1.0) == Approx(path.radius_mm(span + 1, 0.0)));
    CHECK((path.tangent(span, 1.0) - path.tangent(span + 1, 0.0)).norm() < 1e-12);
  }
  CHECK(path.radius_mm(0, 0.0) > 1e6);  // straight at its free ends
  std::vector<Vector3> circle;
  for (int i = 0; i < 16; ++i)
    circle.push_back({10 * std::cos(i * std::numbers::pi / 8), 0, 10 * std::sin(i * std::numbers::pi / 8)});
  for (const auto shape : {mesh::RodPath::Shape::smooth, mesh::RodPath::Shape::preserving}) {
    const mesh::RodPath ring(circle, true, shape);
    REQUIRE(ring.spans() == 16);
    CHECK((ring.point(15, 1.0) - circle[0]).norm() == 0.0);
    for (int span = 0; span < 16; ++span) CHECK(ring.point(span, 0.5).norm() == Approx(10.0).epsilon(0.01));
  }
  CHECK(mesh::RodPath(circle, true, mesh::RodPath::Shape::smooth).least_radius_mm() == Approx(10.0).epsilon(0.05));
}

TEST_CASE("ties pull only, in twos about their middle, and extend C1 on C2 when they are tightened") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  using models::TieKind;
  for (const TieKind kind : {TieKind::midline_wire, TieKind::sublaminar_wire, TieKind::spinous_wire, TieKind::clamp}) {
    CAPTURE(models::title(kind));
    std::vector<mesh::Strand> twins[2];
    for (const Side side : {Side::left, Side::right}) {
      models::Construct construct{.name = "tie"};
      construct.ties = {{.name = "tie",
                         .kind = kind,
                         .side = models::has_side(kind) ? std::optional(side) : std::nullopt,
                         .tension_N = 90.0}};
      const mesh::Mesh m = built(c, construct);
      const auto strands = of_kind(m, m.system.strands, kind == TieKind::clamp ? OriginKind::clamp : OriginKind::wire);
      REQUIRE(strands.size() == 2);
      twins[side == Side::left ? 0 : 1] = strands;
      const mesh::BodyId c1 = bone(m, "C1");
      double moment = 0.0;
      for (const mesh::Strand& s : strands) {
        CHECK(s.tighten_N == 90.0);
        CHECK(std::get<mesh::ToeLinear>(s.law).stiffness > 20.0);
        // +My on C1 is flexion: turning so lengthens the tie, so its tension turns C1 the other way (common practice: wires
        // and clamps extend C1-C2 unless a block props it). The lateral joints lie in front of it.
        CHECK(tests::elongation(m.system, s, alone(m.system, c1, Vector3::Zero(), Vector3::UnitY())) > 5.0);
        moment -= 90.0 * tests::elongation(m.system, s, alone(m.system, c1, Vector3::Zero(), Vector3::UnitY()));
        // C1 lifted: the strand lengthens; pressed down it goes slack. It is no spring.
        CHECK(tests::elongation(m.system, s, alone(m.system, c1, Vector3::UnitZ(), Vector3::Zero())) > 0.8);
        CHECK(tests::elongation(m.system, s, alone(m.system, c1, -Vector3::UnitZ(), Vector3::Zero())) < 0.0);
        for (const Vector3& turn : {Vector3(Vector3::UnitX()), Vector3(Vector3::UnitY()), Vector3(Vector3::UnitZ())})
          CHECK(std::abs(tests::elongation(m.system, s, tests::rigid(m.system, Vector3(1, 2, 3), turn))) < 1e-9);
      }
      CHECK(moment < -1000.0);  // N mm
    }
    for (std::size_t i = 0; i < twins[0].size(); ++i)
      for (std::size_t k = 0; k < twins[0][i].path.size(); ++k) {
        const std::size_t j = models::has_side(kind) ? i : 1 - i;
        const bool same = models::has_side(kind);
        const Vector3 right = twins[1][same ? i : j].path[k].point_mm;
        CHECK((models::mirrored(twins[0][i].path[k].point_mm) - right).norm() < 1e-9);
      }
  }
}

TEST_CASE("tightened, a wire or clamp extends C1 on C2 unless a block props it, and a wired rod stays where it was laid") {
  const auto assembled = [](const models::Case& c, const models::Construct& construct) {
    const mesh::Mesh m = built(c, construct);
    std::vector<core::CondensedComponent> parts;
    for (const mesh::Component& component : m.components) {
      core::CondenseOutcome part = core::condense(m.system, component);
      REQUIRE(part.regular);
      parts.push_back(std::move(part.component));
    }
    const core::Assembly pose = core::assemble(m.system, m.components, parts);
    REQUIRE(pose.status == core::AssemblyStatus::assembled);
    return mesh::Vector6(pose.q.segment<6>(pose.model.first_dof[static_cast<std::size_t>(m.top.value)]));
  };
  constexpr double kDeg = std::numbers::pi / 180.0;
  models::Construct construct{.name = "tie"};
  for (const models::TieKind kind : {models::TieKind::midline_wire, models::TieKind::clamp}) {
    construct.ties = {
        {.name = "tie", .kind = kind, .side = models::has_side(kind) ? std::optional(Side::left) : std::nullopt}};
    construct.grafts.clear();
    CHECK(assembled(tests::two_levels(Level::C1, Level::C2), construct)[4] < -10.0 * kDeg);
    construct.grafts = {{.name = "block", .side = construct.ties[0].side}};
    const double propped = assembled(tests::two_levels(Level::C1, Level::C2), construct)[4];
    CHECK(propped < 0.0);
    CHECK(propped > -8.0 * kDeg);
  }
  models::Construct wired{.name = "wired"};
  for (const Side side : {Side::left, Side::right}) {
    std::vector<Anchor> wires{tests::anchor(AnchorKind::occipital_wire, Level::C0, side)};
    for (const Level level : {Level::C1, Level::C2, Level::C3})
      wires.push_back(tests::anchor(AnchorKind::sublaminar_wire, level, side));
    wired.anchors.insert(wired.anchors.end(), wires.begin(), wires.end());
    wired.rods.push_back(rod_through(std::string(name(side)), wires));
  }
  const mesh::Vector6 head = assembled(tests::two_levels(Level::C0, Level::C3), wired);
  CHECK(head.head<3>().norm() < 0.5);
  CHECK(head.tail<3>().norm() < 0.5 * kDeg);
}

TEST_CASE("a tie draws two backs together until bone meets bone") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  models::Construct construct{.name = "tie"};
  construct.ties = {{.name = "one"}, {.name = "two", .kind = models::TieKind::spinous_wire}};
  const mesh::Mesh m = built(c, construct);
  std::vector<mesh::Pad> backs;
  for (const mesh::Pad& pad : m.system.pads)
    if (m.origins[pad.item].name == "back of C1 on back of C2") backs.push_back(pad);
  REQUIRE(backs.size() == 2);  // however many ties
  const models::ParameterReader number(tests::library());
  CHECK(std::get<mesh::ToeLinear>(backs[0].law).stiffness + std::get<mesh::ToeLinear>(backs[1].law).stiffness ==
        Approx(number.scalar("bearing.stiffness.normal")));
  const Vector3 arch = number.point("point.C1.posterior_arch_bottom_edge");
  for (const mesh::Pad& pad : backs) {
    CHECK(std::get<mesh::ToeLinear>(pad.law).slack > 5.0);
    CHECK(std::get<mesh::ToeLinear>(pad.law).slack < arch.z() - number.point("point.C2.isl_upper_edge").z());
    CHECK(tests::closing(m.system, pad, alone(m.system, bone(m, "C1"), -Vector3::UnitZ(), Vector3::Zero())) > 0.8);
  }
}

TEST_CASE("the clamp is stiffer than a wire on the same laminae") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  const auto stiffness = [&](models::TieKind kind) {
    models::Construct construct{.name = "tie"};
    construct.ties = {{.name = "tie", .kind = kind, .side = Side::left}};
    const mesh::Mesh m = built(c, construct);
    return std::get<mesh::ToeLinear>(m.system.strands.back().law).stiffness;
  };
  CHECK(stiffness(models::TieKind::clamp) > 2.0 * stiffness(models::TieKind::sublaminar_wire));
}

TEST_CASE("a fresh block is a body that props two backs apart and pulls on nothing") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  for (const std::optional<Side> side : {std::optional<Side>{}, std::optional(Side::left), std::optional(Side::right)}) {
    models::Construct construct{.name = "graft"};
    construct.grafts = {{.name = "crest", .side = side}};
    const mesh::Mesh m = built(c, construct);
    const auto pads = of_kind(m, m.system.pads, OriginKind::graft);
    REQUIRE(pads.size() == 8);
    const mesh::BodyId block = pads[0].a.body;
    CHECK(m.origins[mesh::body(m.system, block).item].kind == OriginKind::graft);
    CHECK(mesh::body(m.system, block).port);
    CHECK(m.components.empty());
    CHECK(m.system.slips.size() == 10);
    for (const mesh::Slip& slip : m.system.slips) CHECK(slip.normal.size() == 4);
    CHECK(of_kind(m, m.system.cushions, OriginKind::graft).empty());
    const mesh::BodyId c1 = bone(m, "C1");
    for (const mesh::Pad& pad : pads) {
      const double with_c1 = tests::closing(m.system, pad, alone(m.system, c1, -Vector3::UnitZ(), Vector3::Zero()));
      CHECK(with_c1 == (pad.b == c1 ? Approx(with_c1) : Approx(0.0)));
      if (pad.b == c1) CHECK(with_c1 > 0.7);  // C1 coming down presses
    }
    int ties = 0;
    for (const mesh::NeighbourPair& pair : m.system.neighbours) ties += pair.upper == block || pair.lower == block ? 1 : 0;
    CHECK(ties == 2);
  }
}

TEST_CASE("bone that heals ties the levels with the square of its healing, and an onlay carries nothing before") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  const auto callus = [&](models::GraftKind kind, double healed) {
    models::Construct construct{.name = "graft"};
    construct.grafts = {{.name = "bone", .kind = kind, .side = Side::left, .healed = healed}};
    const mesh::Mesh m = built(c, construct);
    const auto found = of_kind(m, m.system.cushions, OriginKind::graft);
    if (found.empty()) return 0.0;
    CHECK(found.size() == 1);
    CHECK(mesh::body(m.system, found[0].a).kind == mesh::BodyKind::bone);
    return found[0].stiffness(2, 2);
  };
  for (const auto kind : {models::GraftKind::block, models::GraftKind::onlay, models::GraftKind::lateral_joint}) {
    CHECK(callus(kind, 0.0) == 0.0);
    const double whole = callus(kind, 1.0);
    CHECK(whole > 100.0);
    CHECK(callus(kind, 0.5) == Approx(0.25 * whole));
  }
}

TEST_CASE("a spacer presses the lateral joint open by its height less the joint's, and a joint graft just fills it") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  models::Construct construct{.name = "joint"};
  construct.spacers = {{.name = "cage", .side = Side::left, .height_mm = 4.0}};
  construct.grafts = {{.name = "chips", .kind = models::GraftKind::lateral_joint, .side = Side::right}};
  const mesh::Mesh m = built(c, construct);
  const auto teeth = of_kind(m, m.system.pads, OriginKind::spacer);
  const auto chips = of_kind(m, m.system.pads, OriginKind::graft);
  REQUIRE(teeth.size() == 4);
  REQUIRE(chips.size() == 4);
  // By hand from the library's facet centres, (13.31, 17.19, 103.72) and (13.32, 16.50, 102.17), along the mean normal
  // (-0.008, 0.407, 0.914) made a unit vector: 1.697 mm.
  for (const mesh::Pad& pad : teeth) CHECK(std::get<mesh::ToeLinear>(pad.law).slack == Approx(1.697 - 4.0).margin(0.005));
  for (const mesh::Pad& pad : chips) CHECK(std::get<mesh::ToeLinear>(pad.law).slack == 0.0);
  // Four pads share what the filling bears: the metal block or the column of chips, in series with the bone above and below.
  const models::ParameterReader number(tests::library());
  const auto sum = [](const std::vector<mesh::Pad>& pads) {
    double stiffness = 0.0;
    for (const mesh::Pad& pad : pads) stiffness += std::get<mesh::ToeLinear>(pad.law).stiffness;
    return stiffness;
  };
  const double block =
      number.scalar("metal.titanium_alloy.modulus") * number.scalar("spacer.length") * number.scalar("spacer.width") / 4.0;
  CHECK(sum(teeth) == Approx(1.0 / (1.0 / block + 2.0 / number.scalar("spacer.end_plate_stiffness"))));
  const double column = number.scalar("graft.modulus") * number.scalar("joint.C1-C2.surface_length") *
                        number.scalar("joint.C1-C2.surface_width") / 1.697;
  CHECK(sum(chips) == Approx(1.0 / (1.0 / column + 2.0 / number.scalar("bearing.stiffness.normal"))).epsilon(0.001));
  CHECK(m.system.slips.size() == 10);
}

TEST_CASE("rods are locked last only where something is tightened, only bone holds them, and the case has it so") {
  models::Construct construct = tests::screw_rod(AnchorKind::pars, AnchorKind::pars);
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  const auto last = [&] {
    int n = 0;
    for (const mesh::Component& component : built(c, construct).components) n += component.locked_last ? 1 : 0;
    return n;
  };
  CHECK(last() == 0);
  construct.ties = {{.name = "tie"}};
  CHECK(last() == 2);
  construct.order = models::AssemblyOrder::lock_then_tighten;
  CHECK(last() == 0);
  construct.order = models::AssemblyOrder::tighten_then_lock;
  construct.ties[0].tension_N = 0.0;
  CHECK(last() == 0);
}

TEST_CASE("a block's four pads a face bear and tilt as its whole face does") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  models::Construct construct{.name = "graft"};
  construct.grafts = {{.name = "crest"}};
  const mesh::Mesh m = built(c, construct);
  const auto pads = of_kind(m, m.system.pads, OriginKind::graft);
  REQUIRE(pads.size() == 8);
  const models::ParameterReader number(tests::library());
  const double depth = number.scalar("graft.block.depth"), width = number.scalar("graft.block.width");
  Vector3 middle[2] = {Vector3::Zero(), Vector3::Zero()};
  for (std::size_t i = 0; i < 8; ++i) middle[i / 4] += 0.25 * pads[i].a.point_mm;
  const double height = (middle[0] - middle[1]).norm();
  const double half_column = 2.0 * number.scalar("graft.modulus") * depth * width / height;
  const double bearing = number.scalar("bearing.stiffness.normal");
  for (const std::size_t face : {0U, 1U}) {
    double stiffness = 0.0, forward = 0.0, aside = 0.0;
    for (std::size_t i = 4 * face; i < 4 * face + 4; ++i) {
      const double k = std::get<mesh::ToeLinear>(pads[i].law).stiffness;
      const Vector3 arm = pads[i].a.point_mm - middle[face];
      stiffness += k;
      forward += k * std::pow(arm.dot(pads[i].global_from_surface.col(0)), 2);
      aside += k * std::pow(arm.dot(pads[i].global_from_surface.col(1)), 2);
      // Out of the bone and into the block.
      CHECK(pads[i].global_from_surface.col(2).dot(middle[1 - face] - middle[face]) == Approx(height));
    }
    CHECK(stiffness == Approx(1.0 / (1.0 / half_column + 1.0 / bearing)));
    CHECK(forward == Approx(stiffness * depth * depth / 12.0));  // I/A of a rectangle
    CHECK(aside == Approx(stiffness * width * width / 12.0));
  }
}

TEST_CASE("callus is a bar: it stretches, shears, bends and twists by its own section") {
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  models::Construct construct{.name = "graft"};
  construct.grafts = {{.name = "crest", .healed = 1.0}};
  const mesh::Mesh m = built(c, construct);
  const auto callus = of_kind(m, m.system.cushions, OriginKind::graft);
  REQUIRE(callus.size() == 1);
  const models::ParameterReader number(tests::library());
  const double depth = number.scalar("graft.block.depth"), width = number.scalar("graft.block.width");
  const mesh::Matrix6& k = callus[0].stiffness;
  // G = E/(2 (1 + nu));  bending about the forward axis goes with the width squared, about the sideways one with the
  // depth's.
  CHECK(k(2, 2) / k(0, 0) == Approx(2.0 * (1.0 + number.scalar("bone.poisson"))));
  CHECK(k(1, 1) == Approx(k(0, 0)));
  CHECK(k(3, 3) / k(2, 2) == Approx(width * width / 12.0));
  CHECK(k(4, 4) / k(2, 2) == Approx(depth * depth / 12.0));
  CHECK(k(5, 5) / k(0, 0) == Approx((width * width + depth * depth) / 12.0));
  CHECK(callus[0].global_from_cushion.col(2).z() > 0.9);
  CHECK(callus[0].global_from_cushion.col(0).x() > 0.9);
}

TEST_CASE("a block grips the backs while a wire is tightened, so that C1 does not slide off it") {
  // The wire's line leans from the block's axis by less than its angle of friction, atan 0.4 = 22 deg: it holds by Coulomb's
  // rule. Seated without friction, C1 without its transverse ligament went 5.7 mm forward.
  models::Case c = tests::two_levels(Level::C1, Level::C2);
  c.neck.instabilities = {{.kind = models::InstabilityKind::transverse_ligament_rupture}};
  models::Construct construct{.name = "wire and block", .ties = {{.name = "wire"}}, .grafts = {{.name = "block"}}};
  const mesh::Mesh m = built(c, construct);
  const auto wires = of_kind(m, m.system.strands, OriginKind::wire);
  const auto faces = of_kind(m, m.system.pads, OriginKind::graft);
  const std::size_t ends = wires[0].path.size();
  const Vector3 pull = (wires[0].path[ends - 1].point_mm - wires[0].path[ends - 2].point_mm).normalized();
  const double lean = std::acos(std::abs(pull.dot(faces[0].global_from_surface.col(2)))) * 180.0 / std::numbers::pi;
  CHECK(lean < 20.0);
  const core::Assembly pose = core::assemble(m.system, m.components, {});
  REQUIRE(pose.status == core::AssemblyStatus::assembled);
  CHECK_FALSE(pose.friction_held);
  const double forward = pose.q[pose.model.first_dof[static_cast<std::size_t>(m.top.value)]];
  CHECK(std::abs(forward) < 2.0);
}

TEST_CASE("rods hold a slip that was reduced while a wire is tightened") {
  // Torn transverse ligament, slip 6 mm, 5 of it reduced: with the rods locked last C1 went 12 mm forward under the wire.
  models::Case c = tests::two_levels(Level::C1, Level::C2);
  c.neck.instabilities = {{.kind = models::InstabilityKind::transverse_ligament_rupture}};
  c.neck.joints = {{.joint = {Level::C1, Level::C2}, .slip_mm = 6.0, .reduced_mm = 5.0}};
  models::Construct construct = tests::screw_rod(AnchorKind::pars, AnchorKind::pars);
  construct.ties = {{.name = "wire"}};
  construct.grafts = {{.name = "block"}};
  const mesh::Mesh m = built(c, construct);
  std::vector<core::CondensedComponent> parts;
  for (const mesh::Component& component : m.components) {
    CHECK(!component.locked_last);
    core::CondenseOutcome part = core::condense(m.system, component);
    REQUIRE(part.regular);
    parts.push_back(std::move(part.component));
  }
  const core::Assembly pose = core::assemble(m.system, m.components, parts);
  REQUIRE(pose.status == core::AssemblyStatus::assembled);
  const double forward = pose.q[pose.model.first_dof[static_cast<std::size_t>(m.top.value)]];
  CHECK(std::abs(forward) < 1.0);
}

TEST_CASE("friction over a square acts at 0.3826 of its side, and its four directions share the stiffness evenly") {
  CHECK(mesh::mean_radius_mm(1.0, 1.0) == Approx(0.3825978));             // known constant: (sqrt 2 + ln(1 + sqrt 2))/6
  CHECK(mesh::mean_radius_mm(20.0, 0.001) == Approx(5.0).epsilon(1e-3));  // a line: a quarter of its length
  const models::Case c = tests::two_levels(Level::C1, Level::C2);
  models::Construct construct{.name = "graft"};
  construct.grafts = {{.name = "crest"}};
  const mesh::Mesh m = built(c, construct);
  mesh::Matrix3 sum = mesh::Matrix3::Zero();
  double stiffness = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    const mesh::Slip& slip = m.system.slips[i];
    CHECK_FALSE(slip.turning);
    sum += slip.stiffness * slip.direction * slip.direction.transpose();
    stiffness = slip.stiffness;
  }
  const Vector3 normal = m.system.slips[4].direction;
  CHECK(m.system.slips[4].turning);
  CHECK((sum - 2.0 * stiffness * (mesh::Matrix3::Identity() - normal * normal.transpose())).norm() < 1e-9 * stiffness);
}
