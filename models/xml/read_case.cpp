// SPDX-License-Identifier: MIT
#include "models/xml/read_case.hpp"

#include <cassert>
#include <cmath>

#include "models/case/validate.hpp"
#include "models/xml/check_words.hpp"
#include "models/xml/findings.hpp"
#include "models/xml/nearest.hpp"
#include "models/xml/places.hpp"
#include "models/xml/quantity.hpp"
#include "models/xml/utf8.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

using xml::Attribute;
using xml::AttributeWords;
using xml::Element;

FindingCode code_of(QuantityProblem::Kind kind) {
  switch (kind) {
    case QuantityProblem::Kind::bad_number:
      return FindingCode::bad_number;
    case QuantityProblem::Kind::not_finite:
      return FindingCode::not_finite;
    case QuantityProblem::Kind::missing_unit:
    case QuantityProblem::Kind::unknown_unit:
    case QuantityProblem::Kind::wrong_dimension:
      return FindingCode::bad_unit;
  }
  return FindingCode::bad_number;
}

/// What is wrong with a name; empty when nothing is.
std::string name_problem(std::string_view text) {
  if (text.find_first_not_of(' ') == std::string_view::npos) return "a name that is not empty";
  if (xml::character_count(text) > xml::kLongestName_characters)
    return "a name of at most " + std::to_string(xml::kLongestName_characters) + " characters";
  if (text.front() == ' ' || text.back() == ' ') return "a name without a blank at either end";
  for (std::size_t at = 0; at < text.size();) {
    const xml::Character c = xml::character_at(text, at);
    if (c.length == 0 || !xml::allowed_in_xml(c.code)) return "a name in UTF-8";
    if (c.code < 0x20 || (c.code >= 0x7F && c.code < 0xA0)) return "a name without control characters";
    at += c.length;
  }
  return {};
}

std::string range_words(const AttributeWords& words) {
  return "greater than " + format_number(words.above) + " and at most " +
         rounded_quantity(words.at_most, customary_unit(words.dimension));
}

/// One element being read: its attributes by name, its place in messages and its path for the rules.
struct Cursor {
  const Element& element;
  std::string where;
  std::string path;
};

class Reader {
 public:
  explicit Reader(const ParameterTable& parameters) : parameters_(parameters) {}

  tl::expected<CaseFile, std::vector<Finding>> read(const Element& root) {
    xml::check_words(root, findings_);
    if (root.name != "case") return tl::unexpected(findings_.sorted());
    CaseFile out;
    out.the_case = whole(cursor(root, "case", ""));
    findings_.add(validate(out.the_case, parameters_, places_));
    if (findings_.has_error()) return tl::unexpected(findings_.sorted());
    out.findings = findings_.sorted();
    return out;
  }

 private:
  Cursor cursor(const Element& element, std::string path, std::string_view parent_called) {
    places_.set(path, {element.name_offset, element.name.size()});
    return {element, xml::called(element, parent_called), std::move(path)};
  }

  /// Calls read(cursor) for each child of this name. With more than one allowed the path ends in "[index]".
  template <class Read>
  void each(const Cursor& parent, std::string_view child_name, const Read& read) {
    const xml::ElementWords* words = xml::find_element_words(parent.element.name);
    assert(words != nullptr);
    bool repeated = false;
    for (const xml::ChildWords& child : words->children) repeated = repeated || (child.name == child_name && child.repeated);
    const bool in_case = parent.element.name == "case";
    std::size_t index = 0;
    for (const Element& child : parent.element.children) {
      if (child.name != child_name) continue;
      std::string path = (in_case ? "" : parent.path + "/") + std::string(child_name);
      if (repeated) path += "[" + std::to_string(index) + "]";
      if (!repeated && index > 0) return;  // a second one was reported
      ++index;
      read(cursor(child, std::move(path), in_case ? "" : parent.where));
    }
  }

