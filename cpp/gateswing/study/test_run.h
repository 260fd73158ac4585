// One run of a test circuit from its initial state, with a record.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>

#include "gateswing/study/transient.h"

namespace gateswing::study {

/// A channel of the record: a voltage between two nodes, or, without the second, the current of a branch.
struct Channel {
  std::string name;
  std::string plus_or_branch;
  std::optional<std::string> minus = std::nullopt;
};

/// Runs from `begin` to `end` [s]. A run that cannot start or finish says so in its status.
Transient run_test(const network::Circuit& circuit, std::initializer_list<Channel> channels, double begin, double end,
                   const simulate::Settings& settings);

}  // namespace gateswing::study
