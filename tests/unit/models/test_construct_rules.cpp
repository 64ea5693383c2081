// SPDX-License-Identifier: MIT
// One construct a row, each with one mistake, on one neck from the skull to T3.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "solver/report/finding_text.hpp"

namespace {

using namespace opisthion::models;

std::vector<Finding> findings_of(const std::string& text) {
  static const EmbeddedLibrary library = read_embedded_library();
  const auto root = xml::parse(text);
  REQUIRE(root);
  const auto file = read_case(*root, library.table);
  return file ? file->findings : file.error();
}

/// Attributes are written with ' in the rows.
std::string case_of(const std::string& construct, const std::string& injury = "", const std::string& load = "") {
  std::string out = "<case name='a' version='1'><neck upper='C0' lower='T3'>" + injury +
                    "</neck><bench top='C0' bottom='T3'>" + load + "</bench><construct name='one'>" + construct +
                    "</construct></case>";
  return out;
}

std::string anchor(const std::string& name, const std::string& kind, const std::string& level, const std::string& side,
                   const std::string& more = "") {
  return "<anchor name='" + name + "' kind='" + kind + "' level='" + level + "'" +
         (side.empty() ? "" : " side='" + side + "'") + " " + more + "/>";
}
std::string through(const std::vector<std::string>& anchors) {
  std::string out;
  for (const std::string& a : anchors) out += "<through anchor='" + a + "'/>";
  return out;
}
std::string rod(const std::string& name, const std::string& stops, const std::string& more = "") {
  return "<rod name='" + name + "' " + more + ">" + stops + "</rod>";
}
std::string plate(const std::string& name, const std::string& kind, const std::string& holes) {
  return "<plate name='" + name + "' kind='" + kind + "'>" + holes + "</plate>";
}
std::string mass(const std::string& level, const std::string& side = "left", const std::string& more = "") {
  return anchor((side == "left" ? "l" : "r") + level, "lateral mass", level, side, more);
}
std::string wire(const std::string& level, const std::string& more = "") {
  return anchor("w" + level, "sublaminar wire", level, "left", more);
}
std::string keel(const std::string& name, const std::string& below) {
  return anchor(name, "keel", "C0", "", "below_inion='" + below + " mm'");
}
std::string beside(const std::string& name, const std::string& side, const std::string& below) {
  return anchor(name, "paramedian", "C0", side, "below_inion='" + below + " mm'");
}

const std::string kThree = mass("C3") + mass("C4") + mass("C5");
const std::string kLeft = kThree + rod("left", through({"lC3", "lC4", "lC5"}));
const std::string kRight = mass("C3", "right") + mass("C4", "right") + rod("right", through({"rC3", "rC4"}));
const std::string kKeel = keel("k", "5") + plate("p", "midline", through({"k"}));
const std::string kOnKeel = kKeel + mass("C1") + rod("left", "<through plate='p'/><through anchor='lC1'/>");

struct Row {
  std::string construct;
  FindingCode code;
  std::string where;
  std::string marked;  ///< the text that is underlined
  std::string injury{};
  std::string load{};
};

const std::string kToggle = "<head_load name='t' anchor='wC2' force='25 N' direction='0 0 1'/>";
const std::string kNoLamina = "<instability kind='laminectomy' level='C4'/>";
const std::string kNoMass = "<instability kind='lateral mass destroyed' level='C4' side='left'/>";
const std::string kWires = wire("C2") + wire("C3") + rod("left", through({"wC2", "wC3"}));

const std::vector<Row>& mistakes() {
  static const std::vector<Row> rows{
      // anchors
      {anchor("a", "pars", "C3", "left") + mass("C4") + rod("left", through({"a", "lC4"})), FindingCode::anchor_not_allowed,
       "anchor 'a', attribute 'level'", "C3"},
      {kWires + anchor("x", "sublaminar wire", "C4", "left"), FindingCode::unused_anchor, "anchor 'x'", "anchor"},
      {wire("C2", "length='9 mm'") + wire("C3") + rod("left", through({"wC2", "wC3"})), FindingCode::attribute_not_here,
       "anchor 'wC2'", "9 mm"},
      {wire("C2", "purchase='unicortical'") + wire("C3") + rod("left", through({"wC2", "wC3"})),
       FindingCode::attribute_not_here, "anchor 'wC2'", "unicortical"},
      {wire("C2", "state='loose'") + wire("C3") + rod("left", through({"wC2", "wC3"})), FindingCode::attribute_not_here,
       "anchor 'wC2'", "loose"},
      {mass("C1", "left", "path='straight'") + mass("C3") + rod("left", through({"lC1", "lC3"})),
       FindingCode::attribute_not_here, "anchor 'lC1'", "straight"},
      {mass("C3", "left", "lag='9 N'") + mass("C4") + rod("left", through({"lC3", "lC4"})), FindingCode::attribute_not_here,
       "anchor 'lC3'", "9 N"},
      {mass("C3", "left", "tension='9 N'") + mass("C4") + rod("left", through({"lC3", "lC4"})),
       FindingCode::attribute_not_here, "anchor 'lC3'", "9 N"},
      {mass("C3", "left", "facing='up'") + mass("C4") + rod("left", through({"lC3", "lC4"})),
       FindingCode::attribute_not_here, "anchor 'lC3'", "up"},
      {mass("C3", "left", "below_inion='9 mm'") + mass("C4") + rod("left", through({"lC3", "lC4"})),
       FindingCode::attribute_not_here, "anchor 'lC3'", "9 mm"},
      {anchor("h", "hook", "C2", "left", "diameter='3 mm'") + mass("C3") + rod("left", through({"h", "lC3"})),
       FindingCode::attribute_not_here, "anchor 'h'", "3 mm"},
      {keel("k", "5") + keel("low", "59") + plate("p", "midline", through({"k", "low"})) + mass("C1") +
           rod("left", "<through plate='p'/><through anchor='lC1'/>"),
       FindingCode::out_of_range, "anchor 'low', attribute 'below_inion'", "59 mm"},
      {keel("k", "5") + keel("near", "8") + plate("p", "midline", through({"k", "near"})) + mass("C1") +
           rod("left", "<through plate='p'/><through anchor='lC1'/>"),
       FindingCode::anchors_collide, "anchor 'near'", "anchor"},
      {kLeft + anchor("x", "pedicle", "C4", "left") + anchor("y", "pedicle", "C2", "left") + rod("b", through({"y", "x"})),
       FindingCode::anchors_collide, "anchor 'x'", "anchor"},
      {anchor("a", "pars", "C2", "left") + anchor("b", "transarticular", "C2", "left") + mass("C3") +
           rod("left", through({"a", "lC3"})),
       FindingCode::anchors_collide, "anchor 'b'", "anchor"},
      {wire("C2") + anchor("again", "sublaminar wire", "C2", "left") + wire("C3") + wire("C4") +
           rod("left", through({"wC2", "wC3"})) + rod("too", through({"again", "wC4"})),
       FindingCode::duplicate_anchor, "anchor 'again'", "anchor"},
      {wire("C3") + wire("C4") + rod("left", through({"wC3", "wC4"})), FindingCode::removed_bone, "anchor 'wC4'", "anchor",
       kNoLamina},
      {kLeft, FindingCode::removed_bone, "anchor 'lC4'", "anchor", kNoMass},
      {kWires, FindingCode::no_head, "head_load 't', attribute 'anchor'", "wC2", "", kToggle},
      // names
      {kThree + rod("lC3", through({"lC3", "lC4", "lC5"})), FindingCode::duplicate_name, "rod 'lC3'", "lC3"},
      {kLeft + "<tie name='left' kind='spinous wire' upper='C3' lower='C4'/>", FindingCode::duplicate_name, "tie 'left'",
       "left"},
      // rods
      {kThree + rod("left", through({"lC3", "lC4"}) + "<through/>"), FindingCode::missing_attribute, "rod 'left', through",
       "through"},
      {kThree + rod("left", through({"lC3", "lC4"}) + "<through anchor='lC5' rod='x'/>"), FindingCode::attribute_not_here,
       "rod 'left', through", "x"},
      {kThree + rod("left", through({"lC3", "lC4"}) + "<through anchor='lC5' at='C4-C5'/>"), FindingCode::half_given,
       "rod 'left', through", "C4-C5"},
      {kLeft + mass("C6") + mass("C7") + rod("b", "<through rod='left'/>" + through({"lC6", "lC7"})),
       FindingCode::half_given, "rod 'b', through", "left"},
      {kLeft + mass("C6") + mass("C7") + rod("b", "<through rod='lefd' at='C4-C5'/>" + through({"lC6", "lC7"})),
       FindingCode::unknown_name, "rod 'b', through", "lefd"},
      {kLeft + mass("C6") + mass("C7") + rod("b", "<through rod='b' at='C4-C5'/>" + through({"lC6", "lC7"})),
       FindingCode::same_rod, "rod 'b', through", "b"},
      {kLeft + mass("C6") + mass("C7") + rod("b", "<through rod='left' at='C5-C6'/>" + through({"lC6", "lC7"})),
       FindingCode::rod_not_there, "rod 'b', through", "left"},
      {mass("C1") + rod("left", "<through plate='q'/><through anchor='lC1'/>"), FindingCode::unknown_name,
       "rod 'left', through", "q"},
      {keel("k", "5") + mass("C1") + rod("left", through({"k", "lC1"})), FindingCode::wrong_holder, "rod 'left', through",
       "k"},
      {kOnKeel + mass("C3") + rod("too", "<through plate='p'/><through anchor='lC3'/>"), FindingCode::locks_coincide,
       "rod 'too', through", "p"},
      {kThree + plate("p", "lateral mass", through({"lC3", "lC4"})) +
           rod("left", "<through plate='p'/><through anchor='lC5'/>"),
       FindingCode::wrong_holder, "rod 'left', through", "p"},
      {kThree + rod("left", through({"lC3", "lC5", "lC4"})), FindingCode::rod_order, "rod 'left', through", "lC4"},
      {mass("C3") + mass("C4", "right") + rod("left", through({"lC3", "rC4"})), FindingCode::sides_mixed,
       "rod 'left', through", "rC4"},
      {kThree + rod("left", through({"lC3", "lC4", "lC5"}), "closed='yes' bending='pre-bent'"), FindingCode::rod_too_short,
       "rod 'left'", "rod"},
      {kThree + mass("C3", "right") + mass("C4", "right") +
           rod("o", through({"lC5", "lC4", "lC3", "rC4", "rC3"}), "closed='yes' bending='pre-bent'"),
       FindingCode::rod_order, "rod 'o', through", "rC3"},
      {kThree + rod("left", through({"lC3", "lC4", "lC5"}), "lower_diameter='5 mm'"), FindingCode::half_given, "rod 'left'",
       "5 mm"},
      {kThree + rod("left", through({"lC3", "lC4", "lC5"}), "taper_at='C4-C5'"), FindingCode::half_given, "rod 'left'",
       "C4-C5"},
      {kThree + rod("left", through({"lC3", "lC4", "lC5"}), "taper_at='C7-T1' lower_diameter='5 mm'"),
       FindingCode::rod_not_there, "rod 'left', attribute 'taper_at'", "C7-T1"},
      // plates
      {mass("C3") + plate("p", "midline", through({"lC3"})), FindingCode::wrong_holder, "plate 'p', through", "lC3"},
      {kKeel, FindingCode::unused_plate, "plate 'p'", "plate"},
      {plate("p", "midline", ""), FindingCode::missing_element, "plate 'p'", "plate"},
      {keel("a", "1") + keel("b", "7") + keel("c", "13") + keel("d", "19") + keel("e", "25") +
           plate("p", "midline", through({"a", "b", "c", "d", "e"})),
       FindingCode::too_many_anchors, "plate 'p'", "plate"},
      {beside("a", "left", "5") + beside("b", "right", "12") + plate("p", "paramedian", through({"a", "b"})),
       FindingCode::sides_mixed, "plate 'p', through", "b"},
      {mass("C3") + plate("p", "lateral mass", through({"lC3"})), FindingCode::rod_too_short, "plate 'p'", "plate"},
      {kThree + plate("p", "lateral mass", through({"lC3", "lC4"})) + rod("left", through({"lC4", "lC5"})),
       FindingCode::locks_coincide, "rod 'left', through", "lC4"},
      // cross-links
      {kLeft + kRight + "<cross_link name='x' from='left' to='rigt' at='C3-C4'/>", FindingCode::unknown_name,
       "cross_link 'x', attribute 'to'", "rigt"},
      {kLeft + "<cross_link name='x' from='left' to='left' at='C3-C4'/>", FindingCode::same_rod, "cross_link 'x'", "left"},
      {kLeft + kRight + "<cross_link name='x' from='left' to='right' at='C4-C5'/>", FindingCode::rod_not_there,
       "cross_link 'x', attribute 'at'", "C4-C5"},
      // ties, grafts, spacers
      {"<tie name='t' kind='midline wire' upper='C0' lower='C2'/>", FindingCode::tie_not_allowed,
       "tie 't', attribute 'upper'", "C0"},
      {"<tie name='t' kind='spinous wire' upper='C2' lower='T2'/>", FindingCode::tie_not_allowed,
       "tie 't', attribute 'lower'", "T2"},
      {"<tie name='t' kind='midline wire' upper='C2' lower='C1'/>", FindingCode::level_order, "tie 't', attribute 'lower'",
       "C1"},
      {"<tie name='t' kind='midline wire' upper='C1' lower='C2' side='left'/>", FindingCode::attribute_not_here, "tie 't'",
       "left"},
      {"<tie name='t' kind='clamp' upper='C1' lower='C2'/>", FindingCode::missing_attribute, "tie 't'", "tie"},
      {"<tie name='t' kind='clamp' upper='C1' lower='C2' side='left' diameter='1 mm'/>", FindingCode::attribute_not_here,
       "tie 't'", "1 mm"},
      {"<tie name='t' kind='spinous wire' upper='C3' lower='C4'/>", FindingCode::removed_bone, "tie 't', attribute 'lower'",
       "C4", kNoLamina},
      {"<graft name='g' kind='onlay' upper='C3' lower='C4'/>", FindingCode::removed_bone, "graft 'g', attribute 'lower'",
       "C4", kNoLamina},
      {"<graft name='g' kind='onlay' upper='C4' lower='C4'/>", FindingCode::level_order, "graft 'g', attribute 'lower'",
       "C4"},
      {"<graft name='g' kind='lateral joint' upper='C1' lower='C3' side='left'/>", FindingCode::graft_not_allowed,
       "graft 'g', attribute 'lower'", "C3"},
      {"<graft name='g' kind='lateral joint' upper='C1' lower='C2'/>", FindingCode::missing_attribute, "graft 'g'", "graft"},
      {"<graft name='g' kind='lateral joint' upper='C1' lower='C2' side='left'/><spacer name='s' side='left'/>",
       FindingCode::anchors_collide, "spacer 's'", "spacer"},
  };
  return rows;
}

const std::vector<Row>& doubts() {
  static const std::vector<Row> rows{
      {kOnKeel + "<graft name='g' kind='block' upper='C4' lower='C5'/>", FindingCode::graft_not_held, "graft 'g'", "graft"},
      {kKeel + wire("C1") + rod("left", "<through plate='p'/><through anchor='wC1'/>"), FindingCode::one_wired_level,
       "rod 'left'", "rod"},
      {mass("C3") + mass("C5") + rod("left", through({"lC3", "lC5"})), FindingCode::skipped_level, "rod 'left'", "rod"},
      {keel("k", "25") + plate("p", "midline", through({"k"})) + mass("C1") +
           rod("left", "<through plate='p'/><through anchor='lC1'/>"),
       FindingCode::below_nuchal_line, "construct 'one'", "25 mm"},
      {kThree + rod("left", through({"lC3", "lC4", "lC5"}), "bending='bench-bent'"), FindingCode::bench_bent, "rod 'left'",
       "bench-bent"},
      {anchor("a", "pedicle", "C3", "left") + mass("C4") + rod("left", through({"a", "lC4"})),
       FindingCode::artery_not_checked, "neck", "anchor"},
      {anchor("C3 right", "lateral mass", "C3", "left") + mass("C4") + rod("left", through({"C3 right", "lC4"})),
       FindingCode::side_differs, "anchor 'C3 right'", "left"},
  };
  return rows;
}

std::string printed(const std::vector<Finding>& findings) {
  std::string out;
  for (const Finding& f : findings) out.append(opisthion::report::sentence(f)).append("\n");
  return out;
}

}  // namespace

