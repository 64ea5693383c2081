// SPDX-License-Identifier: MIT
#include "mesh/build/load_line.hpp"

#include <cmath>
#include <cstdio>

namespace opisthion::mesh {

using models::Level;
using models::Side;

namespace {

Vector3 midpoint(const Assembly& assembly, Level level, std::string_view slug) {
  return 0.5 * (assembly.point(level, slug, Side::left) + assembly.point(level, slug, Side::right));
}

}  // namespace

std::string coordinate_in_words(double value) {
  // One decimal; a zero that rounding gave a sign is written without it.
  char text[64];
  std::snprintf(text, sizeof text, "%.1f", std::abs(value) < 0.05 ? 0.0 : value);
  return text;
}

std::string place_in_words(const Vector3& p) {
  return "x " + coordinate_in_words(p.x()) + ", y " + coordinate_in_words(p.y()) + ", z " + coordinate_in_words(p.z()) +
         " mm";
}

LoadLine load_line(const Assembly& assembly, Level level, models::AxialLine line) {
  switch (line) {
    case models::AxialLine::lateral_masses: {
      const Vector3 p = midpoint(assembly, Level::C1, "lateral_mass_centre");
      return {p, "vertical, midway between the lateral masses of C1 (" + place_in_words(p) + ")"};
    }
    case models::AxialLine::dens: {
      const Vector3 p = assembly.point(Level::C1, "ring_reference");
      return {p, "vertical, through the dens axis at the arch of C1 (" + place_in_words(p) + ")"};
    }
    case models::AxialLine::condyles: {
      const Vector3 p = midpoint(assembly, Level::C0, "condyle_contact_centre");
      return {p, "vertical, midway between the condyles (" + place_in_words(p) + ")"};
    }
    case models::AxialLine::body: {
      const Vector3 p = assembly.point(level, "body_centre");
      return {p, "vertical, through the body centre of " + std::string(name(level)) + " (" + place_in_words(p) + ")"};
    }
  }
  return {};
}

}  // namespace opisthion::mesh
