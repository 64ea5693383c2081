// SPDX-License-Identifier: MIT
// Each instability against the intact neck, in small kinematics. Published changes stand beside the model's in the messages;
// only their sign is checked.
#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "tests/unit/mesh/neck_trials.hpp"

using namespace opisthion;
using models::Instability;
using models::JointId;
using models::Level;
using models::Side;
using Kind = models::InstabilityKind;

namespace {

models::Case upper_neck() {
  return tests::bare_neck(Level::C0, Level::C3, 1500.0);
}
models::Case lower_neck() {
  return tests::bare_neck(Level::C3, Level::C7, 1000.0);
}

/// An injury, the neck it is tried on, and its mirror image.
struct Injury {
  std::string name;
  models::Case neck;
  std::vector<Instability> given;
  std::vector<Instability> mirrored;  ///< empty: it is its own
};

std::vector<Injury> injuries() {
  const JointId c5_c6{Level::C5, Level::C6};
  const Instability facets{.kind = Kind::facetectomy, .joint = c5_c6, .share = 0.5};
  const Instability left_facet{.kind = Kind::facetectomy, .joint = c5_c6, .side = Side::left, .share = 0.75};
  const Instability right_facet{.kind = Kind::facetectomy, .joint = c5_c6, .side = Side::right, .share = 0.75};
  return {
      {"dens non-union", upper_neck(), {{.kind = Kind::dens_nonunion}}, {}},
      {"dens fracture", upper_neck(), {{.kind = Kind::dens_fracture}}, {}},
      {"dens fracture, C1-C2 alone", tests::bare_neck(Level::C1, Level::C2, 1500.0), {{.kind = Kind::dens_fracture}}, {}},
      {"odontoidectomy", upper_neck(), {{.kind = Kind::odontoidectomy}}, {}},
      {"transverse ligament rupture", upper_neck(), {{.kind = Kind::transverse_ligament_rupture}}, {}},
      {"alar rupture, one side",
       upper_neck(),
       {{.kind = Kind::alar_rupture, .side = Side::left}},
       {{.kind = Kind::alar_rupture, .side = Side::right}}},
      {"alar rupture, both sides", upper_neck(), {{.kind = Kind::alar_rupture}}, {}},
      {"tectorial rupture", upper_neck(), {{.kind = Kind::tectorial_rupture}}, {}},
      {"occipitoatlantal dissociation", upper_neck(), {{.kind = Kind::occipitoatlantal_dissociation}}, {}},
      {"vertical instability", upper_neck(), {{.kind = Kind::vertical_instability}}, {}},
      {"lateral mass loss",
       upper_neck(),
       {{.kind = Kind::lateral_mass_loss, .side = Side::left, .height_mm = 2.0}},
       {{.kind = Kind::lateral_mass_loss, .side = Side::right, .height_mm = 2.0}}},
      {"ring fracture",
       upper_neck(),
       {{.kind = Kind::ring_fracture, .side = Side::left}},
       {{.kind = Kind::ring_fracture, .side = Side::right}}},
      {"ring fracture, both sides",
       upper_neck(),
       {{.kind = Kind::ring_fracture, .side = Side::left}, {.kind = Kind::ring_fracture, .side = Side::right}},
       {{.kind = Kind::ring_fracture, .side = Side::right}, {.kind = Kind::ring_fracture, .side = Side::left}}},
      {"lateral mass of C1 destroyed",
       upper_neck(),
       {{.kind = Kind::lateral_mass_destroyed, .level = Level::C1, .side = Side::left}},
       {{.kind = Kind::lateral_mass_destroyed, .level = Level::C1, .side = Side::right}}},
      {"laminectomy of C1", upper_neck(), {{.kind = Kind::laminectomy, .level = Level::C1}}, {}},
      {"body of C2 destroyed", upper_neck(), {{.kind = Kind::body_destroyed, .level = Level::C2}}, {}},
      {"lateral mass of C5 destroyed",
       lower_neck(),
       {{.kind = Kind::lateral_mass_destroyed, .level = Level::C5, .side = Side::left}},
       {{.kind = Kind::lateral_mass_destroyed, .level = Level::C5, .side = Side::right}}},
      {"body of C5 destroyed", lower_neck(), {{.kind = Kind::body_destroyed, .level = Level::C5}}, {}},
      {"laminectomy of C5", lower_neck(), {{.kind = Kind::laminectomy, .level = Level::C5}}, {}},
      {"facetectomy, both sides", lower_neck(), {facets}, {}},
      {"facetectomy, one side", lower_neck(), {left_facet}, {right_facet}},
      {"posterior ligament section",
       lower_neck(),
       {{.kind = Kind::posterior_ligament_section, .joint = JointId{Level::C4, Level::C5}}},
       {}},
  };
}

std::string_view mirrored_motion(std::string_view motion) {
  if (motion == "left_bending") return "right_bending";
  if (motion == "right_bending") return "left_bending";
  if (motion == "left_rotation") return "right_rotation";
  if (motion == "right_rotation") return "left_rotation";
  return motion;
}

/// Horizontal push on C1, forward, and on the top level downwards.
std::vector<mesh::BodyLoad> push(const mesh::Mesh& m, std::string_view level, const Eigen::Vector3d& force) {
  for (std::size_t i = 0; i < m.system.bodies.size(); ++i) {
    const mesh::Body& body = m.system.bodies[i];
    if (m.origins[body.item].name == level) return {{.at = {{static_cast<int>(i)}, body.position_mm}, .force_N = force}};
  }
  FAIL("no such level");
  return {};
}

int bodies_named(const mesh::Mesh& m, std::string_view name) {
  return static_cast<int>(std::count_if(m.system.bodies.begin(), m.system.bodies.end(),
                                        [&](const mesh::Body& b) { return m.origins[b.item].name == name; }));
}

/// Names of all that pulls, presses or cushions.
std::vector<std::string> parts(const mesh::Mesh& m) {
  std::vector<std::string> names;
  for (const auto& s : m.system.strands) names.push_back(m.origins[s.item].name);
  for (const auto& p : m.system.pads) names.push_back(m.origins[p.item].name);
  for (const auto& c : m.system.axis_cushions) names.push_back(m.origins[c.item].name);
  for (const auto& c : m.system.cushions) names.push_back(m.origins[c.item].name);
  return names;
}
bool has_part(const mesh::Mesh& m, std::string_view name) {
  const auto names = parts(m);
  return std::find(names.begin(), names.end(), name) != names.end();
}

mesh::BodyId ride_on(const mesh::Mesh& m, std::string_view part, bool upper) {
  for (const auto& s : m.system.strands)
    if (m.origins[s.item].name == part) return upper ? s.path.front().body : s.path.back().body;
  for (const auto& p : m.system.pads)
    if (m.origins[p.item].name == part) return upper ? p.a.body : p.b;
  FAIL("no part " << std::string(part));
  return {};
}

}  // namespace

