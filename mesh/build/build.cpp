// SPDX-License-Identifier: MIT
#include "mesh/build/build.hpp"

#include "mesh/build/assembly.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/measures.hpp"
#include "mesh/build/neck_parts.hpp"

namespace opisthion::mesh {

tl::expected<Mesh, std::vector<BuildComplaint>> build(const models::Case& the_case, const models::Construct& construct,
                                                      const models::ParameterTable& parameters,
                                                      const BuildOptions& options) {
  const models::ParameterReader number(parameters);
  Assembly assembly(the_case, number);
  add_bones(assembly);
  add_joints(assembly);
  const std::vector<PlacedAnchor> anchors = add_anchors(assembly, construct);
  std::vector<BuildComplaint> complaints = add_rods(assembly, construct, anchors, options);
  // A rod that could not be laid would leave its anchors idle as well: one complaint about it is enough.
  if (complaints.empty()) {
    assembly.mesh().components = find_components(assembly.system());
    complaints = find_idle_metal(assembly, assembly.mesh(), anchors);
  }
  if (!complaints.empty()) return tl::unexpected(std::move(complaints));
  add_probes(assembly);
  add_load_cases(assembly, anchors);
  assembly.mesh().parameters_read = number.ids_read();
  return assembly.take();
}

}  // namespace opisthion::mesh
