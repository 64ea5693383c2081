// SPDX-License-Identifier: MIT
#include "mesh/build/build.hpp"

#include <utility>

#include "mesh/build/assembly.hpp"
#include "mesh/build/graft.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/measures.hpp"
#include "mesh/build/neck_parts.hpp"
#include "mesh/build/plate.hpp"
#include "mesh/build/pose.hpp"
#include "mesh/build/rods.hpp"
#include "mesh/build/spacer.hpp"
#include "mesh/build/tie.hpp"

namespace opisthion::mesh {

tl::expected<Mesh, std::vector<BuildComplaint>> build(const models::Case& the_case, const models::Construct& construct,
                                                      const models::ParameterTable& parameters,
                                                      const BuildOptions& options) {
  const models::ParameterReader number(parameters);
  Assembly assembly(the_case, number);
  add_bones(assembly);
  add_joints(assembly);
  apply_pose(assembly);
  const std::vector<PlacedAnchor> anchors = add_anchors(assembly, construct);
  const std::vector<PlateLayout> plates = lay_out_plates(assembly, construct, anchors);
  RodRoutes routes = route_rods(assembly, construct, anchors, plates);
  std::vector<BuildComplaint> complaints = std::move(routes.complaints);
  for (const PlateLayout& plate : plates)
    if (plate.complaint) complaints.push_back(*plate.complaint);
  // A rod that could not be laid would leave its anchors idle as well: one complaint about it is enough.
  if (complaints.empty()) {
    const std::vector<BuiltPlate> built = add_plates(assembly, plates);
    add_rods(assembly, routes, built, options);
    add_ties(assembly, construct);
    add_grafts(assembly, construct);
    add_spacers(assembly, construct);
    assembly.mesh().components = find_components(assembly.system());
    mark_locked_last(assembly.mesh(), construct, the_case.neck);
    complaints = find_idle_metal(assembly, assembly.mesh(), construct, anchors);
  }
  if (!complaints.empty()) return tl::unexpected(std::move(complaints));
  assembly.mesh().remarks = std::move(routes.remarks);
  add_probes(assembly);
  add_load_cases(assembly, anchors);
  assembly.mesh().parameters_read = number.ids_read();
  return assembly.take();
}

}  // namespace opisthion::mesh