TEST_CASE("no instability stiffens a neck, in no motion, under no push") {
  for (const Injury& injury : injuries()) {
    const tests::Trial intact(injury.neck);
    const tests::Trial injured(tests::with(injury.neck, injury.given));
    bool softer = false;
    for (const std::string_view motion : tests::kMotionIds) {
      const double before = intact.yielding(motion);
      const double after = injured.yielding(motion);
      INFO(injury.name << ", " << motion << ": " << before << " N mm intact, " << after << " injured");
      CHECK(after >= before * (1.0 - 1e-9));
      softer = softer || after > before * 1.001;
    }
    const std::string top(name(injury.neck.neck.upper));
    for (const Eigen::Vector3d& force :
         {Eigen::Vector3d(20, 0, 0), Eigen::Vector3d(-20, 0, 0), Eigen::Vector3d(0, 0, -20), Eigen::Vector3d(0, 0, 20)}) {
      const double before = intact.yielding(push(intact.mesh(), top, force));
      const double after = injured.yielding(push(injured.mesh(), top, force));
      INFO(injury.name << ", " << force.transpose() << " N on " << top << ": " << before << " N mm intact, " << after);
      CHECK(after >= before * (1.0 - 1e-9));
      softer = softer || after > before * 1.001;
    }
    INFO(injury.name);
    CHECK(softer);
  }
}

