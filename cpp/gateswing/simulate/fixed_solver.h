// The integrator instantiated for networks of at most N states, one translation unit per size.
#pragma once

#include <memory>

#include "gateswing/network/compiled_network.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::simulate {

template <int... sizes>
struct SolverSizes {};

/// Ascending; the list in CMakeLists.txt compiles each.
using BuiltSolverSizes = SolverSizes<4, 8, 12, 14, 16, 20, 24, 28>;

template <int N>
std::unique_ptr<Solver> make_fixed_solver(const network::CompiledNetwork& network);

}  // namespace gateswing::simulate
