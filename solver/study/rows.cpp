// SPDX-License-Identifier: MIT
#include "solver/study/rows.hpp"

#include <algorithm>

#include "models/case/neck_alone.hpp"

namespace opisthion::study {

std::vector<Row> rows_of(const models::Case& the_case, const std::vector<std::string>& only_constructs, bool necks) {
  std::vector<Row> out;
  if (necks && the_case.bench.top) {  // without moments a neck without metal has nothing to say
    const auto add = [&out](RowKind kind, models::Case own) {
      const models::Construct bare = own.constructs.front();
      out.push_back({.kind = kind, .the_case = std::move(own), .construct = bare});
    };
    add(RowKind::intact, models::intact_case(the_case));
    const models::Case injured = models::injured_case(the_case);
    if (!(injured.neck == out.front().the_case.neck)) add(RowKind::injured, injured);
  }
  for (const models::Construct& construct : the_case.constructs)
    if (only_constructs.empty() ||
        std::find(only_constructs.begin(), only_constructs.end(), construct.name) != only_constructs.end())
      out.push_back({.kind = RowKind::construct, .the_case = the_case, .construct = construct});
  return out;
}

}  // namespace opisthion::study