TEST_CASE("each mistake in a construct is one error, at its place") {
  REQUIRE(mistakes().size() >= 40);
  for (const Row& row : mistakes()) {
    const std::string text = case_of(row.construct, row.injury, row.load);
    std::vector<Finding> errors = findings_of(text);
    errors.erase(
        std::remove_if(errors.begin(), errors.end(), [](const Finding& f) { return f.severity != Severity::error; }),
        errors.end());
    INFO(row.construct);
    INFO(row.where);
    INFO(printed(errors));
    CHECK(errors.size() == 1);
    if (errors.empty()) continue;
    CHECK(opisthion::report::name(errors[0].code) == opisthion::report::name(row.code));
    CHECK(errors[0].where == row.where);
    CHECK(text.substr(errors[0].offset, errors[0].length) == row.marked);
  }
}

TEST_CASE("what is allowed but doubtful in a construct is one warning or note, at its place") {
  for (const Row& row : doubts()) {
    const std::string text = case_of(row.construct, row.injury, row.load);
    const std::vector<Finding> findings = findings_of(text);
    INFO(row.construct);
    INFO(printed(findings));
    CHECK(findings.size() == 1);
    if (findings.empty()) continue;
    CHECK(findings[0].severity != Severity::error);
    CHECK(opisthion::report::name(findings[0].code) == opisthion::report::name(row.code));
    CHECK(findings[0].where == row.where);
    CHECK(text.substr(findings[0].offset, findings[0].length) == row.marked);
  }
}

