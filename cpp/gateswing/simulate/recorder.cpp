#include "gateswing/simulate/recorder.h"

namespace gateswing::simulate {
namespace {

std::vector<waveform::Channel> channels_of(const std::vector<network::Probe>& probes) {
  std::vector<waveform::Channel> channels;
  for (const network::Probe& probe : probes) channels.push_back({probe.name, probe.unit});
  return channels;
}

}  // namespace

Recorder::Recorder(const network::CompiledNetwork& network, std::vector<network::Probe> probes)
    : reader_(network, std::move(probes)),
      waveform_(channels_of(reader_.probes()), degree),
      nodes_((degree + 1) * reader_.probes().size(), 0.0) {}

void Recorder::enter_segment(std::span<const network::PiecewiseLinear> inputs, double time) {
  reader_.enter_segment(inputs, time);
  joint_is_known_ = false;
}

}  // namespace gateswing::simulate
