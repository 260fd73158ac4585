// Records probes of a network along a run into a waveform.
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <span>
#include <vector>

#include "gateswing/network/probe.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::simulate {

/// Samples each accepted step at five nodes of its dense output, which a polynomial of degree 4 then joins.
class Recorder {
 public:
  static constexpr std::size_t degree = 4;

  Recorder(const network::CompiledNetwork& network, std::vector<network::Probe> probes);

  void enter_segment(std::span<const network::PiecewiseLinear> inputs, double time);

  template <class Step>
  void record(const Step& step) {
    const std::size_t width = reader_.probes().size();
    for (std::size_t node = 0; node <= degree; ++node) {
      const std::span<double> row(nodes_.data() + node * width, width);
      if (node == 0 && joint_is_known_) {
        std::copy(nodes_.end() - static_cast<std::ptrdiff_t>(width), nodes_.end(), row.begin());
        continue;
      }
      const double theta = static_cast<double>(node) / static_cast<double>(degree);
      step.value_into(theta, state_);
      reader_.read(step.start_time + theta * step.length(), state_, row);
    }
    waveform_.append_step(step.start_time, step.end_time, nodes_);
    joint_is_known_ = true;
  }

  /// Drops what was recorded, keeps the memory.
  void clear() { waveform_.clear(); }

  [[nodiscard]] const waveform::Waveform& waveform() const { return waveform_; }

 private:
  network::ProbeReader reader_;
  waveform::Waveform waveform_;
  std::vector<double> nodes_;
  Eigen::VectorXd state_;
  bool joint_is_known_ = false;  // the last node of the previous step lies in the same segment of the inputs
};

}  // namespace gateswing::simulate