  /// The attribute, if it is there; a required one that is missing was reported and makes its path unread.
  const Attribute* attribute(const Cursor& at, std::string_view name) {
    const Attribute* found = at.element.find(name);
    const std::string path = at.path + "@" + std::string(name);
    if (found == nullptr) {
      if (rule(at, name).required) places_.distrust(path);
      return nullptr;
    }
    places_.set(path, {found->value_offset, found->value_length});
    return found;
  }

  static const AttributeWords& rule(const Cursor& at, std::string_view name) {
    const xml::ElementWords* words = xml::find_element_words(at.element.name);
    assert(words != nullptr && words->find_attribute(name) != nullptr);
    return *words->find_attribute(name);
  }

  void bad(const Cursor& at, const Attribute& found, FindingCode code, std::string expected, std::string nearest = {}) {
    Finding out =
        xml::finding_at(found, code, at.where + ", attribute '" + found.name + "'", found.value, std::move(expected));
    out.nearest = std::move(nearest);
    findings_.add(std::move(out));
    places_.distrust(at.path + "@" + found.name);
  }

  std::string name(const Cursor& at, std::string_view attribute_name = "name") {
    const Attribute* found = attribute(at, attribute_name);
    if (found == nullptr) return {};
    const std::string problem = name_problem(found->value);
    if (!problem.empty()) bad(at, *found, FindingCode::out_of_range, problem);
    return found->value;
  }

  template <class E>
  std::optional<E> word(const Cursor& at, std::string_view attribute_name) {
    const Attribute* found = attribute(at, attribute_name);
    if (found == nullptr) return std::nullopt;
    const std::optional<E> value = xml::value_of<E>(found->value);
    if (!value) bad_word(at, *found);
    return value;
  }

  void bad_word(const Cursor& at, const Attribute& found) {
    const std::vector<std::string_view>& words = rule(at, found.name).words;
    bad(at, found, FindingCode::unknown_word, xml::listed(words),
        findings_.full() ? std::string() : nearest_word(found.value, words));
  }

  std::optional<double> quantity(const Cursor& at, std::string_view attribute_name) {
    const Attribute* found = attribute(at, attribute_name);
    if (found == nullptr) return std::nullopt;
    const AttributeWords& words = rule(at, attribute_name);
    const auto parsed = parse_quantity(found->value, words.dimension);
    if (const auto* problem = std::get_if<QuantityProblem>(&parsed)) {
      bad(at, *found, code_of(problem->kind), problem->expected, problem->nearest);
      return std::nullopt;
    }
    const double value = std::get_if<Quantity>(&parsed)->value;
    if (value > words.above && value <= words.at_most) return value;
    const std::string what = std::string(opisthion::models::name(words.dimension)) + " " + range_words(words);
    bad(at, *found, FindingCode::out_of_range, "a " + what);
    return std::nullopt;
  }

  /// Three numbers; unit length on return. A direction that is of unit length already stays as it is, to the last bit.
  Eigen::Vector3d direction(const Cursor& at, std::string_view attribute_name) {
    Eigen::Vector3d out = Eigen::Vector3d::UnitZ();
    const Attribute* found = attribute(at, attribute_name);
    if (found == nullptr) return out;
    std::vector<double> numbers;
    const std::string_view text = found->value;
    for (std::size_t from = text.find_first_not_of(' '); from < text.size() && numbers.size() < 4;) {
      const std::size_t end = std::min(text.find(' ', from), text.size());
      const std::optional<double> number = parse_number(text.substr(from, end - from));
      if (!number) break;
      numbers.push_back(*number);
      from = end == text.size() ? end : std::min(text.find_first_not_of(' ', end), text.size());
      if (from == text.size() && numbers.size() == 3) {
        Eigen::Vector3d given(numbers[0], numbers[1], numbers[2]);
        const double largest = given.cwiseAbs().maxCoeff();
        if (!(largest > 0.0)) break;
        constexpr double kUnit = 1e-15;
        if (largest <= 1.0 && std::abs(given.norm() - 1.0) <= kUnit) return given;
        return (given / largest).normalized();
      }
    }
    bad(at, *found, FindingCode::bad_number, "three numbers apart by blanks, x anterior, y left, z superior, not all zero");
    return out;
  }

