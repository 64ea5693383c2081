// SPDX-License-Identifier: MIT
#include "models/xml/write_case.hpp"

#include "models/xml/quantity.hpp"
#include "models/xml/serialise.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

using xml::Element;
using xml::word;

/// Builds one element, attribute by attribute.
class Writer {
 public:
  explicit Writer(std::string_view element_name) { element_.name = element_name; }

  Writer& with(std::string_view attribute_name, std::string_view value) {
    element_.attributes.push_back({std::string(attribute_name), std::string(value), 0, 0, 0});
    return *this;
  }
  Writer& with(std::string_view attribute_name, double value, std::string_view unit) {
    return with(attribute_name, format_quantity(value, unit));
  }
  Writer& with(std::string_view attribute_name, const std::optional<double>& value, std::string_view unit) {
    return value ? with(attribute_name, *value, unit) : *this;
  }
  Writer& child(Element child) {
    element_.children.push_back(std::move(child));
    return *this;
  }
  Element done() const { return element_; }

 private:
  Element element_{};
};

Element side(std::string_view element_name, const SideAnatomy& anatomy) {
  Writer out(element_name);
  out.with("isthmus_height", anatomy.isthmus_height_mm, "mm")
      .with("internal_height", anatomy.internal_height_mm, "mm")
      .with("pedicle_width", anatomy.pedicle_width_mm, "mm")
      .with("lamina_thickness", anatomy.lamina_thickness_mm, "mm")
      .with("lamina_height", anatomy.lamina_height_mm, "mm")
      .with("lateral_mass_width", anatomy.lateral_mass_width_mm, "mm")
      .with("lateral_mass_depth", anatomy.lateral_mass_depth_mm, "mm");
  if (anatomy.artery != Artery::not_checked) out.with("artery", word(anatomy.artery));
  return out.done();
}

Element neck(const Neck& neck) {
  Writer out("neck");
  out.with("upper", name(neck.upper)).with("lower", name(neck.lower));
  if (neck.bone != Bone{})
    out.child(Writer("bone")
                  .with("quality", word(neck.bone.quality))
                  .with("density", neck.bone.density_mg_per_cm3, "mg/cm3")
                  .done());
  for (const LevelAnatomy& anatomy : neck.anatomy) {
    Writer level("level");
    level.with("name", name(anatomy.level));
    if (anatomy.left != SideAnatomy{}) level.child(side("left", anatomy.left));
    if (anatomy.right != SideAnatomy{}) level.child(side("right", anatomy.right));
    out.child(level.done());
  }
  for (const JointCondition& joint : neck.joints)
    out.child(Writer("joint").with("name", name(joint.joint)).with("state", word(joint.state)).done());
  for (const Instability kind : neck.instabilities) out.child(Writer("instability").with("kind", word(kind)).done());
  return out.done();
}

Element bench(const Bench& bench) {
  Writer out("bench");
  if (bench.top) out.with("top", name(*bench.top));
  out.with("bottom", name(bench.bottom));
  if (bench.top || bench.moment_Nmm != Bench{}.moment_Nmm) out.with("moment", bench.moment_Nmm, "N m");
  for (const ShearLoad& shear : bench.shear)
    out.child(Writer("shear").with("level", name(shear.level)).with("force", shear.force_N, "N").done());
  for (const AxialLoad& axial : bench.axial)
    out.child(Writer("axial")
                  .with("level", name(axial.level))
                  .with("force", axial.force_N, "N")
                  .with("line", word(axial.line))
                  .done());
  for (const HeadLoad& head : bench.heads) {
    const std::string direction = format_number(head.direction.x()) + " " + format_number(head.direction.y()) + " " +
                                  format_number(head.direction.z());
    out.child(Writer("head_load")
                  .with("name", head.name)
                  .with("anchor", head.anchor)
                  .with("force", head.force_N, "N")
                  .with("direction", direction)
                  .done());
  }
  return out.done();
}

Element construct(const Construct& construct) {
  Writer out("construct");
  out.with("name", construct.name);
  for (const Anchor& anchor : construct.anchors) {
    Writer one("anchor");
    one.with("name", anchor.name)
        .with("kind", word(anchor.kind))
        .with("level", name(anchor.level))
        .with("side", name(anchor.side));
    one.with("diameter", anchor.diameter_mm, "mm").with("length", anchor.length_mm, "mm");
    if (anchor.purchase) one.with("purchase", word(*anchor.purchase));
    out.child(one.done());
  }
  for (const Rod& rod : construct.rods) {
    Writer one("rod");
    one.with("name", rod.name).with("metal", word(rod.metal)).with("diameter", rod.diameter_mm, "mm");
    for (const std::string& anchor : rod.through) one.child(Writer("through").with("anchor", anchor).done());
    out.child(one.done());
  }
  return out.done();
}

}  // namespace

Element write_case(const Case& the_case) {
  Writer out("case");
  out.with("name", the_case.name).with("version", xml::kCaseVersion);
  if (!the_case.about.empty()) {
    Element about = Writer("about").done();
    about.text = the_case.about;
    out.child(std::move(about));
  }
  out.child(neck(the_case.neck)).child(bench(the_case.bench));
  for (const ParameterChange& change : the_case.changes)
    out.child(Writer("set").with("number", change.id).with("value", change.text).done());
  for (const Construct& one : the_case.constructs) out.child(construct(one));
  return out.done();
}

std::string write_case_text(const Case& the_case) {
  return xml::serialise(write_case(the_case));
}

}  // namespace opisthion::models
