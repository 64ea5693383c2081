// SPDX-License-Identifier: MIT
#include "models/xml/write_case.hpp"

#include "models/xml/element_writer.hpp"
#include "models/xml/serialise.hpp"

namespace opisthion::models {

using xml::Element;

Element write_case(const Case& the_case) {
  xml::ElementWriter out("case");
  out.with("name", the_case.name).with("version", xml::kCaseVersion);
  if (!the_case.about.empty()) {
    Element about = xml::ElementWriter("about").done();
    about.text = the_case.about;
    out.child(std::move(about));
  }
  out.child(xml::written(the_case.neck)).child(xml::written(the_case.bench));
  for (const ParameterChange& change : the_case.changes)
    out.child(xml::ElementWriter("set").with("number", change.id).with("value", change.text).done());
  for (const Construct& one : the_case.constructs) out.child(xml::written(one));
  return out.done();
}

std::string write_case_text(const Case& the_case) {
  return xml::serialise(write_case(the_case));
}

}  // namespace opisthion::models
