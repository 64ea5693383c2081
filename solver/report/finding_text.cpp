// SPDX-License-Identifier: MIT
#include "solver/report/finding_text.hpp"

#include <algorithm>

#include "models/xml/utf8.hpp"

namespace opisthion::report {

namespace {

using models::Finding;
using models::FindingCode;
using models::Severity;

constexpr std::size_t kColumns = 100;      ///< of a source line that are shown
constexpr std::size_t kBefore = 60;        ///< of those, at most so many before the caret
constexpr std::size_t kLongestFound = 80;  ///< bytes of a found value
constexpr std::size_t kLongestWhere = 200;

/// Bidirectional controls would show a line in another order than it is read in.
bool turns_text(char32_t code) {
  return code == 0x061C || code == 0x200E || code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
         (code >= 0x2066 && code <= 0x2069);
}

std::string hex(unsigned long value, int digits) {
  constexpr std::string_view kHex = "0123456789abcdef";
  std::string out;
  for (int shift = 4 * (digits - 1); shift >= 0; shift -= 4) out += kHex[(value >> static_cast<unsigned>(shift)) & 0xFUL];
  return out;
}

/// One character, escaped if need be, and the bytes it takes.
struct Shown {
  std::string text;
  std::size_t bytes;
  std::size_t columns;
};

Shown shown(std::string_view text, std::size_t at) {
  const models::xml::Character c = models::xml::character_at(text, at);
  if (c.length == 0) {
    std::string escape = "\\x" + hex(static_cast<unsigned char>(text[at]), 2);
    return {escape, 1, escape.size()};
  }
  if (c.code < 0x20 || (c.code >= 0x7F && c.code < 0xA0)) {
    std::string escape = "\\x" + hex(c.code, 2);
    return {escape, c.length, escape.size()};
  }
  if (turns_text(c.code)) {
    std::string escape = "\\u" + hex(c.code, 4);
    return {escape, c.length, escape.size()};
  }
  return {std::string(text.substr(at, c.length)), c.length, 1};
}

/// At most so many bytes, cut between characters, with "..." where something was cut.
std::string clipped(std::string_view text, std::size_t most) {
  if (text.size() <= most) return std::string(text);
  std::size_t end = most - 3;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80) --end;
  return std::string(text.substr(0, end)) + "...";
}

constexpr std::size_t kIndent = 8;  ///< of a message's further lines; source lines begin with a number or a bar

std::size_t column_count(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; }));
}

std::string_view kind_of_found(FindingCode code) {
  if (code == FindingCode::unknown_attribute || code == FindingCode::attribute_not_here) return "attribute ";
  if (code == FindingCode::unknown_element || code == FindingCode::wrong_root) return "element ";
  return "";
}

/// These say what was found in words of ours, with the names in quotes; all else is text from the file, quoted as a whole.
bool found_in_words(const Finding& finding) {
  switch (finding.code) {
    case FindingCode::too_large:
    case FindingCode::locks_coincide:
    case FindingCode::rod_order:
    case FindingCode::rod_too_short:
    case FindingCode::duplicate_anchor:
    case FindingCode::repeated_element:
    case FindingCode::anchors_collide:
    case FindingCode::too_many_anchors:
    case FindingCode::wrong_holder:
    case FindingCode::sides_mixed:
    case FindingCode::rod_not_there:
    case FindingCode::removed_bone:
    case FindingCode::contradiction:
    case FindingCode::no_head:
    case FindingCode::same_rod:
      return true;
    default:
      return finding.found == "the end of the file";
  }
}

