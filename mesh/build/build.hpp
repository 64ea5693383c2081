// SPDX-License-Identifier: MIT
#pragma once
// Turns a case and one of its constructs into a system; remembers which item each id came from.
#include <set>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "mesh/system/component.hpp"
#include "mesh/system/load.hpp"
#include "mesh/system/system.hpp"
#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"

namespace opisthion::mesh {

enum class OriginKind {
  level,
  dens_fragment,
  ligament,
  contact,
  disc,
  fibrous_tissue,
  fused_joint,
  ring,
  anchor,
  lock,
  rod,
  plate,
  cross_link,
  wire,  ///< on a rod, or between two levels
  clamp,
  hook,
  graft,
  spacer,
  friction,
  worn_hole,     ///< the bone around a loose screw
  ring_fragment  ///< a lateral mass broken off the ring of C1
};

struct Origin {
  OriginKind kind = OriginKind::level;
  std::string name{};    ///< "C1", "left alar ligament", "rod 'left'"
  double station = 0.0;  ///< 0..1 along the item where that means something
};

/// Which item each id came from.
class Origins {
 public:
  ItemId add(Origin origin);
  const Origin& operator[](ItemId id) const { return origins_[static_cast<std::size_t>(id.value)]; }
  std::size_t size() const { return origins_.size(); }

 private:
  std::vector<Origin> origins_;
};

/// What cannot be built, with the items it is about (the reader attaches file positions by name).
struct BuildComplaint {
  enum class Code {
    locks_coincide,
    rod_zero_length,
    rod_bend,
    rod_hangs_on_nothing,  ///< rods that hang on each other in a ring
    lock_missed,           ///< a plate passes a screw's head by more than can be bridged
    nothing_held
  } code = Code::locks_coincide;
  std::string item{};  ///< "rod 'left'"
  std::string text{};  ///< one clear sentence
};

/// A joint as measured: which bodies, and the ids of its probes' common stem.
struct JointProbes {
  std::string name{};  ///< "C1-C2"
  BodyId upper{};
  BodyId lower{};
  double physical_end_deg = 35.0;  ///< beyond this in rotation a joint has left anatomy (C1-C2 axial rotation 60, others 35)
};

struct Mesh {
  System system{};
  std::vector<Component> components{};
  std::vector<Probe> probes{};
  std::vector<JointProbes> joints{};
  LoadProgram program{};
  Origins origins{};
  std::vector<BuildComplaint> remarks{};  ///< what was built all the same, and what is wrong with it
  std::set<std::string, std::less<>> parameters_read{};
  BodyId top{};     ///< loaded body; invalid without a top
  BodyId bottom{};  ///< held body
  double foundation_factor = 0.0;
  int find_probe(std::string_view id) const;  ///< index or -1
};

struct BuildOptions {
  int rod_elements_per_span = 8;  ///< between two locks
};

/// The parameters are the library's with the case's changes applied.
tl::expected<Mesh, std::vector<BuildComplaint>> build(const models::Case& the_case, const models::Construct& construct,
                                                      const models::ParameterTable& parameters,
                                                      const BuildOptions& options = {});

}  // namespace opisthion::mesh
