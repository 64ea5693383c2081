// SPDX-License-Identifier: MIT
#pragma once
// What every rule of a case leans on: the case, the library, the places in the file, and where findings go. A rule keeps
// quiet about what could not be read.
#include <array>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <tuple>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "models/xml/findings.hpp"
#include "models/xml/places.hpp"

namespace opisthion::models {

class Rules {
 public:
  Rules(const Case& of, const ParameterTable& library, const Places& at)
      : the_case(of), neck(of.neck), parameters(library), places(at) {}

  const Case& the_case;
  const Neck& neck;
  const ParameterTable& parameters;
  const Places& places;
  Findings findings{};

  void add(FindingCode code, const std::string& path, std::string where, std::string_view found, std::string_view expected,
           std::string nearest = {}, Severity severity = Severity::error);
  void warn(FindingCode code, const std::string& path, std::string where, std::string_view found) {
    add(code, path, std::move(where), found, "", {}, Severity::warning);
  }

  bool trusted(std::string_view path) const { return places.trusted(path); }
  bool neck_trusted() const { return trusted("neck@upper") && trusted("neck@lower"); }
  std::string neck_span() const;  ///< "from C1 to C2"

  /// The level must be in the neck; nothing is said where either could not be read.
  bool in_neck(Level level, const std::string& path, const std::string& where);
  /// Both levels of the joint must be.
  bool in_neck(JointId joint, const std::string& path, const std::string& where);
  /// A name may be taken once.
  void once(std::string_view name, const std::string& path, const std::string& where, std::string_view what,
            std::set<std::string_view>& seen);
  std::string near(std::string_view name, const std::set<std::string_view>& known) const;
  /// A single number of the library; nothing when it has none.
  std::optional<double> number(std::string_view id) const;
};

std::string indexed(std::string_view what, std::size_t i);               ///< "rod[2]"
std::string quoted(std::string_view what, std::string_view item);        ///< "rod 'left'"
std::string attribute(const std::string& where, std::string_view name);  ///< "rod 'left', attribute 'diameter'"

/// Bone that is gone, in words; looked up once for each place, for a case may hold thousands of anchors.
class RemovedBone {
 public:
  explicit RemovedBone(const Neck& neck);
  /// The bone that an anchor of this kind would need there and that is gone: "the lamina of C3 is removed (laminectomy)";
  /// else empty.
  const std::string& under(AnchorKind kind, Level level, Side side);
  /// The same for lamina, arch and spinous process, which ties and grafts lean on.
  const std::string& back_of(Level level) const { return back_[static_cast<std::size_t>(level)]; }
  std::string lateral_mass(Level level, Side side) const;

 private:
  std::string worded(InstabilityKind by, const Anchor& anchor) const;
  const Neck& neck_;
  std::array<std::string, kLevelCount> back_{};
  std::map<std::tuple<AnchorKind, Level, Side>, std::string> under_{};
};

void check_neck(Rules& rules);
void check_instabilities(Rules& rules);
void check_bench(Rules& rules);
void check_settings(Rules& rules);
void check_constructs(Rules& rules);

}  // namespace opisthion::models