std::string source_lines(const Finding& finding, std::string_view file_text, const Position& position,
                         std::string_view green, std::string_view reset) {
  const std::size_t offset = std::min(finding.offset, file_text.size());
  const std::size_t begin = offset - (position.column - 1);
  const std::size_t end = std::min(file_text.find_first_of("\r\n", offset), file_text.size());
  std::size_t from = offset - begin > kBefore ? offset - kBefore : begin;
  while (from > begin && (static_cast<unsigned char>(file_text[from]) & 0xC0U) == 0x80) --from;
  const std::size_t caret_end = std::max(offset + finding.length, offset + 1);

  std::string line = from > begin ? "..." : "";
  std::string carets(line.size(), ' ');
  std::size_t columns = 0;
  std::size_t at = from;
  const auto mark = [&](std::size_t byte) {
    return byte < offset ? ' ' : byte == offset ? '^' : byte < caret_end ? '~' : '\0';
  };
  while (at < end && columns < kColumns) {
    const char sign = mark(at);
    if (file_text[at] == '\t') {
      line += '\t';
      if (sign == ' ') carets += '\t';
      if (sign == '^' || sign == '~') carets += sign;
      ++at;
      ++columns;
      continue;
    }
    const Shown one = shown(file_text, at);
    line += one.text;
    if (sign != '\0') carets += std::string(1, sign) + std::string(one.columns - 1, sign == ' ' ? ' ' : '~');
    at += one.bytes;
    columns += one.columns;
  }
  if (at < end) line += "...";
  if (offset >= end) carets += '^';

  std::string number = std::to_string(position.line);
  if (number.size() < 5) number.insert(0, 5 - number.size(), ' ');
  std::string out = number + " | " + line + "\n";
  out.append(std::string(number.size(), ' ')).append(" | ").append(green).append(carets).append(reset).append("\n");
  return out;
}

}  // namespace

Position position(std::string_view file_text, std::size_t offset) {
  const std::string_view before = file_text.substr(0, offset);
  const auto lines = static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
  const std::size_t last = before.rfind('\n');
  return {lines + 1, last == std::string_view::npos ? before.size() + 1 : before.size() - last};
}

std::string_view name(FindingCode code) {
  switch (code) {
    case FindingCode::malformed_xml:
      return "malformed_xml";
    case FindingCode::empty_document:
      return "empty_document";
    case FindingCode::too_large:
      return "too_large";
    case FindingCode::entity_declared:
      return "entity_declared";
    case FindingCode::wrong_root:
      return "wrong_root";
    case FindingCode::unknown_element:
      return "unknown_element";
    case FindingCode::unknown_attribute:
      return "unknown_attribute";
    case FindingCode::unknown_word:
      return "unknown_word";
    case FindingCode::missing_attribute:
      return "missing_attribute";
    case FindingCode::missing_element:
      return "missing_element";
    case FindingCode::repeated_element:
      return "repeated_element";
    case FindingCode::unexpected_text:
      return "unexpected_text";
    case FindingCode::bad_number:
      return "bad_number";
    case FindingCode::bad_unit:
      return "bad_unit";
    case FindingCode::not_finite:
      return "not_finite";
    case FindingCode::out_of_range:
      return "out_of_range";
    case FindingCode::duplicate_name:
      return "duplicate_name";
    case FindingCode::unknown_name:
      return "unknown_name";
    case FindingCode::duplicate_anchor:
      return "duplicate_anchor";
    case FindingCode::anchor_not_allowed:
      return "anchor_not_allowed";
    case FindingCode::level_order:
      return "level_order";
    case FindingCode::level_outside_neck:
      return "level_outside_neck";
    case FindingCode::rod_too_short:
      return "rod_too_short";
    case FindingCode::rod_order:
      return "rod_order";
    case FindingCode::unused_anchor:
      return "unused_anchor";
    case FindingCode::unknown_parameter:
      return "unknown_parameter";
    case FindingCode::locks_coincide:
      return "locks_coincide";
    case FindingCode::rod_zero_length:
      return "rod_zero_length";
    case FindingCode::rod_bend:
      return "rod_bend";
    case FindingCode::artery_not_checked:
      return "artery_not_checked";
    case FindingCode::fit_marginal:
      return "fit_marginal";
    case FindingCode::does_not_fit:
      return "does_not_fit";
    case FindingCode::artery_in_the_way:
      return "artery_in_the_way";
    case FindingCode::rod_leans:
      return "rod_leans";
    case FindingCode::no_load:
      return "no_load";
    case FindingCode::unsourced_number:
      return "unsourced_number";
    case FindingCode::duplicate_id:
      return "duplicate_id";
    case FindingCode::overridden:
      return "overridden";
    case FindingCode::side_differs:
      return "side_differs";
    case FindingCode::attribute_not_here:
      return "attribute_not_here";
    case FindingCode::anchors_collide:
      return "anchors_collide";
    case FindingCode::too_many_anchors:
      return "too_many_anchors";
    case FindingCode::wrong_holder:
      return "wrong_holder";
    case FindingCode::sides_mixed:
      return "sides_mixed";
    case FindingCode::rod_not_there:
      return "rod_not_there";
    case FindingCode::tie_not_allowed:
      return "tie_not_allowed";
    case FindingCode::graft_not_allowed:
      return "graft_not_allowed";
    case FindingCode::removed_bone:
      return "removed_bone";
    case FindingCode::contradiction:
      return "contradiction";
    case FindingCode::already_gone:
      return "already_gone";
    case FindingCode::half_given:
      return "half_given";
    case FindingCode::one_wired_level:
      return "one_wired_level";
    case FindingCode::skipped_level:
      return "skipped_level";
    case FindingCode::below_nuchal_line:
      return "below_nuchal_line";
    case FindingCode::graft_not_held:
      return "graft_not_held";
    case FindingCode::nothing_held:
      return "nothing_held";
    case FindingCode::no_head:
      return "no_head";
    case FindingCode::unused_plate:
      return "unused_plate";
    case FindingCode::same_rod:
      return "same_rod";
    case FindingCode::bench_bent:
      return "bench_bent";
  }
  return "unknown";
}

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      return "note";
  }
  return "error";
}

