// SPDX-License-Identifier: MIT
#pragma once
// What is wrong with a file, as data: the program and the page word it (solver/report/finding_text).
#include <cstddef>
#include <string>
#include <vector>

namespace opisthion::models {

enum class Severity { error, warning, note };

enum class FindingCode {
  malformed_xml,
  empty_document,
  too_large,
  entity_declared,
  wrong_root,
  unknown_element,
  unknown_attribute,
  unknown_word,
  missing_attribute,
  missing_element,
  repeated_element,
  unexpected_text,
  bad_number,
  bad_unit,
  not_finite,
  out_of_range,
  duplicate_name,
  unknown_name,
  duplicate_anchor,
  anchor_not_allowed,
  level_order,
  level_outside_neck,
  rod_too_short,
  rod_order,
  unused_anchor,
  unknown_parameter,
  locks_coincide,
  rod_zero_length,
  rod_bend,
  artery_not_checked,
  fit_marginal,
  does_not_fit,
  artery_in_the_way,
  rod_leans,
  no_load,
  unsourced_number,
  duplicate_id,
  overridden,
  side_differs,
  attribute_not_here,  ///< means nothing for this kind or at this level
  anchors_collide,     ///< two anchors, grafts or spacers in one place
  too_many_anchors,
  wrong_holder,  ///< this anchor does not go through that plate or rod
  sides_mixed,
  rod_not_there,  ///< a rod does not pass the joint where something is fixed to it
  tie_not_allowed,
  graft_not_allowed,
  removed_bone,
  contradiction,  ///< two instabilities that exclude each other
  already_gone,
  half_given,  ///< one of two attributes that mean something only together
  one_wired_level,
  skipped_level,
  below_nuchal_line,
  graft_not_held,
  nothing_held,
  no_head,       ///< a test rig's load on an anchor that has no head
  unused_plate,  ///< no rod goes through it
  same_rod,      ///< a link or a connector from a rod to itself
  bench_bent
};

/// where (byte offset and length in the file), what was found, what was expected, and the nearest known word.
struct Finding {
  FindingCode code = FindingCode::malformed_xml;
  Severity severity = Severity::error;
  std::size_t offset = 0;  ///< bytes from the start of the file
  std::size_t length = 0;  ///< bytes to underline; 0: one caret
  std::string where{};     ///< "anchor 'C2 left', attribute 'diameter'"
  std::string found{};
  std::string expected{};  ///< empty: found is the whole message, in words of ours
  std::string nearest{};   ///< did you mean; may be empty
  friend bool operator==(const Finding&, const Finding&) = default;
};

inline bool has_error(const std::vector<Finding>& findings) {
  for (const Finding& f : findings)
    if (f.severity == Severity::error) return true;
  return false;
}

}  // namespace opisthion::models
