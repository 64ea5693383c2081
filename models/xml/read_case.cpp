// SPDX-License-Identifier: MIT
#include "models/xml/read_case.hpp"

#include "models/case/validate.hpp"
#include "models/xml/case_reader.hpp"
#include "models/xml/check_words.hpp"

namespace opisthion::models {

namespace {

using xml::Attribute;
using xml::CaseReader;
using xml::Cursor;
using xml::Element;

ParameterChange change(CaseReader& reader, const Cursor& at) {
  ParameterChange out;
  if (const Attribute* number = reader.attribute(at, "number")) out.id = number->value;
  const Attribute* value = reader.attribute(at, "value");
  if (value == nullptr) return out;
  out.text = value->value;
  const Parameter* parameter = reader.parameters.find(out.id);
  if (parameter == nullptr || parameter->values.size() != 1) return out;  // a rule of validate
  const Unit* unit = find_unit(parameter->unit);
  if (unit == nullptr) {
    reader.bad(at, *at.element.find("number"), FindingCode::unknown_parameter,
               "a number that a case can set (this one is in " + parameter->unit + ")");
    return out;
  }
  const Dimension dimension = unit->dimension;
  const auto parsed = parse_quantity(value->value, dimension);
  if (const auto* problem = std::get_if<QuantityProblem>(&parsed)) {
    const bool no_unit = problem->kind == QuantityProblem::Kind::missing_unit;
    reader.bad(at, *value, xml::code_of(problem->kind), problem->expected + ", as '" + out.id + "' is",
               no_unit ? value->value + " " + parameter->unit : problem->nearest);
    return out;
  }
  out.value = std::get_if<Quantity>(&parsed)->value;
  return out;
}

Case whole(CaseReader& reader, const Cursor& at) {
  Case out;
  out.name = reader.name(at);
  if (const Attribute* version = reader.attribute(at, "version"); version != nullptr && version->value != xml::kCaseVersion)
    reader.bad_word(at, *version);
  // Rules about what is not there keep quiet: check_words has reported it.
  reader.places.distrust("case");
  reader.each(at, "about", [&](const Cursor& about) { out.about = about.element.text; });
  bool has_neck = false;
  bool has_bench = false;
  reader.each(at, "neck", [&](const Cursor& neck) {
    has_neck = true;
    out.neck = xml::read_neck(reader, neck);
  });
  reader.each(at, "bench", [&](const Cursor& bench) {
    has_bench = true;
    out.bench = xml::read_bench(reader, bench);
  });
  if (!has_neck) reader.distrust({"neck@upper", "neck@lower", "neck/level"});
  if (!has_bench) reader.distrust({"bench", "bench@top", "bench@bottom"});
  reader.each(at, "set", [&](const Cursor& set) { out.changes.push_back(change(reader, set)); });
  reader.each(at, "construct",
              [&](const Cursor& construct) { out.constructs.push_back(xml::read_construct(reader, construct)); });
  return out;
}

}  // namespace

tl::expected<CaseFile, std::vector<Finding>> read_case(const Element& root, const ParameterTable& parameters) {
  CaseReader reader(parameters);
  xml::check_words(root, reader.findings);
  if (root.name != "case") return tl::unexpected(reader.findings.sorted());
  CaseFile out;
  out.the_case = whole(reader, reader.cursor(root, "case", ""));
  reader.findings.add(validate(out.the_case, parameters, reader.places));
  if (reader.findings.has_error()) return tl::unexpected(reader.findings.sorted());
  out.findings = reader.findings.sorted();
  return out;
}

}  // namespace opisthion::models