  Case whole(const Cursor& at) {
    Case out;
    out.name = name(at);
    if (const Attribute* version = attribute(at, "version"); version != nullptr && version->value != xml::kCaseVersion)
      bad_word(at, *version);
    // Rules about what is not there keep quiet: check_words has reported it.
    places_.distrust("case");
    each(at, "about", [&](const Cursor& about) { out.about = about.element.text; });
    bool has_neck = false;
    bool has_bench = false;
    each(at, "neck", [&](const Cursor& neck) {
      has_neck = true;
      out.neck = this->neck(neck);
    });
    each(at, "bench", [&](const Cursor& bench) {
      has_bench = true;
      out.bench = this->bench(bench);
    });
    if (!has_neck) distrust({"neck@upper", "neck@lower", "neck/level"});
    if (!has_bench) distrust({"bench", "bench@top", "bench@bottom"});
    each(at, "set", [&](const Cursor& set) { out.changes.push_back(change(set)); });
    each(at, "construct", [&](const Cursor& construct) { out.constructs.push_back(this->construct(construct)); });
    return out;
  }

  void distrust(std::initializer_list<std::string_view> paths) {
    for (const std::string_view path : paths) places_.distrust(std::string(path));
  }

  Neck neck(const Cursor& at) {
    Neck out;
    out.upper = word<Level>(at, "upper").value_or(out.upper);
    out.lower = word<Level>(at, "lower").value_or(out.lower);
    each(at, "bone", [&](const Cursor& bone) {
      out.bone.quality = word<BoneQuality>(bone, "quality").value_or(out.bone.quality);
      out.bone.density_mg_per_cm3 = quantity(bone, "density");
      const Attribute* quality = bone.element.find("quality");
      if (quality == nullptr || !out.bone.density_mg_per_cm3 || !places_.trusted(bone.path + "@quality")) return;
      Finding note = xml::finding_at(*quality, FindingCode::overridden, bone.where,
                                     "the density is used, and the quality '" + quality->value + "' beside it is not", "");
      note.severity = Severity::note;
      findings_.add(std::move(note));
    });
    each(at, "level", [&](const Cursor& level) {
      LevelAnatomy anatomy;
      anatomy.level = word<Level>(level, "name").value_or(anatomy.level);
      if (!places_.trusted(level.path + "@name")) places_.distrust("neck/level");
      each(level, "left", [&](const Cursor& side) { anatomy.left = side_anatomy(side); });
      each(level, "right", [&](const Cursor& side) { anatomy.right = side_anatomy(side); });
      out.anatomy.push_back(anatomy);
    });
    each(at, "joint", [&](const Cursor& joint) {
      JointCondition condition;
      condition.joint = word<JointId>(joint, "name").value_or(condition.joint);
      condition.state = word<JointState>(joint, "state").value_or(condition.state);
      out.joints.push_back(condition);
    });
    each(at, "instability", [&](const Cursor& instability) {
      out.instabilities.push_back(word<Instability>(instability, "kind").value_or(Instability::dens_nonunion));
    });
    return out;
  }

  SideAnatomy side_anatomy(const Cursor& at) {
    SideAnatomy out;
    out.isthmus_height_mm = quantity(at, "isthmus_height");
    out.internal_height_mm = quantity(at, "internal_height");
    out.pedicle_width_mm = quantity(at, "pedicle_width");
    out.lamina_thickness_mm = quantity(at, "lamina_thickness");
    out.lamina_height_mm = quantity(at, "lamina_height");
    out.lateral_mass_width_mm = quantity(at, "lateral_mass_width");
    out.lateral_mass_depth_mm = quantity(at, "lateral_mass_depth");
    const std::optional<Artery> artery = word<Artery>(at, "artery");
    if (!places_.trusted(at.path + "@artery")) places_.distrust("neck/level");
    out.artery = artery.value_or(Artery::not_checked);
    return out;
  }

