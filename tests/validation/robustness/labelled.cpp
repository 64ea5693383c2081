// SPDX-License-Identifier: MIT
// Sixty labelled constructs, half of them true mechanisms: no stable one may be flagged, no mechanism missed. Labels follow
// from statics alone (no source needed). In a neck without its ligaments C0-C1 and C1-C2 have nothing left but contacts,
// which cannot pull and, without friction between cartilage, do not resist turning about the vertical axis. So a construct
// that leaves one of these two joints out is a mechanism whatever it does below; metal fixed to both bones of each joint
// that is loose ties them in all six directions and is stable. Each pair differs in nothing but what the metal reaches.
#include <catch2/catch.hpp>
#include <iostream>
#include <string>
#include <vector>

#include "tests/support/example.hpp"
#include "tests/validation/robustness/run_case.hpp"

using namespace opisthion;
using models::AnchorKind;
using models::Level;
using models::Side;

namespace {

struct Labelled {
  std::string what{};
  bool mechanism = false;
  models::Case the_case{};
  models::Construct construct{};
};

/// The library with every ligament cut (no stiffness); discs stay.
models::ParameterTable without_ligaments() {
  models::ParameterTable parameters = tests::library();
  int cut = 0;
  for (const models::Parameter* number : tests::library().all()) {
    const std::string_view id = number->id;
    if (id.starts_with("ligament.") && id.ends_with(".stiffness")) cut += parameters.change(id, 0.0) ? 1 : 0;
  }
  REQUIRE(cut > 10);
  return parameters;
}

models::Case bench(Level upper, Level lower, std::vector<models::Instability> instabilities = {}) {
  models::Case out{.name = "labelled"};
  out.neck.upper = upper;
  out.neck.lower = lower;
  out.neck.instabilities = std::move(instabilities);
  out.bench.top = upper;
  out.bench.bottom = lower;
  out.bench.moment_Nmm = 1000.0;
  out.bench.steps = 5;
  return out;
}

struct Stop {
  Level level = Level::C1;
  AnchorKind kind = AnchorKind::lateral_mass;
};

/// Screws and rods through these stops; a stop at C0 is a keel plate.
models::Construct rods(const std::vector<Stop>& stops, const std::vector<Side>& sides = {Side::left, Side::right}) {
  models::Construct out{.name = "labelled"};
  if (stops.front().level == Level::C0) {
    models::Plate plate{.name = "keel plate"};
    for (int i = 1; i <= 3; ++i) {
      const std::string own = "keel " + std::to_string(i);
      out.anchors.push_back({.name = own, .kind = AnchorKind::keel, .level = Level::C0, .below_inion_mm = 9.0 * i - 3.0});
      plate.through.push_back(own);
    }
    out.plates.push_back(plate);
  }
  for (const Side side : sides) {
    models::Rod rod{.name = std::string(models::name(side))};
    for (const Stop& stop : stops) {
      if (stop.level == Level::C0) {
        rod.through.push_back({.plate = "keel plate"});
        continue;
      }
      const std::string own = std::string(models::name(stop.level)) + " " + std::string(models::name(side));
      out.anchors.push_back({.name = own, .kind = stop.kind, .level = stop.level, .side = side});
      rod.through.push_back({.anchor = own});
    }
    out.rods.push_back(rod);
  }
  return out;
}

models::Construct across_c1_c2(AnchorKind kind, const std::vector<Side>& sides) {
  models::Construct out{.name = "labelled"};
  const Level entry = kind == AnchorKind::transarticular ? Level::C2 : Level::C1;
  for (const Side side : sides)
    out.anchors.push_back(
        {.name = std::string("across ") + std::string(models::name(side)), .kind = kind, .level = entry, .side = side});
  return out;
}

std::vector<Labelled> all() {
  using enum AnchorKind;
  using enum Level;
  using Kind = models::InstabilityKind;
  const std::vector<Side> both{Side::left, Side::right}, left{Side::left}, right{Side::right};
  std::vector<Labelled> out;
  const auto add = [&out](std::string what, bool mechanism, models::Case the_case, models::Construct construct) {
    out.push_back({std::move(what), mechanism, std::move(the_case), std::move(construct)});
  };
  const auto pair = [&](const std::string& what, const models::Case& the_case, const models::Construct& short_of,
                        const models::Construct& reaches) {
    add(what + ", a loose joint left out", true, the_case, short_of);
    add(what + ", each loose joint bridged", false, the_case, reaches);
  };
  const models::Construct nothing{.name = "labelled"};

  // C1-C2 alone: nothing at all against metal on one side or both.
  const std::vector<std::pair<std::string, std::vector<models::Instability>>> injuries{
      {"no other injury", {}},
      {"dens taken out", {{.kind = Kind::odontoidectomy}}},
      {"transverse ligament torn", {{.kind = Kind::transverse_ligament_rupture}}},
      {"lateral joints worn away", {{.kind = Kind::vertical_instability}}}};
  const std::vector<std::pair<std::string, models::Construct>> c1_c2{
      {"two screws and rods", rods({{C1}, {C2, pars}})},
      {"screw and rod on the left alone", rods({{C1}, {C2, pedicle}}, left)},
      {"two screws across the joint", across_c1_c2(transarticular, both)},
      {"screw and rod on the right alone", rods({{C1}, {C2, laminar}}, right)}};
  for (std::size_t i = 0; i < injuries.size(); ++i)
    pair("C1-C2, " + injuries[i].first + ", " + c1_c2[i].first, bench(C1, C2, injuries[i].second), nothing, c1_c2[i].second);

  // Metal that starts a level too low.
  const std::vector<std::pair<AnchorKind, AnchorKind>> uppers{
      {lateral_mass, pars}, {lateral_mass, pedicle}, {posterior_arch, pedicle}};
  for (const auto& [at_c1, at_c2] : uppers) {
    const std::string kinds =
        ", " + std::string(models::title(at_c1)) + " screws in C1, " + std::string(models::title(at_c2)) + " in C2";
    pair("C1-C3" + kinds, bench(C1, C3), rods({{C2, at_c2}, {C3}}), rods({{C1, at_c1}, {C2, at_c2}, {C3}}));
    pair("C1-C4" + kinds, bench(C1, C4), rods({{C2, at_c2}, {C3}, {C4}}), rods({{C1, at_c1}, {C2, at_c2}, {C3}, {C4}}));
    pair("C1-C4, C3 passed by" + kinds, bench(C1, C4), rods({{C2, at_c2}, {C4}}), rods({{C1, at_c1}, {C2, at_c2}, {C4}}));
    pair("C0-C2" + kinds, bench(C0, C2), rods({{C1, at_c1}, {C2, at_c2}}), rods({{C0}, {C1, at_c1}, {C2, at_c2}}));
    pair("C0-C3" + kinds, bench(C0, C3), rods({{C1, at_c1}, {C2, at_c2}, {C3}}),
         at_c1 == posterior_arch ? rods({{C0}, {C1, at_c1}, {C2, at_c2}, {C3}}) : rods({{C0}, {C2, at_c2}, {C3}}));
    // With C1 lateral mass screws the rod would have to bend too sharply between skull, C1 and C2 pedicle: it passes C1 by.
    pair("C0-C4" + kinds, bench(C0, C4), rods({{C1, at_c1}, {C2, at_c2}, {C3}, {C4}}),
         at_c1 == posterior_arch ? rods({{C0}, {C1, at_c1}, {C2, at_c2}, {C3}, {C4}})
                                 : rods({{C0}, {C2, at_c2}, {C3}, {C4}}));
  }

  // One rod instead of two, and screws across one joint where two are loose.
  pair("C1-C3, one rod on the left", bench(C1, C3), rods({{C2, pedicle}, {C3}}, left),
       rods({{C1}, {C2, pedicle}, {C3}}, left));
  pair("C1-C3, one rod on the right", bench(C1, C3), rods({{C2, pars}, {C3}}, right), rods({{C1}, {C2, pars}, {C3}}, right));
  pair("C0-C2, one rod", bench(C0, C2), rods({{C1}, {C2, pars}}, left), rods({{C0}, {C1}, {C2, pars}}, left));
  pair("C0-C2, screws across C1-C2", bench(C0, C2), across_c1_c2(transarticular, both), rods({{C0}, {C2, laminar}}));
  pair("C0-C2, one screw across C1-C2", bench(C0, C2), across_c1_c2(transarticular, left), rods({{C0}, {C1}, {C2, pars}}));
  // Instabilities in the words of a case on top.
  pair("C0-C2, skull torn off", bench(C0, C2, {{.kind = Kind::occipitoatlantal_dissociation}}), rods({{C1}, {C2, pedicle}}),
       rods({{C0}, {C1}, {C2, pedicle}}));
  pair("C0-C3, dens taken out", bench(C0, C3, {{.kind = Kind::odontoidectomy}}), rods({{C2, pedicle}, {C3}}),
       rods({{C0}, {C2, pedicle}, {C3}}));
  pair("C1-C3, no lamina of C3", bench(C1, C3, {{.kind = Kind::laminectomy, .level = C3}}), rods({{C2, pedicle}, {C3}}),
       rods({{C1}, {C2, pedicle}, {C3}}));
  return out;
}

}  // namespace

