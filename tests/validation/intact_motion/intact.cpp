// SPDX-License-Identifier: MIT
// Motion of each joint of the intact neck against published ranges. The library's tissue was not fitted to them: the table
// is printed, only orders that hold are asserted, and the score must not get worse. README.md says more.
#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "models/case/neck_alone.hpp"
#include "models/quantity/units.hpp"
#include "solver/study/full/run.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::Level;
using models::Motion;

namespace {

namespace full = core::full;

constexpr std::size_t kJoints = 7;
constexpr std::array<std::string_view, kJoints> kNames{"C0-C1", "C1-C2", "C2-C3", "C3-C4", "C4-C5", "C5-C6", "C6-C7"};
enum Plane { kFlexionExtension, kBending, kRotation };
constexpr std::array<std::string_view, 3> kPlaneNames{"flexion + extension", "bending, both sides", "rotation, both sides"};

struct Measured {
  double mean, sd;
};
using Table = std::array<std::array<Measured, kJoints>, 3>;  ///< by plane: totals [deg]

// Panjabi et al. 2001, Spine 26:2692-2700, n = 16, C0-C7, 1.0 N m (the moment from memory), as tabulated in J Orthop Surg
// Res 2024 (s13018-024-04567-5), Table 2: seen there.
constexpr Table kPanjabi2001{{{{{27.4, 3.7}, {24.4, 5.6}, {6.8, 1.4}, {8.2, 4.7}, {9.8, 4.0}, {10.4, 5.2}, {8.0, 4.3}}},
                              {{{9.1, 1.5}, {6.5, 2.3}, {9.6, 1.8}, {9.0, 1.9}, {9.3, 6.5}, {6.5, 1.5}, {5.4, 1.5}}},
                              {{{9.9, 3.0}, {56.7, 4.8}, {3.3, 1.2}, {5.1, 1.2}, {6.8, 1.3}, {5.0, 1.0}, {2.9, 0.8}}}}};
// Ito, Ivancic, Panjabi, Cunningham 2004, Spine 29:979-987, 1.5 N m (the moment from memory), in the same table: seen there.
constexpr Table kIto2004{{{{{27.5, 7.7}, {15.3, 4.2}, {9.0, 4.0}, {10.0, 4.5}, {14.3, 5.5}, {14.5, 8.0}, {15.2, 3.1}}},
                          {{{7.7, 2.1}, {11.6, 10.4}, {9.7, 4.3}, {8.6, 5.9}, {8.1, 3.8}, {4.9, 2.1}, {6.8, 3.3}}},
                          {{{13.0, 5.5}, {63.3, 13.0}, {6.6, 4.8}, {9.5, 4.9}, {11.5, 3.8}, {7.8, 4.1}, {6.5, 3.3}}}}};

// One side at 1.5 N m, without spread: Panjabi, Dvorak, Duranceau, Yamamoto 1989, Proc SPIE 1030: seen.
struct OneSide {
  std::size_t joint;
  Motion motion;
  double deg;
};
constexpr std::array<OneSide, 8> kPanjabi1989{{{0, Motion::flexion, 3.5},
                                               {0, Motion::extension, 21.0},
                                               {0, Motion::left_bending, 5.5},
                                               {0, Motion::left_rotation, 7.2},
                                               {1, Motion::flexion, 11.5},
                                               {1, Motion::extension, 10.9},
                                               {1, Motion::left_bending, 6.7},
                                               {1, Motion::left_rotation, 38.9}}};

/// Rotation of each joint about the motion's own axis [deg].
using Turns = std::map<Motion, std::vector<double>>;

Turns turns_of(Level top, Level bottom, double moment_Nmm) {
  models::Case neck{.name = "an intact neck"};
  neck.neck.upper = top;
  neck.neck.lower = bottom;
  neck.bench.top = top;
  neck.bench.bottom = bottom;
  neck.bench.moment_Nmm = moment_Nmm;
  const auto specimen = study::make_specimen(neck, models::bare_construct(models::kIntactRow), tests::library(), {});
  REQUIRE(specimen);
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  Turns out;
  for (const mesh::LoadCase& load_case : specimen->mesh.program.cases) {
    const auto motion = models::motion_from_name(load_case.id);
    REQUIRE(motion);
    const study::FullRun run = study::run_load(*specimen, load_case, 10, study::Look::closely, *work);
    INFO(load_case.id << ": " << run.verdict.reason());
    REQUIRE(run.verdict.status == study::Status::solved);
    for (const study::PoseFigures& joint : run.figures.joints) out[*motion].push_back(study::rotation_deg(joint, *motion));
  }
  return out;
}

/// Totals by plane and joint [deg].
using Totals = std::array<std::array<double, kJoints>, 3>;

Totals totals(const std::array<Turns, kJoints>& joints, bool whole) {
  Totals out{};
  constexpr std::array<std::array<Motion, 2>, 3> kPairs{{{Motion::flexion, Motion::extension},
                                                         {Motion::left_bending, Motion::right_bending},
                                                         {Motion::left_rotation, Motion::right_rotation}}};
  for (std::size_t plane = 0; plane < kPairs.size(); ++plane)
    for (std::size_t i = 0; i < kJoints; ++i)
      for (const Motion motion : kPairs[plane]) out[plane][i] += joints[i].at(motion)[whole ? i : 0];
  return out;
}

std::array<Turns, kJoints> whole_neck(double moment_Nmm) {
  std::array<Turns, kJoints> out;
  out.fill(turns_of(Level::C0, Level::C7, moment_Nmm));
  return out;
}
std::array<Turns, kJoints> single_joints(double moment_Nmm) {
  std::array<Turns, kJoints> out;
  for (std::size_t i = 0; i < kJoints; ++i) out[i] = turns_of(static_cast<Level>(i), static_cast<Level>(i + 1), moment_Nmm);
  return out;
}

// Scores as they came out when this was written (mean of |z| over 21 rows), rounded up in the second decimal: nobody may
// make them worse unnoticed. Lower ones are for whoever fits the tissue.
constexpr double kPanjabiWhole = 2.14, kItoWhole = 1.32, kPanjabiSingle = 2.16, kItoSingle = 1.40;

struct Score {
  double mean_z = 0.0;  ///< mean of |z|
  int within_one = 0, within_two = 0;
};

Score printed(const char* what, const Totals& model, const Table& measured) {
  Score out;
  for (std::size_t plane = 0; plane < model.size(); ++plane) {
    double bias = 0.0;
    for (std::size_t i = 0; i < kJoints; ++i) {
      const Measured& m = measured[plane][i];
      const double z = (model[plane][i] - m.mean) / m.sd;
      std::printf("%-28s %-20s %s  model %5.1f  measured %5.1f (SD %4.1f)  z %+.1f\n", what,
                  std::string(kPlaneNames[plane]).c_str(), std::string(kNames[i]).c_str(), model[plane][i], m.mean, m.sd, z);
      out.mean_z += std::abs(z) / static_cast<double>(3 * kJoints);
      bias += z / static_cast<double>(kJoints);
      out.within_one += std::abs(z) <= 1.0 ? 1 : 0;
      out.within_two += std::abs(z) <= 2.0 ? 1 : 0;
    }
    std::printf("%-28s %-20s signed bias %+.1f SD\n", what, std::string(kPlaneNames[plane]).c_str(), bias);
  }
  std::printf("%-28s mean |z| %.2f; %d of 21 within 1 SD, %d within 2 SD\n", what, out.mean_z, out.within_one,
              out.within_two);
  return out;
}

std::size_t largest(const std::array<double, kJoints>& of, std::size_t from) {
  std::size_t at = from;
  for (std::size_t i = from; i < kJoints; ++i)
    if (of[i] > of[at]) at = i;
  return at;
}

std::size_t largest(const std::array<Measured, kJoints>& of, std::size_t from) {
  std::array<double, kJoints> means{};
  for (std::size_t i = 0; i < kJoints; ++i) means[i] = of[i].mean;
  return largest(means, from);
}

}  // namespace

