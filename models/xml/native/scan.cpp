// SPDX-License-Identifier: MIT
#include "models/xml/native/scan.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include "models/xml/nearest.hpp"
#include "models/xml/utf8.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

bool is_blank(char c) {
  return kBlanks.find(c) != std::string_view::npos;
}

Finding finding(FindingCode code, std::size_t offset, std::size_t length, std::string found, std::string expected) {
  Finding out;
  out.code = code;
  out.offset = offset;
  out.length = length;
  out.where = "file";
  out.found = std::move(found);
  out.expected = std::move(expected);
  return out;
}

Finding malformed(std::size_t offset, std::size_t length, std::string found, std::string expected) {
  return finding(FindingCode::malformed_xml, offset, length, std::move(found), std::move(expected));
}

std::optional<Finding> check_bytes(std::string_view text) {
  constexpr std::string_view kHex = "0123456789ABCDEF";
  for (std::size_t at = 0; at < text.size();) {
    const Character c = character_at(text, at);
    if (c.length == 0 || !allowed_in_xml(c.code)) {
      const auto byte = static_cast<unsigned char>(text[at]);
      std::string found = "byte 0x";
      found += kHex[byte >> 4U];
      found += kHex[byte & 0xFU];
      return malformed(at, c.length == 0 ? 1 : c.length, found,
                       c.length == 0 ? "text in UTF-8" : "characters that XML allows (no control characters)");
    }
    at += c.length;
  }
  return std::nullopt;
}

bool is_code(std::string_view digits, unsigned base) {
  if (digits.empty() || digits.size() > 8) return false;
  char32_t code = 0;
  for (const char c : digits) {
    unsigned digit = 99;
    if (c >= '0' && c <= '9') digit = static_cast<unsigned>(c - '0');
    if (c >= 'a' && c <= 'f') digit = static_cast<unsigned>(c - 'a') + 10;
    if (c >= 'A' && c <= 'F') digit = static_cast<unsigned>(c - 'A') + 10;
    if (digit >= base) return false;
    code = code * base + digit;
    if (code > 0x10FFFF) return false;
  }
  return allowed_in_xml(code);
}

/// The reference that begins with the ampersand at `at`.
std::optional<Finding> check_reference(std::string_view text, std::size_t at) {
  constexpr std::size_t kLongest = 12;
  const std::string_view ahead = text.substr(at, kLongest);
  const std::size_t end = ahead.find(';');
  const std::string_view whole = ahead.substr(0, end == std::string_view::npos ? 1 : end + 1);
  for (const std::string_view known : {"&lt;", "&gt;", "&amp;", "&quot;", "&apos;"})
    if (whole == known) return std::nullopt;
  if (whole.size() > 4 && whole.substr(0, 3) == "&#x" && is_code(whole.substr(3, whole.size() - 4), 16)) return std::nullopt;
  if (whole.size() > 3 && whole.substr(0, 2) == "&#" && is_code(whole.substr(2, whole.size() - 3), 10)) return std::nullopt;
  return malformed(at, whole.size(), std::string(whole),
                   "&amp; &lt; &gt; &quot; &apos; or the number of an allowed character");
}

/// Walks the markup: comments, CDATA, instructions and tags, with the open elements on a stack.
class Walk {
 public:
  explicit Walk(std::string_view text) : text_(text) {}

  std::optional<Finding> run() {
    if (text_.substr(0, kByteOrderMark.size()) == kByteOrderMark) at_ = kByteOrderMark.size();
    while (at_ < text_.size()) {
      std::optional<Finding> found = text_[at_] == '<' ? markup() : character();
      if (found) return found;
    }
    if (!open_.empty()) return not_closed(text_.size(), 0, "the end of the file");
    if (!root_seen_) return finding(FindingCode::empty_document, 0, 0, "", "an element <case>");
    return std::nullopt;
  }

 private:
  bool ahead(std::string_view word) const { return text_.substr(at_, word.size()) == word; }

  std::optional<Finding> character() {
    if (open_.empty() && !is_blank(text_[at_]))
      return malformed(at_, 1, std::string(text_.substr(at_, 1)),
                       root_seen_ ? "nothing after the root element" : "an element");
    if (text_[at_] == '&') {
      if (std::optional<Finding> found = check_reference(text_, at_)) return found;
    }
    ++at_;
    return std::nullopt;
  }

  std::optional<Finding> markup() {
    if (ahead("<!--")) return skip(4, "-->", "-->, the end of the comment");
    if (ahead("<![CDATA[")) {
      if (open_.empty()) return malformed(at_, 9, "<![CDATA[", "an element");
      return skip(9, "]]>", "]]>, the end of the character data");
    }
    if (ahead("<?")) return skip(2, "?>", "?>, the end of the instruction");
    if (ahead("<!"))
      return finding(FindingCode::entity_declared, at_, std::min(text_.find_first_of(" \t\r\n>[", at_), text_.size()) - at_,
                     std::string(text_.substr(at_, std::min(text_.find_first_of(" \t\r\n>[", at_), at_ + 20) - at_)),
                     "no document type and no entities: entities are not read");
    return ahead("</") ? end_tag() : start_tag();
  }

