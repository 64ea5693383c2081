// SPDX-License-Identifier: MIT
#include "models/xml/element_writer.hpp"

namespace opisthion::models::xml {

Element written(const Bench& bench) {
  ElementWriter out("bench");
  if (bench.top) out.with("top", name(*bench.top));
  out.with("bottom", name(bench.bottom));
  if (bench.top || bench.moment_Nmm != Bench{}.moment_Nmm) out.with("moment", bench.moment_Nmm, "N m");
  for (const ShearLoad& shear : bench.shear)
    out.child(ElementWriter("shear").with("level", name(shear.level)).with("force", shear.force_N, "N").done());
  for (const AxialLoad& axial : bench.axial)
    out.child(ElementWriter("axial")
                  .with("level", name(axial.level))
                  .with("force", axial.force_N, "N")
                  .with("line", word(axial.line))
                  .done());
  for (const HeadLoad& head : bench.heads) {
    const std::string direction = format_number(head.direction.x()) + " " + format_number(head.direction.y()) + " " +
                                  format_number(head.direction.z());
    out.child(ElementWriter("head_load")
                  .with("name", head.name)
                  .with("anchor", head.anchor)
                  .with("force", head.force_N, "N")
                  .with("direction", direction)
                  .done());
  }
  return out.done();
}

}  // namespace opisthion::models::xml