TEST_CASE("an injury on the left is the mirror image of one on the right") {
  for (const Injury& injury : injuries()) {
    if (injury.mirrored.empty()) continue;
    const tests::Trial left(tests::with(injury.neck, injury.given));
    const tests::Trial right(tests::with(injury.neck, injury.mirrored));
    for (const std::string_view motion : tests::kMotionIds) {
      const Eigen::VectorXd a = left.solve(motion);
      const Eigen::VectorXd b = right.solve(mirrored_motion(motion));
      for (const mesh::JointProbes& joint : left.mesh().joints)
        for (const auto& [probe, sign] : {std::pair{"/rotation/flexion", 1.0}, std::pair{"/rotation/bending", -1.0},
                                          std::pair{"/rotation/rotation", -1.0}, std::pair{"/translation/y", -1.0}}) {
          const std::string id = joint.name + probe;
          INFO(injury.name << ", " << motion << ", " << id);
          CHECK(left.read(id, a) == Approx(sign * right.read(id, b)).epsilon(1e-10).margin(1e-10));
        }
    }
  }
}

TEST_CASE("an injured neck that moves as one rigid body strains nothing, and without load it stays") {
  for (const Injury& injury : injuries()) {
    INFO(injury.name);
    const tests::Trial trial(tests::with(injury.neck, injury.given));
    CHECK(trial.solve(std::vector<mesh::BodyLoad>{}).norm() < 1e-9);
    mesh::Mesh m = trial.mesh();
    for (mesh::Body& body : m.system.bodies) body.fixed = false;
    const core::ReducedModel model = core::reduce(m.system, {});
    const Eigen::Vector3d turn(0.02, 0.03, -0.01);
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    for (std::size_t i = 0; i < m.system.bodies.size(); ++i) {
      q.segment<3>(model.first_dof[i]) = Eigen::Vector3d(1, 2, 3) + turn.cross(m.system.bodies[i].position_mm);
      q.segment<3>(model.first_dof[i] + 3) = turn;
    }
    for (const core::Functional& f : model.functionals) CHECK(std::abs(f.at(q)) < 1e-12);
    CHECK((model.stiffness * q).norm() < 1e-9);
    CHECK((model.regularisation * q).norm() < 1e-9);
  }
}

