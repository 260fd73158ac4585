// The three cells that every solver of the comparison is given, over one switching cycle each. All data are invented.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/low_side_cell.h"

namespace gateswing::bench {

/// A value of a cell times a factor of its own: 1 for the cell itself, random for a spread of designs.
using Vary = std::function<void(double& value)>;

struct Cell {
  std::string name;
  std::function<network::CompiledNetwork(const Vary& vary)> network;  ///< its inputs set for the whole run
  double end;                                                         ///< [s]; a run begins at 0
};

/// A resistive low-side stage, a clamped inductive one that rings in spite of its snubber, a half bridge whose lower
/// body diode recovers.
///
/// Each driver has the capacitance of its output stage, and drift resistances are a part of the loop's, so that no
/// voltage is left algebraic: M is regular, and solvers of x' = M^-1 f take the same equations as those of M x' = f.
const std::vector<Cell>& cells();

/// The network of a cell as it is.
network::CompiledNetwork nominal(const Cell& cell);

/// Networks of `count` designs: the cell itself, then others with eight of its values spread by a quarter either way.
std::vector<network::CompiledNetwork> spread(const Cell& cell, std::size_t count);

/// The resistive stage with a number of R-C branches across its switch, each one more state.
network::CompiledNetwork with_branches(int branches);

/// Ends of the stretches in which the inputs are smooth, the last one the end of the run [s].
std::vector<double> stops(const Cell& cell, const network::CompiledNetwork& network);

/// Times at which answers are compared: some in each stretch, ever closer to its begin, and its end [s].
std::vector<double> checkpoints(const Cell& cell, const network::CompiledNetwork& network);

}  // namespace gateswing::bench
