#include "gateswing/study/test_run.h"

#include <string_view>
#include <vector>

namespace gateswing::study {
namespace {

std::vector<network::Probe> probes_of(const network::CompiledNetwork& network,
                                      std::initializer_list<Channel> channels) {
  std::vector<network::Probe> probes;
  for (const Channel& channel : channels) {
    probes.push_back(std::string_view(channel.minus).empty()
                         ? network::current_probe(network, channel.name, channel.plus_or_branch)
                         : network::voltage_probe(network, channel.name, channel.plus_or_branch, channel.minus));
  }
  return probes;
}

}  // namespace

TestRun run_test(const network::Circuit& circuit, std::initializer_list<Channel> channels, double begin, double end,
                 const simulate::Settings& settings) {
  simulate::Simulator simulator(network::compile(circuit));
  simulate::Recorder recorder(simulator.network(), probes_of(simulator.network(), channels));
  TestRun result{.message = {}, .ledger = {}, .statistics = {}, .waveform = recorder.waveform()};
  if (!simulator.start(begin)) {
    result.status = integrate::Status::singular;
    result.message = "the resistive part of the circuit has no operating point at the start";
    return result;
  }
  const simulate::Interval interval = simulator.advance(end, settings, &recorder);
  result.status = interval.status;
  result.message = integrate::sentence(interval.status);
  result.statistics = interval.statistics;
  result.ledger = simulator.ledger(interval);
  result.waveform = recorder.waveform();
  return result;
}

}  // namespace gateswing::study