  Bench bench(const Cursor& at) {
    Bench out;
    out.top = word<Level>(at, "top");
    out.bottom = word<Level>(at, "bottom").value_or(out.bottom);
    out.moment_Nmm = quantity(at, "moment").value_or(out.moment_Nmm);
    const Attribute* moment = at.element.find("moment");
    if (moment != nullptr && at.element.find("top") == nullptr) {
      Finding warning = xml::finding_at(*moment, FindingCode::no_load, at.where + ", attribute 'moment'", moment->value,
                                        "attribute 'top' beside it: without a top no moments are run");
      warning.severity = Severity::warning;
      findings_.add(std::move(warning));
    }
    each(at, "shear", [&](const Cursor& shear) {
      ShearLoad load;
      load.level = word<Level>(shear, "level").value_or(load.level);
      load.force_N = quantity(shear, "force").value_or(load.force_N);
      out.shear.push_back(load);
    });
    each(at, "axial", [&](const Cursor& axial) {
      AxialLoad load;
      load.level = word<Level>(axial, "level").value_or(load.level);
      load.force_N = quantity(axial, "force").value_or(load.force_N);
      load.line = word<AxialLine>(axial, "line").value_or(load.line);
      out.axial.push_back(load);
    });
    each(at, "head_load", [&](const Cursor& head) {
      HeadLoad load;
      load.name = name(head);
      load.anchor = name(head, "anchor");
      load.force_N = quantity(head, "force").value_or(load.force_N);
      load.direction = direction(head, "direction");
      out.heads.push_back(load);
    });
    return out;
  }

  ParameterChange change(const Cursor& at) {
    ParameterChange out;
    if (const Attribute* number = attribute(at, "number")) out.id = number->value;
    const Attribute* value = attribute(at, "value");
    if (value == nullptr) return out;
    out.text = value->value;
    const Parameter* parameter = parameters_.find(out.id);
    if (parameter == nullptr || parameter->values.size() != 1) return out;  // a rule of validate
    const Unit* unit = find_unit(parameter->unit);
    if (unit == nullptr) {
      bad(at, *at.element.find("number"), FindingCode::unknown_parameter,
          "a number that a case can set (this one is in " + parameter->unit + ")");
      return out;
    }
    const Dimension dimension = unit->dimension;
    const auto parsed = parse_quantity(value->value, dimension);
    if (const auto* problem = std::get_if<QuantityProblem>(&parsed)) {
      const bool no_unit = problem->kind == QuantityProblem::Kind::missing_unit;
      bad(at, *value, code_of(problem->kind), problem->expected + ", as '" + out.id + "' is",
          no_unit ? value->value + " " + parameter->unit : problem->nearest);
      return out;
    }
    out.value = std::get_if<Quantity>(&parsed)->value;
    return out;
  }

  Construct construct(const Cursor& at) {
    Construct out;
    out.name = name(at);
    each(at, "anchor", [&](const Cursor& anchor) { out.anchors.push_back(this->anchor(anchor)); });
    each(at, "rod", [&](const Cursor& rod) { out.rods.push_back(this->rod(rod)); });
    return out;
  }

  Anchor anchor(const Cursor& at) {
    Anchor out;
    out.name = name(at);
    out.kind = word<AnchorKind>(at, "kind").value_or(out.kind);
    out.level = word<Level>(at, "level").value_or(out.level);
    out.side = word<Side>(at, "side").value_or(out.side);
    out.diameter_mm = quantity(at, "diameter");
    out.length_mm = quantity(at, "length");
    out.purchase = word<Purchase>(at, "purchase");
    return out;
  }

  Rod rod(const Cursor& at) {
    Rod out;
    out.name = name(at);
    out.metal = word<Metal>(at, "metal").value_or(out.metal);
    out.diameter_mm = quantity(at, "diameter");
    each(at, "through", [&](const Cursor& through) { out.through.push_back(name(through, "anchor")); });
    return out;
  }

  const ParameterTable& parameters_;
  Places places_{};
  Findings findings_{};
};

}  // namespace

tl::expected<CaseFile, std::vector<Finding>> read_case(const Element& root, const ParameterTable& parameters) {
  return Reader(parameters).read(root);
}

}  // namespace opisthion::models