TEST_CASE("of sixty labelled constructs each mechanism is found and no stable one is flagged") {
  const models::ParameterTable parameters = without_ligaments();
  const std::vector<Labelled> labelled = all();
  int mechanisms = 0;
  int missed = 0;
  int flagged = 0;
  int contradicted = 0;
  for (const Labelled& one : labelled) {
    const tests::CaseRun run = tests::run_case(one.the_case, one.construct, parameters);
    INFO(one.what);
    INFO(run.assembly_reason);
    REQUIRE(run.assembled);
    bool found = false;
    for (const tests::LoadRun& load : run.loads) {
      INFO(load.load << ": " << study::name(load.status) << " " << load.reason);
      found = found || load.status == study::Status::mechanism;
      CHECK(load.status != study::Status::no_answer);
      if (load.confirmed == tests::Confirmed::no) ++contradicted;
      if (load.status == study::Status::mechanism) CHECK(load.told);
      if (load.load == "left rotation" || load.load == "right rotation")
        CHECK((load.status == study::Status::mechanism) == one.mechanism);
      if (!one.mechanism) CHECK(load.status != study::Status::mechanism);
    }
    mechanisms += one.mechanism ? 1 : 0;
    missed += one.mechanism && !found ? 1 : 0;
    flagged += !one.mechanism && found ? 1 : 0;
  }
  std::cout << labelled.size() << " labelled constructs: " << mechanisms << " mechanisms, " << missed << " missed; "
            << static_cast<int>(labelled.size()) - mechanisms << " stable, " << flagged
            << " flagged; prescribed runs that disagree: " << contradicted << "\n";
  CHECK(labelled.size() == 60);
  CHECK(2 * mechanisms == static_cast<int>(labelled.size()));
  CHECK(missed == 0);
  CHECK(flagged == 0);
  CHECK(contradicted == 0);
}
