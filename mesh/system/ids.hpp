// SPDX-License-Identifier: MIT
#pragma once
#include <compare>

namespace opisthion::mesh {

/// A body is a frame with six degrees of freedom: a vertebra, a dens fragment, or a node of metal.
struct BodyId {
  int value = -1;
  constexpr bool valid() const { return value >= 0; }
  friend constexpr auto operator<=>(const BodyId&, const BodyId&) = default;
};

/// What an element came from: opaque here, named by mesh/build's Origins.
struct ItemId {
  int value = -1;
  friend constexpr auto operator<=>(const ItemId&, const ItemId&) = default;
};

}  // namespace opisthion::mesh
