// SPDX-License-Identifier: MIT
#pragma once
// The one table through which every number reaches the mesh. Spread, fit, tissue sets and "sources used" hang on it.
#include <Eigen/Core>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace opisthion::models {

/// How sure a number is. seen: read in the source; quoted: read in a later paper; memory / memory_low: remembered;
/// derived: computed from others; interpolated; synthesis: a default chosen from several sources; assumed: our choice.
enum class Certainty { seen, quoted, memory, memory_low, derived, interpolated, synthesis, assumed };
std::string_view name(Certainty certainty);
std::optional<Certainty> certainty_from_name(std::string_view text);

/// One published (or chosen) number, or a point of three, or a force-elongation curve.
struct Parameter {
  std::string id{};               ///< dotted, e.g. "ligament.C1-C2.capsule.stiffness"
  std::vector<double> values{};   ///< internal units; 1 value, 3 for a point, or 2n for a curve (at, value, at, value ...)
  std::string unit{};             ///< as written in the library ("N/mm", "mm", "deg"; "mm;N" for a curve)
  std::vector<double> written{};  ///< the same values in the written unit
  std::string spread{};           ///< "SD 3.2", "0.03-1 log-uniform"; never empty
  std::optional<double> low{};    ///< internal units, where the spread is a range
  std::optional<double> high{};
  std::string source{};  ///< never empty
  Certainty certainty = Certainty::assumed;
  std::string note{};  ///< conditions, or why it was chosen
  std::string file{};  ///< library file it came from
};

/// Every number of the library, by id. Immutable but for `change`, which a case, a spread run or a test uses.
class ParameterTable {
 public:
  /// False when the id is taken already.
  bool add(Parameter parameter);
  bool has(std::string_view id) const;
  const Parameter* find(std::string_view id) const;
  /// Sets a scalar [internal unit]; false when there is no such scalar. The source becomes "set by the case".
  bool change(std::string_view id, double value);
  std::vector<const Parameter*> all() const;       ///< sorted by id
  std::string nearest(std::string_view id) const;  ///< nearest known id, for messages; empty if none is near

 private:
  std::map<std::string, Parameter, std::less<>> parameters_;
};

/// A view of the table that remembers what was read. Asking for a number that is not there is our own bug: asserted.
class ParameterReader {
 public:
  explicit ParameterReader(const ParameterTable& table) : table_(&table) {}
  double scalar(std::string_view id) const;          ///< internal unit
  Eigen::Vector3d point(std::string_view id) const;  ///< mm, global frame
  std::vector<std::pair<double, double>> curve(std::string_view id) const;
  bool has(std::string_view id) const { return table_->has(id); }
  const std::set<std::string, std::less<>>& ids_read() const { return read_; }
  const ParameterTable& table() const { return *table_; }

 private:
  const ParameterTable* table_;
  mutable std::set<std::string, std::less<>> read_;
};

}  // namespace opisthion::models