TEST_CASE("what is published to move more after an injury moves more here") {
  struct Row {
    std::string what;
    models::Case neck;
    std::vector<Instability> given;
    std::string joint;
    std::string_view motion;
    std::string_view published;
    /// Found and not mended: the model's tectorial membrane runs straight from the clivus to C2 and slackens in flexion.
    bool differs_here = false;
  };
  const auto laminectomies = [] {
    std::vector<Instability> out;
    for (const Level level : {Level::C3, Level::C4, Level::C5, Level::C6})
      out.push_back({.kind = Kind::laminectomy, .level = level});
    return out;
  }();
  const models::Case c2_c7 = tests::bare_neck(Level::C2, Level::C7, 1000.0);
  const std::vector<Row> rows{
      {"tectorial rupture",
       upper_neck(),
       {{.kind = Kind::tectorial_rupture}},
       "overall",
       "flexion",
       "+28.4 % C0-C2, Oda 1992",
       true},
      {"tectorial rupture", upper_neck(), {{.kind = Kind::tectorial_rupture}}, "overall", "extension", "+3.5 %, Oda 1992"},
      {"tectorial rupture",
       upper_neck(),
       {{.kind = Kind::tectorial_rupture}},
       "overall",
       "left_rotation",
       "+7.8 %, Oda 1992"},
      {"alar rupture, left",
       upper_neck(),
       {{.kind = Kind::alar_rupture, .side = Side::left}},
       "C1-C2",
       "right_rotation",
       "+1.9 deg a side, Panjabi 1991"},
      {"dens fracture", upper_neck(), {{.kind = Kind::dens_fracture}}, "C1-C2", "flexion", "x 1.5-2.5 (remembered)"},
      {"dens fracture", upper_neck(), {{.kind = Kind::dens_fracture}}, "C1-C2", "left_bending", "x 1.5-3 (remembered)"},
      {"odontoidectomy", upper_neck(), {{.kind = Kind::odontoidectomy}}, "C1-C2", "flexion", "x 1.5-2.5 (remembered)"},
      {"odontoidectomy", upper_neck(), {{.kind = Kind::odontoidectomy}}, "C1-C2", "left_bending", "x 1.5-3 (remembered)"},
      {"odontoidectomy",
       upper_neck(),
       {{.kind = Kind::odontoidectomy}},
       "C1-C2",
       "left_rotation",
       "x 1.05-1.3 (remembered)"},
      {"ring fracture, both sides",
       upper_neck(),
       {{.kind = Kind::ring_fracture, .side = Side::left}, {.kind = Kind::ring_fracture, .side = Side::right}},
       "overall",
       "flexion",
       "+42 % flexion-extension C0-C3, Oda 1991 (as reviewed)"},
      {"laminectomy C3-C6", c2_c7, laminectomies, "C3-C4", "flexion", "+70 %, Xie 2013 (finite elements)"},
      {"laminectomy C3-C6", c2_c7, laminectomies, "C4-C5", "flexion", "+62 %, Xie 2013 (finite elements)"},
      {"laminectomy C3-C6", c2_c7, laminectomies, "C5-C6", "flexion", "+60 %, Xie 2013 (finite elements)"},
      {"facetectomy, both sides, 100 %",
       tests::bare_neck(Level::C5, Level::C6, 1000.0),
       {{.kind = Kind::facetectomy, .joint = JointId{Level::C5, Level::C6}, .share = 1.0}},
       "C5-C6",
       "left_rotation",
       "marked drop of torsional stiffness at 75-100 %, Zdeblick 1992"},
  };
  for (const Row& row : rows) {
    const double before = tests::turned_deg(tests::Trial(row.neck), row.joint, row.motion);
    const double after = tests::turned_deg(tests::Trial(tests::with(row.neck, row.given)), row.joint, row.motion);
    WARN(row.what << ", " << row.joint << " " << row.motion << ": " << before << " to " << after << " deg ("
                  << 100.0 * (after / before - 1.0) << " %); published: " << row.published);
    if (row.differs_here)
      CHECK(after >= before * (1.0 - 1e-9));
    else
      CHECK(after > before);
  }
}

TEST_CASE("a torn transverse ligament lets C1 leave the dens under a forward push, and torn alars let it go further") {
  const auto interval_mm = [](std::vector<Instability> given) {
    const tests::Trial trial(tests::with(upper_neck(), std::move(given)));
    const Eigen::VectorXd q = trial.solve(push(trial.mesh(), "C1", {50, 0, 0}));
    return trial.read("atlas_dens_interval", q);
  };
  const Instability transverse{.kind = Kind::transverse_ligament_rupture};
  const double intact = interval_mm({});
  const double torn = interval_mm({transverse});
  const double both = interval_mm({transverse, {.kind = Kind::alar_rupture}});
  WARN("interval before the dens, 50 N forward on C1: "
       << intact << " mm intact, " << torn << " mm without transverse ligament, " << both
       << " mm without the alars as well; published: <= 3, 3-5, > 5 mm (Fielding 1974, remembered); 2.7 to 4.5 mm "
          "under a forward load on the occiput (Phuntsok 2019, finite elements)");
  CHECK(torn > intact);
  CHECK(both > torn);
}

