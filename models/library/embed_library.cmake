# SPDX-License-Identifier: MIT
# cmake -DOUT=library_files.cpp -DFILES="a.xml;b.xml" -P embed_library.cmake
# Writes the library files into a C++ source as raw string literals. Compilers limit a literal to 16 kB, or joined to 64 kB:
# the text is cut into pieces that the program joins when it first asks for them.
set(piece_bytes 12000)
set(texts "")
set(entries "")
set(index 0)
list(SORT FILES)
foreach(path IN LISTS FILES)
  get_filename_component(name "${path}" NAME)
  file(READ "${path}" hex HEX)  # as hex: a list separator or bracket in the text cannot be misread, and pieces are bytes
  string(LENGTH "${hex}" hex_length)
  math(EXPR length "${hex_length} / 2")
  file(READ "${path}" text)
  string(FIND "${text}" ")xml\"" clash)
  if(NOT clash EQUAL -1)
    message(FATAL_ERROR "${path} contains the end mark of the literal")
  endif()
  string(REGEX MATCH "[^\t\r\n -~]" not_ascii "${text}")
  if(NOT not_ascii STREQUAL "")
    message(FATAL_ERROR "${path} is not plain ASCII: a piece could end inside a character")
  endif()
  string(LENGTH "${text}" text_length)
  if(NOT text_length EQUAL length)
    message(FATAL_ERROR "${path} changed while being read")
  endif()
  string(APPEND texts "      joined({")
  set(from 0)
  while(from LESS length)
    string(SUBSTRING "${text}" ${from} ${piece_bytes} piece)
    string(APPEND texts "R\"xml(${piece})xml\",\n")
    math(EXPR from "${from} + ${piece_bytes}")
  endwhile()
  string(APPEND texts "      }),\n")
  string(APPEND entries "      {\"${name}\", texts[${index}]},\n")
  math(EXPR index "${index} + 1")
endforeach()
file(WRITE "${OUT}" "// Written by models/library/embed_library.cmake from models/library/*.xml.
#include \"models/library/library.hpp\"

#include <array>
#include <initializer_list>
#include <string>

namespace opisthion::models {

namespace {

std::string joined(std::initializer_list<std::string_view> pieces) {
  std::string out;
  for (const std::string_view piece : pieces) out += piece;
  return out;
}

}  // namespace

const std::vector<LibraryFile>& library_files() {
  static const std::array<std::string, ${index}> texts{
${texts}  };
  static const std::vector<LibraryFile> files{
${entries}  };
  return files;
}

}  // namespace opisthion::models
")
