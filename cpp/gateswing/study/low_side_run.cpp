#include "gateswing/study/low_side_run.h"

#include "gateswing/study/channels.h"

namespace gateswing::study {

LowSideRun::LowSideRun(const network::LowSideCell& cell, double load_current, network::SwitchState state)
    : LowSideRun(cell, network::build(cell, load_current, state)) {}

LowSideRun::LowSideRun(const network::LowSideCell& cell, const network::Circuit& circuit)
    : command_(circuit.input_index(network::gate_command_input)),
      simulator_(network::compile(circuit)),
      recorder_(simulator_.network(), low_side_probes(simulator_.network(), cell)) {}

}  // namespace gateswing::study