TEST_CASE("a neck with everything injured at once can still be built and solved") {
  models::Case c = tests::bare_neck(Level::C0, Level::T1, 50.0);
  for (int i = 0; i < models::kInstabilityKindCount; ++i) {
    Instability one{.kind = static_cast<Kind>(i)};
    if (one.kind == Kind::odontoidectomy) continue;  // a dens that is out cannot break
    if (one.kind == Kind::lateral_mass_loss || one.kind == Kind::ring_fracture || one.kind == Kind::lateral_mass_destroyed)
      one.side = Side::right;
    if (one.kind == Kind::lateral_mass_loss) one.height_mm = 1.0;
    if (one.kind == Kind::lateral_mass_destroyed) one.level = Level::C4;
    if (one.kind == Kind::body_destroyed) one.level = Level::C5;
    if (one.kind == Kind::laminectomy) one.level = Level::C6;
    if (one.kind == Kind::facetectomy || one.kind == Kind::posterior_ligament_section)
      one.joint = JointId{Level::C6, Level::C7};
    if (one.kind == Kind::facetectomy) one.share = 0.5;
    c.neck.instabilities.push_back(one);
  }
  const tests::Trial trial(c);
  CHECK(trial.mesh().system.bodies.size() == 11);  // nine levels, a dens, a lateral mass of C1
  for (const std::string_view motion : tests::kMotionIds) CHECK(tests::turned_deg(trial, "overall", motion) > 0.0);
}

TEST_CASE("a facetectomy in steps softens torsion in steps, and takes the medial edge first") {
  // Zdeblick et al. 1992, C5-C6 (seen): torsional stiffness unchanged to 50 %, a marked drop at 75 and 100 %.
  const models::Case neck = tests::bare_neck(Level::C5, Level::C6, 1000.0);
  const JointId joint{Level::C5, Level::C6};
  double last = tests::turned_deg(tests::Trial(neck), "C5-C6", "left_rotation");
  const double intact = last;
  for (const double share : {0.25, 0.5, 0.75, 1.0}) {
    const tests::Trial trial(tests::with(neck, {{.kind = Kind::facetectomy, .joint = joint, .share = share}}));
    const double now = tests::turned_deg(trial, "C5-C6", "left_rotation");
    WARN("facetectomy of " << 100.0 * share << " %: torsional stiffness " << 100.0 * intact / now << " % of intact");
    CHECK(now >= last);
    last = now;
    double nearest_mm = 1e9;
    for (const mesh::Pad& pad : trial.mesh().system.pads) nearest_mm = std::min(nearest_mm, std::abs(pad.a.point_mm.y()));
    const double centre_mm = 20.0;  // C5-C6 facet centres stand 20 mm off the middle in the library
    if (share >= 0.5 && share < 1.0) CHECK(nearest_mm > centre_mm);
  }
  CHECK(last > intact);
}

TEST_CASE("without a dens there is no ring, no interval in front of it, and the cord's room ends at C2") {
  const mesh::Mesh m = tests::built(tests::with(upper_neck(), {{.kind = Kind::odontoidectomy}}));
  CHECK(m.system.rings.empty());
  for (const char* name : {"left alar ligament", "apical ligament", "dens on the left lateral mass of C1"})
    CHECK_FALSE(has_part(m, name));
  CHECK(has_part(m, "tectorial membrane"));
  CHECK(m.find_probe("atlas_dens_interval") < 0);
  CHECK(m.find_probe("cord_room/arch_to_dens") < 0);
  CHECK(m.find_probe("cord_room/arch_to_C2") >= 0);
  CHECK(m.find_probe("c1_slip") >= 0);
}

