// SPDX-License-Identifier: MIT
#include "solver/program/input.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <stdexcept>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "mesh/build/build.hpp"
#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/io_error.hpp"

namespace opisthion::program {
namespace {

/// Closes itself.
class Descriptor {
 public:
  explicit Descriptor(int value) : value_(value) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (value_ >= 0) ::close(value_);
  }
  int get() const { return value_; }

 private:
  int value_;
};

[[noreturn]] void cannot_read(const std::string& path, const std::string& why) {
  throw results::IoError(report::escaped_for_terminal(path) + ": cannot read: " + why);
}

}  // namespace

std::size_t place_of(const models::xml::Element& root, const std::string& construct, const std::string& item) {
  for (const models::xml::Element& element : root.children) {
    const models::xml::Attribute* name = element.find("name");
    if (element.name != "construct" || name == nullptr || name->value != construct) continue;
    for (const models::xml::Element& part : element.children) {
      const models::xml::Attribute* part_name = part.find("name");
      if (part_name != nullptr && item == part.name + " '" + part_name->value + "'") return part.name_offset;
    }
    return element.name_offset;
  }
  return root.name_offset;
}

SourceText read_source(const std::string& path) {
  SourceText source{.name = path};
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0) cannot_read(path, std::strerror(errno));
  struct stat about {};
  if (::fstat(file.get(), &about) != 0) cannot_read(path, std::strerror(errno));
  if (S_ISDIR(about.st_mode)) cannot_read(path, "it is a folder, not a case file");
  std::array<char, 65536> buffer{};
  while (source.text.size() <= kLargestCase_bytes) {
    const ssize_t got = ::read(file.get(), buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) cannot_read(path, std::strerror(errno));
    if (got == 0) break;
    source.text.append(buffer.data(), static_cast<std::size_t>(got));
  }
  if (results::looks_like_hdf5(source.text)) {
    source.text = results::read_case_text(path);
    source.from_result = true;
  }
  source.too_large = source.text.size() > kLargestCase_bytes;
  return source;
}

tl::expected<LoadedCase, std::vector<models::Finding>> load_case(const SourceText& source,
                                                                 const models::ParameterTable& library) {
  if (source.too_large)
    return tl::unexpected(std::vector<models::Finding>{{.code = models::FindingCode::too_large,
                                                        .severity = models::Severity::error,
                                                        .where = "file",
                                                        .found = "more",
                                                        .expected = "at most 4 MB"}});
  auto root = models::xml::parse(source.text);
  if (!root) return tl::unexpected(root.error());
  auto read = models::read_case(*root, library);
  if (!read) return tl::unexpected(read.error());
  return LoadedCase{.the_case = std::move(read->the_case), .root = std::move(*root), .findings = std::move(read->findings)};
}

models::ParameterTable load_library() {
  models::EmbeddedLibrary library = models::read_embedded_library();
  if (!library.findings.empty())
    throw std::logic_error("the embedded library is broken: " + report::sentence(library.findings.front()));
  return std::move(library.table);
}

models::ParameterTable with_changes(models::ParameterTable library, const models::Case& the_case) {
  for (const models::ParameterChange& change : the_case.changes)
    if (!library.change(change.id, change.value))
      throw std::logic_error("the reader let an unknown number pass: " + change.id);
  return library;
}

std::string words(const std::vector<models::Finding>& findings, const SourceText& source, bool colour) {
  std::string out;
  const std::string name = source.from_result ? source.name + " (case inside)" : source.name;
  for (const models::Finding& finding : findings)
    out += report::text(finding, name, source.too_large ? "" : source.text, colour);
  return out;
}

std::string complaints(const LoadedCase& loaded, const SourceText& source, const models::ParameterTable& parameters,
                       const std::vector<std::string>& only_constructs) {
  std::string out;
  for (const models::Construct& construct : loaded.the_case.constructs) {
    if (!only_constructs.empty() &&
        std::find(only_constructs.begin(), only_constructs.end(), construct.name) == only_constructs.end())
      continue;
    const auto mesh = mesh::build(loaded.the_case, construct, parameters);
    if (mesh) continue;
    for (const mesh::BuildComplaint& complaint : mesh.error()) {
      if (complaint.code == mesh::BuildComplaint::Code::nothing_held)
        continue;  // well written, but no answer: study says so
      const report::Position at = report::position(source.text, place_of(loaded.root, construct.name, complaint.item));
      out += report::wrapped_message(
                 fmt::format("{}:{}:{}: error: construct '{}', {}: {}", report::escaped_for_terminal(source.name), at.line,
                             at.column, report::escaped_for_terminal(construct.name),
                             report::escaped_for_terminal(complaint.item), report::escaped_for_terminal(complaint.text)),
                 0) +
             "\n";
    }
  }
  return out;
}

}  // namespace opisthion::program
