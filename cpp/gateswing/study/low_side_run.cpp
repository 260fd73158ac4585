#include "gateswing/study/low_side_run.h"

#include "gateswing/study/channels.h"

namespace gateswing::study {

LowSideRun::LowSideRun(const network::LowSideCell& cell, double load_current, network::SwitchState state)
    : LowSideRun(network::build(cell, load_current, state),
                 [&](const network::CompiledNetwork& network) { return low_side_probes(network, cell); }) {}

LowSideRun::LowSideRun(const network::Circuit& circuit, const ProbesOf& probes)
    : RecordedRun(circuit, probes), command_(circuit.input_index(network::names::gate_command)) {}

}  // namespace gateswing::study
