// Waveforms of known functions, recorded the way an integrator records: polynomial nodes on steps of its own choosing.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "gateswing/waveform/waveform.h"

namespace gateswing_test {

struct Signal {
  gateswing::waveform::Channel channel;
  std::function<double(double)> at;
};

inline gateswing::waveform::Waveform record(const std::vector<Signal>& signals, const std::vector<double>& edges,
                                            std::size_t degree) {
  std::vector<gateswing::waveform::Channel> channels;
  for (const Signal& signal : signals) channels.push_back(signal.channel);
  gateswing::waveform::Waveform waveform(channels, degree);
  for (std::size_t step = 0; step + 1 < edges.size(); ++step) {
    std::vector<double> nodes;
    for (std::size_t node = 0; node <= degree; ++node) {
      const double fraction = static_cast<double>(node) / static_cast<double>(degree);
      const double t = edges[step] + (edges[step + 1] - edges[step]) * fraction;
      for (const Signal& signal : signals) nodes.push_back(signal.at(t));
    }
    waveform.append_step(edges[step], edges[step + 1], nodes);
  }
  return waveform;
}

inline std::vector<double> even_edges(double begin, double end, std::size_t steps) {
  std::vector<double> edges;
  for (std::size_t k = 0; k <= steps; ++k) {
    edges.push_back(begin + (end - begin) * static_cast<double>(k) / static_cast<double>(steps));
  }
  return edges;
}

// Step lengths that wander between `shortest` and about four times that, as an adaptive integrator's do.
inline std::vector<double> uneven_edges(double begin, double end, double shortest) {
  std::vector<double> edges{begin};
  for (std::size_t k = 0; edges.back() < end; ++k) {
    const double length = shortest * (1.0 + static_cast<double>((k * 7) % 11) * 0.3);
    edges.push_back(edges.back() + length > end - shortest ? end : edges.back() + length);
  }
  return edges;
}

}  // namespace gateswing_test