std::string escaped_for_terminal(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const Shown one = shown(text, at);
    out += one.text;
    at += one.bytes;
  }
  return out;
}

std::string sentence(const Finding& finding) {
  std::string out = finding.where.empty() ? "" : escaped_for_terminal(clipped(finding.where, kLongestWhere)) + ": ";
  if (finding.expected.empty()) return out + escaped_for_terminal(clipped(finding.found, kLongestWhere));
  out += "expected " + escaped_for_terminal(finding.expected) + ", found ";
  if (finding.found.empty()) {
    out += "nothing";
  } else if (found_in_words(finding)) {
    out += escaped_for_terminal(clipped(finding.found, kLongestWhere));
  } else {
    out.append(kind_of_found(finding.code))
        .append("'")
        .append(escaped_for_terminal(clipped(finding.found, kLongestFound)))
        .append("'");
  }
  if (!finding.nearest.empty()) out += " (did you mean '" + escaped_for_terminal(finding.nearest) + "'?)";
  return out;
}

std::string wrapped_message(std::string_view message, std::size_t used) {
  std::string out;
  // A message is broken at blanks; a blank that stays in its line stays as it is, for it may be part of what was found.
  for (std::size_t from = 0; from < message.size();) {
    const std::size_t end = std::min(message.find(' ', from + 1), message.size());
    std::string_view piece = message.substr(from, end - from);
    from = end;
    if (used + column_count(piece) > kColumns && piece.size() > 1 && piece.front() == ' ') {
      out.append("\n").append(kIndent, ' ');
      used = kIndent;
      piece.remove_prefix(1);
    }
    out += piece;
    used += column_count(piece);
  }
  return out;
}

std::string text(const Finding& finding, std::string_view file_name, std::string_view file_text, bool colour) {
  const Position at = position(file_text, finding.offset);
  const auto paint = [&](std::string_view code) { return colour ? "\x1b[" + std::string(code) + "m" : std::string(); };
  const std::string reset = paint("0");
  const std::string place =
      escaped_for_terminal(file_name) + ":" + std::to_string(at.line) + ":" + std::to_string(at.column) + ":";
  std::string out = paint("1") + place + reset + " ";
  out += paint(finding.severity == Severity::error ? "1;31" : finding.severity == Severity::warning ? "1;35" : "1;36");
  out.append(name(finding.severity)).append(":").append(reset);
  const std::size_t used = column_count(place) + 1 + name(finding.severity).size() + 1;
  out.append(wrapped_message(" " + sentence(finding), used)).append("\n");
  return out + source_lines(finding, file_text, at, paint("1;32"), reset);
}

}  // namespace opisthion::report