  std::optional<Finding> skip(std::size_t from, std::string_view end, std::string expected) {
    const std::size_t to = text_.find(end, at_ + from);
    if (to == std::string_view::npos) return malformed(at_, from, "the end of the file", std::move(expected));
    at_ = to + end.size();
    return std::nullopt;
  }

  std::string_view tag_name(std::size_t from) const {
    return text_.substr(from, std::min(text_.find_first_of(" \t\r\n/>=<\"'", from), text_.size()) - from);
  }

  std::optional<Finding> end_tag() {
    const std::string_view name = tag_name(at_ + 2);
    const std::size_t end = text_.find_first_not_of(kBlanks, at_ + 2 + name.size());
    if (end == std::string_view::npos || text_[end] != '>')
      return malformed(at_, 2 + name.size(), "", "a closing tag that ends with >");
    const std::string found = "</" + std::string(name) + ">";
    if (open_.empty()) return malformed(at_, end + 1 - at_, found, "an open element to close");
    if (name != open_.back()) return not_closed(at_, end + 1 - at_, found);
    open_.pop_back();
    at_ = end + 1;
    return std::nullopt;
  }

  /// The innermost open element, with its line; where its name is no word of a case file, the nearest one that is.
  Finding not_closed(std::size_t offset, std::size_t length, std::string found) const {
    const std::string_view name = open_.back();
    const std::string_view before = text_.substr(0, static_cast<std::size_t>(name.data() - text_.data()));
    const auto line = 1 + std::count(before.begin(), before.end(), '\n');
    Finding out =
        malformed(offset, length, std::move(found),
                  "</" + std::string(name) + "> for the <" + std::string(name) + "> of line " + std::to_string(line));
    if (find_element_words(name) != nullptr) return out;
    std::vector<std::string_view> known;
    for (const ElementWords& words : case_words()) known.push_back(words.name);
    out.nearest = nearest_word(name, known);
    return out;
  }

  std::optional<Finding> start_tag() {
    const std::string_view name = tag_name(at_ + 1);
    if (name.empty())
      return malformed(at_, 1, std::string(text_.substr(at_, 2)), "the name of an element (a bare < is written &lt;)");
    if (open_.empty() && root_seen_)
      return malformed(at_, 1 + name.size(), "<" + std::string(name), "one root element only");
    root_seen_ = true;
    const std::size_t begin = at_;
    at_ += 1 + name.size();
    char last = ' ';
    while (at_ < text_.size() && text_[at_] != '>') {
      const char c = text_[at_];
      if (c == '<') return malformed(at_, 1, "<", ">, the end of the tag <" + std::string(name));
      last = c;
      ++at_;
      if (c == '"' || c == '\'') {
        if (std::optional<Finding> found = attribute_value(c)) return found;
      }
    }
    if (at_ == text_.size()) return malformed(begin, 1 + name.size(), "the end of the file", ">, the end of the tag");
    ++at_;
    if (last == '/') return std::nullopt;
    open_.push_back(name);
    if (open_.size() > kDeepestElement)
      return malformed(begin, 1 + name.size(), "<" + std::string(name),
                       "elements nested at most " + std::to_string(kDeepestElement) + " deep");
    return std::nullopt;
  }

  std::optional<Finding> attribute_value(char quote) {
    const std::size_t begin = at_ - 1;
    for (; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (c == quote) {
        ++at_;
        return std::nullopt;
      }
      if (c == '<') return malformed(at_, 1, "<", "the closing quote (a bare < in a value is written &lt;)");
      if (c == '&') {
        if (std::optional<Finding> found = check_reference(text_, at_)) return found;
      }
    }
    return malformed(begin, 1, "the end of the file", "the closing quote of this value");
  }

  std::string_view text_;
  std::size_t at_ = 0;
  bool root_seen_ = false;
  std::vector<std::string_view> open_;
};

}  // namespace

std::optional<Finding> scan(std::string_view text) {
  if (text.size() > kLargestFile_bytes)
    return finding(FindingCode::too_large, 0, 0, std::to_string(text.size()) + " bytes",
                   "a file of at most " + std::to_string(kLargestFile_bytes / 1'000'000) + " MB");
  if (text.find_first_not_of(kBlanks) == std::string_view::npos)
    return finding(FindingCode::empty_document, 0, 0, "", "an element <case>");
  if (std::optional<Finding> found = check_bytes(text)) return found;
  return Walk(text).run();
}

}  // namespace opisthion::models::xml
