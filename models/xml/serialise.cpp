// SPDX-License-Identifier: MIT
#include "models/xml/serialise.hpp"

namespace opisthion::models::xml {

namespace {

void append(const Element& element, std::size_t depth, std::string& out) {
  const std::string indent(2 * depth, ' ');
  out.append(indent).append("<").append(element.name);
  for (const Attribute& attribute : element.attributes)
    out.append(" ").append(attribute.name).append("=\"").append(escaped_attribute(attribute.value)).append("\"");
  if (element.children.empty() && element.text.empty()) {
    out.append("/>\n");
    return;
  }
  out.append(">").append(escaped_text(element.text));
  if (!element.children.empty()) {
    out.append("\n");
    for (const Element& child : element.children) append(child, depth + 1, out);
    out.append(indent);
  }
  out.append("</").append(element.name).append(">\n");
}

}  // namespace

std::string escaped_attribute(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\t':
        out += "&#9;";
        break;  // a parser turns a bare tab or line end in an attribute into a blank
      case '\n':
        out += "&#10;";
        break;
      case '\r':
        out += "&#13;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string escaped_text(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '\r':
        out += "&#13;";
        break;  // a parser turns a bare carriage return into a line feed
      default:
        out += c;
    }
  }
  return out;
}

std::string serialise(const Element& root) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  append(root, 0, out);
  return out;
}

}  // namespace opisthion::models::xml
