// SPDX-License-Identifier: MIT
#include "models/xml/case_reader.hpp"
#include "models/xml/check_words.hpp"

namespace opisthion::models::xml {

Bench read_bench(CaseReader& reader, const Cursor& at) {
  Bench out;
  out.top = reader.word<Level>(at, "top");
  out.bottom = reader.word<Level>(at, "bottom").value_or(out.bottom);
  out.moment_Nmm = reader.quantity(at, "moment").value_or(out.moment_Nmm);
  const Attribute* moment = at.element.find("moment");
  if (moment != nullptr && at.element.find("top") == nullptr) {
    Finding warning = finding_at(*moment, FindingCode::no_load, at.where + ", attribute 'moment'", moment->value,
                                 "attribute 'top' beside it: without a top no moments are run");
    warning.severity = Severity::warning;
    reader.findings.add(std::move(warning));
  }
  reader.each(at, "shear", [&](const Cursor& shear) {
    ShearLoad load;
    load.level = reader.word<Level>(shear, "level").value_or(load.level);
    load.force_N = reader.quantity(shear, "force").value_or(load.force_N);
    out.shear.push_back(load);
  });
  reader.each(at, "axial", [&](const Cursor& axial) {
    AxialLoad load;
    load.level = reader.word<Level>(axial, "level").value_or(load.level);
    load.force_N = reader.quantity(axial, "force").value_or(load.force_N);
    load.line = reader.word<AxialLine>(axial, "line").value_or(load.line);
    out.axial.push_back(load);
  });
  reader.each(at, "head_load", [&](const Cursor& head) {
    HeadLoad load;
    load.name = reader.name(head);
    load.anchor = reader.name(head, "anchor");
    load.force_N = reader.quantity(head, "force").value_or(load.force_N);
    load.direction = reader.direction(head, "direction");
    out.heads.push_back(load);
  });
  return out;
}

}  // namespace opisthion::models::xml
