// The plan of a network, and what networks must share to have the same.
#pragma once

#include <optional>
#include <vector>

#include "gateswing/lanes/plan.h"
#include "gateswing/network/compiled_network.h"

namespace gateswing::lanes {

/// Everything that decides a plan: devices and their ports, kinds of states, and what is zero. Networks with equal
/// structures have equal plans.
std::vector<int> structure(const network::CompiledNetwork& network);

/// Nothing where elimination without row exchanges would meet an empty diagonal place.
std::optional<Plan> make_plan(const network::CompiledNetwork& network);

/// All linear forms of a network in the order of Plan::forms.
std::vector<network::LinearForm> linear_forms(const network::CompiledNetwork& network);

}  // namespace gateswing::lanes
