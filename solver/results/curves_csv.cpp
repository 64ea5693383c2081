// SPDX-License-Identifier: MIT
#include "solver/results/curves_csv.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "solver/results/write_file.hpp"
#include "solver/study/compare.hpp"

namespace opisthion::results {
namespace {

/// One line: a line break inside would end a comment, and readers differ on line breaks inside quotes.
std::string one_line(std::string_view text) {
  std::string out(text);
  std::replace_if(
      out.begin(), out.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }, ' ');
  return out;
}

/// Always quoted (RFC 4180), so that neither a comma nor a '#' in a name means anything.
std::string in_quotes(std::string_view text) {
  std::string out = "\"";
  for (const char c : one_line(text)) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

/// Shortest text that reads back to the same bits; empty for what is no number.
std::string shortest(double value) {
  if (!std::isfinite(value)) return {};
  std::array<char, 32> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(), value == 0.0 ? 0.0 : value);
  return error == std::errc() ? std::string(text.data(), end) : std::string();
}
std::string shortest(const std::optional<double>& value) {
  return value ? shortest(*value) : std::string();
}

/// All parts of all rows, in the order of their first appearance.
std::vector<std::string> part_names(const study::Curves& curves) {
  std::vector<std::string> out;
  for (const study::CurveRow& row : curves.rows)
    for (const study::PlaneCurve& curve : row.planes)
      for (const study::CurvePart& part : curve.parts)
        if (std::find(out.begin(), out.end(), part.name) == out.end()) out.push_back(part.name);
  return out;
}

std::string header(const std::vector<std::string>& parts) {
  std::string out = "row,construct,kinematics,plane,pass,point,moment_Nm,load_fraction,status";
  for (const std::string& part : parts)
    for (const char* column :
         {"flexion_deg", "bending_deg", "rotation_deg", "rotation_vector_x_deg", "rotation_vector_y_deg",
          "rotation_vector_z_deg", "translation_x_mm", "translation_y_mm", "translation_z_mm"})
      out += "," + one_line(part) + "_" + column;
  return out + ",atlas_dens_interval_mm,cord_room_mm,c1_slip_mm,slipping\n";
}

std::string line(const study::CurveRow& row, const study::PlaneCurve& curve, const char* pass, std::size_t index,
                 const study::CurvePoint& point, const std::vector<std::string>& parts) {
  std::string out = std::string(study::name(row.row)) + "," + in_quotes(row.name) + "," + curve.kinematics + "," +
                    std::string(study::name(curve.plane)) + "," + pass + "," + std::to_string(index) + "," +
                    shortest(point.moment_Nm) + "," + shortest(point.load_fraction) + "," +
                    in_quotes(study::name(point.status));
  const bool figures = study::has_figure(point.status);
  for (const std::string& name : parts) {
    const auto found =
        std::find_if(curve.parts.begin(), curve.parts.end(), [&name](const auto& p) { return p.name == name; });
    const auto at = static_cast<std::size_t>(found - curve.parts.begin());
    if (!figures || found == curve.parts.end() || found->floats || at >= point.parts.size()) {
      out.append(9, ',');
      continue;
    }
    const study::SixComponents& six = point.parts[at];
    for (const auto* triple : {&six.rotations_deg, &six.rotation_vector_deg, &six.translation_mm})
      for (const double value : *triple) out += "," + shortest(value);
  }
  const auto measured = [&](const std::optional<double>& value) { return figures ? shortest(value) : std::string(); };
  std::string slipping;
  for (const std::string& name : point.slipping) slipping += (slipping.empty() ? "" : "; ") + name;
  return out + "," + measured(point.measures.atlas_dens_interval_mm) + "," + measured(point.measures.cord_room_mm) + "," +
         measured(point.measures.c1_slip_mm) + "," + in_quotes(slipping) + "\n";
}

}  // namespace

std::string curves_csv(const study::Curves& curves, const Stamp& stamp) {
  std::string out =
      "# " + stamp.program + " " + stamp.version + ": moment-rotation curves of " + one_line(curves.case_name) + "\n";
  out +=
      "# moments and rotations: + flexion, right bending, left rotation; rotations from neutral, lower body's axes, Cardan "
      "sequence flexion (y), bending (x), rotation (z); x anterior, y left, z superior\n";
  out += "# pass: loading = first loading from rest, cycle = the last loading-unloading cycle in its order\n";
  out += "# " + one_line(stamp.caution) + "\n";
  const std::vector<std::string> parts = part_names(curves);
  out += header(parts);
  for (const study::CurveRow& row : curves.rows)
    for (const study::PlaneCurve& curve : row.planes) {
      for (std::size_t i = 0; i < curve.points.size(); ++i) out += line(row, curve, "loading", i, curve.points[i], parts);
      for (std::size_t i = 0; i < curve.cycle.size(); ++i) out += line(row, curve, "cycle", i, curve.cycle[i], parts);
    }
  return out;
}

void write_curves_csv(const std::string& path, const study::Curves& curves, const Stamp& stamp) {
  write_file(path, curves_csv(curves, stamp), Durability::synced);
}

}  // namespace opisthion::results