TEST_CASE("a broken dens bears on C2 but is not pulled by it, and belongs to the pairs that regularisation ties") {
  const mesh::Mesh m = tests::built(tests::with(upper_neck(), {{.kind = Kind::dens_fracture}}));
  CHECK(bodies_named(m, "dens fragment") == 1);
  CHECK_FALSE(has_part(m, "fibrous tissue at the dens base"));
  int pads = 0;
  for (const mesh::Pad& pad : m.system.pads) pads += m.origins[pad.item].name == "broken surfaces at the dens base" ? 1 : 0;
  CHECK(pads == 4);
  CHECK(m.system.neighbours.size() == 4);
}

TEST_CASE("all that a lateral mass of C1 carries rides on it when it is broken off the ring") {
  const mesh::Mesh m = tests::built(tests::with(upper_neck(), {{.kind = Kind::ring_fracture, .side = Side::left}}));
  REQUIRE(bodies_named(m, "left lateral mass of C1") == 1);
  const auto named = [&](mesh::BodyId id) { return m.origins[mesh::body(m.system, id).item].name; };
  CHECK(m.origins[mesh::body(m.system, ride_on(m, "left C0-C1 condylar joint", false)).item].kind ==
        mesh::OriginKind::ring_fragment);
  for (const auto& [part, upper] :
       {std::pair{"left C0-C1 condylar joint", false}, std::pair{"capsule of the left C0-C1 condylar joint", false},
        std::pair{"left C1-C2 lateral joint", true}, std::pair{"capsule of the left C1-C2 lateral joint", true},
        std::pair{"dens on the left lateral mass of C1", false}, std::pair{"transverse ligament", true}}) {
    INFO(part);
    CHECK(named(ride_on(m, part, upper)) == "left lateral mass of C1");
  }
  CHECK(named(ride_on(m, "right C0-C1 condylar joint", false)) == "C1");
  CHECK(named(ride_on(m, "anterior atlanto-axial membrane", true)) == "C1");
  CHECK(named(m.system.rings[0].ring) == "C1");
  CHECK(m.system.cushions.size() == 2);
  CHECK(m.system.neighbours.size() == 4);
}

TEST_CASE("a broken ring spreads under the skull's weight, and more without its transverse ligament") {
  // Spence 1970 (from memory): 7 mm of overhang together speaks for a torn transverse ligament.
  const auto spread_mm = [](bool torn) {
    std::vector<Instability> given{{.kind = Kind::ring_fracture, .side = Side::left},
                                   {.kind = Kind::ring_fracture, .side = Side::right}};
    if (torn) given.push_back({.kind = Kind::transverse_ligament_rupture});
    const tests::Trial trial(tests::with(upper_neck(), given));
    const Eigen::VectorXd q = trial.solve(push(trial.mesh(), "C0", {0, 0, -50}));
    double out = 0.0;
    for (std::size_t i = 0; i < trial.mesh().system.bodies.size(); ++i) {
      const std::string& called = trial.mesh().origins[trial.mesh().system.bodies[i].item].name;
      const int dof = trial.model().first_dof[i];
      if (called == "left lateral mass of C1") out += q[dof + 1];
      if (called == "right lateral mass of C1") out -= q[dof + 1];
    }
    return out;
  };
  const double whole = spread_mm(false);
  const double torn = spread_mm(true);
  INFO(whole << " mm with, " << torn << " mm without the transverse ligament");
  CHECK(whole > 0.1);
  CHECK(torn > whole);
}

