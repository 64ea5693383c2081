// SPDX-License-Identifier: MIT
// Arbitrary bytes through parser, reader, writer and reader again: nothing may crash, and what reads must read back the
// same. Built with all fuzz targets by -DOPISTHION_FUZZ=ON (clang); alone, from the top of the tree:
//   clang++-14 -std=c++20 -O1 -g -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -I. -isystem
//   /usr/include/eigen3
//     tests/fuzz/fuzz_case_reader.cpp
//     models/xml/*.cpp models/xml/native/{parse,scan}.cpp models/{neck,hardware,case}/*.cpp
//     models/library/{parameter_table,library_unit}.cpp solver/report/finding_text.cpp -lpugixml -o fuzz_case_reader
//   ./fuzz_case_reader -max_total_time=60 corpus tests/cases/samples examples examples/templates tests/cases/bad_input
#include <cstdint>
#include <cstdlib>
#include <string>

#include "models/library/parameter_table.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "models/xml/serialise.hpp"
#include "models/xml/write_case.hpp"
#include "solver/report/finding_text.hpp"

namespace {

using namespace opisthion;

/// Not an assert: a failed identity must stop the fuzzer in every build.
void must(bool holds) {
  if (!holds) std::abort();
}

const models::ParameterTable& table() {
  static const models::ParameterTable all = [] {
    models::ParameterTable out;
    for (const auto& [id, unit] : {std::pair{"interface.foundation_factor", "1"}, std::pair{"gap", "mm"},
                                   std::pair{"angle", "deg"}, std::pair{"odd", "MPa cm3/g"}}) {
      models::Parameter parameter;
      parameter.id = id;
      parameter.values = parameter.written = {0.1};
      parameter.unit = unit;
      parameter.spread = "range";
      parameter.low = 0.03;
      parameter.high = 1.0;
      out.add(parameter);
    }
    return out;
  }();
  return all;
}

void check_findings(const std::vector<models::Finding>& findings, std::string_view text) {
  for (const models::Finding& finding : findings) {
    must(finding.offset <= text.size() && finding.length <= text.size() - finding.offset);
    for (const char c : report::text(finding, "case.xml", text, false))
      must(c == '\n' || c == '\t' || (static_cast<unsigned char>(c) >= 0x20 && c != 0x7F));
  }
}

bool same_tree(const models::xml::Element& a, const models::xml::Element& b) {
  if (a.name != b.name || a.text != b.text || a.attributes.size() != b.attributes.size() ||
      a.children.size() != b.children.size())
    return false;
  for (std::size_t i = 0; i < a.attributes.size(); ++i)
    if (a.attributes[i].name != b.attributes[i].name || a.attributes[i].value != b.attributes[i].value) return false;
  for (std::size_t i = 0; i < a.children.size(); ++i)
    if (!same_tree(a.children[i], b.children[i])) return false;
  return true;
}

void check_places(const models::xml::Element& element, std::string_view text) {
  must(text.substr(element.name_offset, element.name.size()) == element.name);
  for (const models::xml::Attribute& attribute : element.attributes) {
    must(text.substr(attribute.name_offset, attribute.name.size()) == attribute.name);
    must(attribute.value_offset > 0 && attribute.value_offset + attribute.value_length < text.size());
    must(text[attribute.value_offset - 1] == text[attribute.value_offset + attribute.value_length]);
  }
  for (const models::xml::Element& child : element.children) check_places(child, text);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  const auto root = models::xml::parse(text);
  if (!root) {
    check_findings(root.error(), text);
    return 0;
  }
  check_places(*root, text);
  const auto again = models::xml::parse(models::xml::serialise(*root));
  must(again && same_tree(*root, *again));
  const auto file = models::read_case(*root, table());
  if (!file) {
    check_findings(file.error(), text);
    must(!file.error().empty() && models::has_error(file.error()));
    return 0;
  }
  check_findings(file->findings, text);
  const std::string written = models::write_case_text(file->the_case);
  const auto written_root = models::xml::parse(written);
  must(written_root.has_value());
  const auto reread = models::read_case(*written_root, table());
  must(reread && reread->the_case == file->the_case);
  must(models::write_case_text(reread->the_case) == written);
  return 0;
}
