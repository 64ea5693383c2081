// SPDX-License-Identifier: MIT
#include "tests/support/example.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"

namespace opisthion::tests {

const models::ParameterTable& library() {
  static const models::EmbeddedLibrary embedded = models::read_embedded_library();
  REQUIRE(embedded.findings.empty());
  return embedded.table;
}

models::Case example(std::string_view file_name) {
  std::string path = OPISTHION_EXAMPLES_DIR "/";
  path.append(file_name);
  std::ifstream in(path, std::ios::binary);
  REQUIRE(in.good());
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  const auto root = models::xml::parse(text);
  REQUIRE(root);
  auto read = models::read_case(*root, library());
  REQUIRE(read);
  return read->the_case;
}

}  // namespace opisthion::tests
