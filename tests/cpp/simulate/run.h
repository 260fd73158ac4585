// Runs a circuit from its initial state and keeps the channels a test asks for.
#pragma once

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/window.h"
#include "gateswing/network/probe.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::simulate::test {

/// Tight enough that what differs from a closed form is the circuit, not the integration.
inline constexpr double exact_tolerance = 1e-10;

/// A voltage between two nodes, or the current of a branch where `minus` is empty.
struct Ask {
  std::string name;
  std::string plus_or_branch;
  std::string minus;
};

inline Ask voltage(std::string name, std::string plus, std::string minus = "ground") {
  return {std::move(name), std::move(plus), std::move(minus)};
}
inline Ask current(std::string name, std::string branch) {
  return {std::move(name), std::move(branch), {}};
}

struct Run {
  Interval interval;
  network::Ledger ledger;
  waveform::Waveform waveform;

  [[nodiscard]] double value(std::string_view name, double time) const {
    return waveform.value(waveform.channel(name), time);
  }
  [[nodiscard]] double end(std::string_view name) const { return value(name, waveform.end()); }
  [[nodiscard]] std::size_t channel(std::string_view name) const { return waveform.channel(name); }
  [[nodiscard]] measure::Window whole() const { return measure::whole(waveform); }

  /// The first time at which the channel crosses the level either way.
  [[nodiscard]] double crossing(std::string_view name, double level) const {
    const auto found = measure::crossings(waveform, waveform.channel(name), level, whole());
    REQUIRE_FALSE(found.empty());
    return found.front().time;
  }

  /// Energy of one element's entry in the ledger [J].
  [[nodiscard]] double energy(std::string_view element) const {
    for (const network::EnergyEntry& entry : ledger.entries) {
      if (entry.element == element) return entry.energy;
    }
    FAIL("no ledger entry for the element");
    return 0.0;
  }
};

inline std::vector<network::Probe> probes(const network::CompiledNetwork& network, const std::vector<Ask>& asks) {
  std::vector<network::Probe> result;
  for (const Ask& ask : asks) {
    result.push_back(ask.minus.empty() ? network::current_probe(network, ask.name, ask.plus_or_branch)
                                       : network::voltage_probe(network, ask.name, ask.plus_or_branch, ask.minus));
  }
  return result;
}

/// Runs from t = 0 to `end` [s] and fails the test if the integration does.
inline Run run(const network::Circuit& circuit, const std::vector<Ask>& asks, double end,
               double relative_tolerance = exact_tolerance) {
  Simulator simulator(network::compile(circuit));
  Recorder recorder(simulator.network(), probes(simulator.network(), asks));
  REQUIRE(simulator.start(0.0));
  Settings settings;
  settings.relative_tolerance = relative_tolerance;
  Interval interval = simulator.advance(end, settings, &recorder);
  REQUIRE(interval.status == integrate::Status::success);
  network::Ledger ledger = simulator.ledger(interval);
  return {std::move(interval), std::move(ledger), recorder.waveform()};
}

/// |value - expected| within a fraction of the expected value.
inline void check_close(double value, double expected, double fraction) {
  CAPTURE(value);
  CAPTURE(expected);
  CHECK(std::abs(value - expected) <= fraction * std::abs(expected));
}

}  // namespace gateswing::simulate::test
