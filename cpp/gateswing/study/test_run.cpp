#include "gateswing/study/test_run.h"

#include <vector>

namespace gateswing::study {
namespace {

std::vector<network::Probe> probes_of(const network::CompiledNetwork& network,
                                      std::initializer_list<Channel> channels) {
  std::vector<network::Probe> probes;
  for (const Channel& channel : channels) {
    probes.push_back(channel.minus
                         ? network::voltage_probe(network, channel.name, channel.plus_or_branch, *channel.minus)
                         : network::current_probe(network, channel.name, channel.plus_or_branch));
  }
  return probes;
}

}  // namespace

Transient run_test(const network::Circuit& circuit, std::initializer_list<Channel> channels, double begin, double end,
                   const simulate::Settings& settings) {
  RecordedRun run(circuit, [&](const network::CompiledNetwork& network) { return probes_of(network, channels); });
  TransientRun transient(run, begin, settings);
  transient.advance(end);
  return transient.result();
}

}  // namespace gateswing::study