TEST_CASE("constructs that are put in every day raise no word") {
  const std::vector<std::string> good{
      "",
      kLeft,
      kLeft + kRight + "<cross_link name='x' from='left' to='right' at='C3-C4'/>",
      kOnKeel,
      kWires,
      kThree + plate("p", "lateral mass", through({"lC3", "lC4", "lC5"})),
      kLeft + anchor("a", "pedicle", "C7", "left") + mass("C6") +
          rod("b", "<through rod='left' at='C4-C5'/>" + through({"lC6", "a"})),
      kThree + mass("C3", "right") + mass("C4", "right") +
          rod("o", through({"lC5", "lC4", "lC3", "rC3", "rC4"}), "closed='yes' bending='pre-bent'"),
      anchor("a", "laminar", "C2", "left") + anchor("b", "laminar", "C2", "right") + mass("C3") + mass("C3", "right") +
          rod("left", through({"a", "lC3"})) + rod("right", through({"b", "rC3"})),
      "<tie name='t' kind='midline wire' upper='C1' lower='C2'/><graft name='g' kind='block' upper='C1' lower='C2'/>",
      "<spacer name='s' side='left'/><graft name='g' kind='lateral joint' upper='C1' lower='C2' side='right'/>",
  };
  for (const std::string& construct : good) {
    const std::vector<Finding> findings = findings_of(case_of(construct));
    INFO(construct);
    INFO(printed(findings));
    CHECK(findings.empty());
  }
}

TEST_CASE("C1 that a rod passes by is named in the words of a teacher") {
  const auto findings = findings_of(
      case_of(kKeel + anchor("a", "laminar", "C2", "left") + rod("left", "<through plate='p'/><through anchor='a'/>")));
  REQUIRE(findings.size() == 1);
  CHECK(opisthion::report::sentence(findings[0]) ==
        "rod 'left': C1 is skipped: it floats between what is held above and below");
}