TEST_CASE("motion of every joint of the intact neck against published ranges, no further off than documented") {
  const Totals whole_1 = totals(whole_neck(1000.0), true), whole_15 = totals(whole_neck(1500.0), true);
  const Totals single_1 = totals(single_joints(1000.0), false), single_15 = totals(single_joints(1500.0), false);
  const Score panjabi = printed("C0-C7, 1.0 N m, Panjabi 2001", whole_1, kPanjabi2001);
  const Score ito = printed("C0-C7, 1.5 N m, Ito 2004", whole_15, kIto2004);
  const Score panjabi_single = printed("single, 1.0 N m, Panjabi 01", single_1, kPanjabi2001);
  const Score ito_single = printed("single, 1.5 N m, Ito 2004", single_15, kIto2004);
  // The figures as they came out, rounded up in the second decimal: README.md.
  CHECK(panjabi.mean_z <= kPanjabiWhole);
  CHECK(ito.mean_z <= kItoWhole);
  CHECK(panjabi_single.mean_z <= kPanjabiSingle);
  CHECK(ito_single.mean_z <= kItoSingle);

  for (const auto& [name, model, table] : {std::tuple{"C0-C7", &whole_1, &kPanjabi2001},
                                           {"C0-C7", &whole_15, &kIto2004},
                                           {"single", &single_1, &kPanjabi2001},
                                           {"single", &single_15, &kIto2004}})
    for (std::size_t plane = 0; plane < 3; ++plane)
      for (const std::size_t from : {std::size_t{0}, std::size_t{2}})
        std::printf("largest of %s in %s: model (%s) %s, measured %s\n", from == 0 ? "all" : "C2-C7",
                    std::string(kPlaneNames[plane]).c_str(), name,
                    std::string(kNames[largest((*model)[plane], from)]).c_str(),
                    std::string(kNames[largest((*table)[plane], from)]).c_str());

  // Orders in which both studies agree, and which the model keeps.
  for (const Totals* model : {&whole_1, &whole_15, &single_1, &single_15}) {
    const auto& fe = (*model)[kFlexionExtension];
    const auto& rotation = (*model)[kRotation];
    CHECK(largest(rotation, 0) == 1);  // C1-C2 turns most of all
    CHECK(largest(rotation, 2) == 4);  // below C2, C4-C5 does
    for (std::size_t i = 2; i < kJoints; ++i) {
      CHECK(fe[0] > fe[i]);
      CHECK(fe[1] > fe[i]);
      CHECK(rotation[1] > 3.0 * rotation[i]);
    }
    CHECK((*model)[kBending][2] > (*model)[kBending][6]);  // C2-C3 bends more than C6-C7
  }
}

TEST_CASE("one-sided motion of the upper joints against Panjabi 1989") {
  // Printed: 1989 and 1991 differ by their neutral posture (3.5 against 14.4 deg of C0-C1 flexion), only sums agree.
  const Turns whole = turns_of(Level::C0, Level::C7, 1500.0);
  for (const OneSide& row : kPanjabi1989) {
    const double model = whole.at(row.motion)[row.joint];
    std::printf("C0-C7, 1.5 N m  %s %-13s model %5.1f  measured %5.1f  (%+.0f %%)\n", std::string(kNames[row.joint]).c_str(),
                std::string(models::name(row.motion)).c_str(), model, row.deg, 100.0 * (model / row.deg - 1.0));
    CHECK(model > 0.0);
  }
  const auto of = [&whole](Motion motion, std::size_t joint) { return whole.at(motion)[joint]; };
  CHECK(of(Motion::extension, 0) > of(Motion::flexion, 0));            // C0-C1 extends further than it flexes
  CHECK(of(Motion::left_rotation, 1) > of(Motion::left_rotation, 0));  // C1-C2 is the joint of rotation
}