TEST_CASE("an eroded joint lets C1 settle by what is lost before bone meets bone") {
  const auto settles_mm = [](const models::Case& c) {
    const tests::Trial trial(c);
    const Eigen::VectorXd q = trial.solve(push(trial.mesh(), "C1", {0, 0, -100}));
    return -trial.read("C1-C2/translation/z", q);
  };
  const models::Case neck = tests::bare_neck(Level::C1, Level::C2);
  const double eroded = settles_mm(tests::with(neck, {{.kind = Kind::vertical_instability}}));
  const double intact = settles_mm(neck);
  // The gap grew along the joint's normal, 24 deg off the vertical: erosion / cos.
  const double erosion = models::ParameterReader(tests::library()).scalar("erosion.C1-C2.lateral_joint");
  INFO(intact << " mm intact, " << eroded << " mm eroded");
  CHECK(eroded - intact == Approx(erosion / std::cos(models::to_rad(24.0))).epsilon(0.1));
}

TEST_CASE("a lateral joint that lost height on one side lets C1 tilt to that side until bone meets bone") {
  const double lost_mm = 3.0;
  const tests::Trial trial(
      tests::with(upper_neck(), {{.kind = Kind::lateral_mass_loss, .side = Side::left, .height_mm = lost_mm}}));
  const tests::Trial intact(upper_neck());
  const auto to = [](const tests::Trial& t, const char* motion) { return tests::turned_deg(t, "C1-C2", motion, 0.2); };
  // About the other joint: the height, seen along the vertical on a slope of 24 deg, over the distance of the two joints.
  const double apart_mm = 17.19 + 16.50;
  const double tilt = models::to_deg(lost_mm / std::cos(models::to_rad(24.0)) / apart_mm);
  INFO(to(trial, "left_bending") << " deg, " << to(intact, "left_bending") << " deg intact; by geometry " << tilt
                                 << " more");
  CHECK(to(trial, "left_bending") - to(intact, "left_bending") == Approx(tilt).epsilon(0.25));
}

TEST_CASE("a laminectomy takes the strands of both joints of its level, and the nuchal ligament moves up") {
  models::Case c = tests::bare_neck(Level::C0, Level::C6);
  c.neck.instabilities = {{.kind = Kind::laminectomy, .level = Level::C6}, {.kind = Kind::laminectomy, .level = Level::C4}};
  const mesh::Mesh m = tests::built(c);
  for (const char* joint : {"C3-C4", "C4-C5", "C5-C6"}) {
    INFO(joint);
    CHECK_FALSE(has_part(m, std::string("left ") + joint + " ligamentum flavum"));
    CHECK_FALSE(has_part(m, std::string(joint) + " interspinous ligament"));
    CHECK_FALSE(has_part(m, std::string(joint) + " supraspinous ligament"));
    CHECK(has_part(m, std::string("capsule of the left ") + joint + " facet joint"));
  }
  CHECK(has_part(m, "C2-C3 interspinous ligament"));
  CHECK(m.origins[mesh::body(m.system, ride_on(m, "nuchal ligament", false)).item].name == "C5");
}

TEST_CASE("a destroyed body takes both discs and both longitudinal ligaments, a destroyed lateral mass its facets") {
  models::Case c = lower_neck();
  c.neck.instabilities = {{.kind = Kind::body_destroyed, .level = Level::C5},
                          {.kind = Kind::lateral_mass_destroyed, .level = Level::C6, .side = Side::right}};
  const mesh::Mesh m = tests::built(c);
  for (const char* joint : {"C4-C5", "C5-C6"}) {
    CHECK_FALSE(has_part(m, std::string(joint) + " disc"));
    CHECK_FALSE(has_part(m, std::string(joint) + " anterior longitudinal ligament"));
    CHECK_FALSE(has_part(m, std::string(joint) + " posterior longitudinal ligament"));
  }
  CHECK(has_part(m, "C3-C4 disc"));
  for (const char* joint : {"C5-C6", "C6-C7"}) {
    CHECK_FALSE(has_part(m, std::string("right ") + joint + " facet joint"));
    CHECK_FALSE(has_part(m, std::string("capsule of the right ") + joint + " facet joint"));
    CHECK(has_part(m, std::string("left ") + joint + " facet joint"));
  }
}
