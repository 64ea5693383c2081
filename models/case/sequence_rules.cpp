// SPDX-License-Identifier: MIT
// States of one specimen in order, and the names of rows that are no constructs.
#include <algorithm>
#include <set>

#include "models/case/bench_rules.hpp"
#include "models/case/neck_alone.hpp"

namespace opisthion::models {

namespace {

bool is_neck_alone(std::string_view row) {
  return row == kIntactRow || row == kInjuredRow;
}

/// Rows that a sequence may name; nothing is known for sure where a construct's name could not be read.
std::set<std::string_view> rows(Rules& rules, bool& all_read) {
  std::set<std::string_view> out{kIntactRow, kInjuredRow};
  for (std::size_t i = 0; i < rules.the_case.constructs.size(); ++i) {
    const std::string path = indexed("construct", i) + "@name";
    const std::string& construct = rules.the_case.constructs[i].name;
    all_read = all_read && rules.trusted(path);
    if (rules.trusted(path) && is_neck_alone(construct))
      rules.add(FindingCode::duplicate_name, path, quoted("construct", construct), construct,
                "a name other than 'intact' and 'injured': these two rows are the neck without metal");
    out.insert(construct);
  }
  return out;
}

/// The neck as it is brought to the operation is the intact one: results have no row for it. Not said where the neck could
/// not be read.
bool nothing_injured(const Rules& rules) {
  return rules.neck_trusted() && rules.trusted("neck") &&
         injured_case(rules.the_case).neck == intact_case(rules.the_case).neck;
}

}  // namespace

void check_sequence(Rules& rules) {
  bool all_read = true;
  const std::set<std::string_view> known = rows(rules, all_read);
  const std::vector<std::string>& sequence = rules.the_case.bench.sequence;
  const std::string where = attribute("bench, sequence, state", "row");
  if (sequence.size() == 1)
    rules.add(FindingCode::half_given, "bench/sequence", "bench, sequence", "1",
              "two states or more, in the order in which the specimen is tested");
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < sequence.size(); ++i) {
    const std::string path = indexed("bench/sequence/state", i) + "@row";
    if (!rules.trusted(path)) continue;
    if (all_read && known.count(sequence[i]) == 0)
      rules.add(FindingCode::unknown_name, path, where, sequence[i], "intact, injured or the name of a construct",
                rules.near(sequence[i], known));
    else if (!seen.insert(sequence[i]).second)
      rules.add(FindingCode::duplicate_name, path, where, sequence[i], "each state once");
    else if (i > 0 && sequence[i] == kIntactRow)
      rules.add(FindingCode::contradiction, path, where, "intact after '" + sequence[i - 1] + "'",
                "the intact state first: a specimen that was injured is not intact again");
    else if (sequence[i] == kInjuredRow && nothing_injured(rules))
      rules.warn(FindingCode::contradiction, path, where,
                 "nothing is injured in this case: the state 'injured' is the intact one and is left out");
  }
}

}  // namespace opisthion::models
