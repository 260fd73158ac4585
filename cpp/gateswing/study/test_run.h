// One run of a test circuit from its initial state, with a record.
#pragma once

#include <initializer_list>
#include <string>

#include "gateswing/network/circuit.h"
#include "gateswing/network/ledger.h"
#include "gateswing/simulate/simulator.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::study {

/// What every test of a single part brings.
struct TestRun {
  integrate::Status status = integrate::Status::success;
  std::string message;
  network::Ledger ledger;
  integrate::Statistics statistics;
  waveform::Waveform waveform;

  [[nodiscard]] bool succeeded() const { return status == integrate::Status::success; }
};

/// A channel of the record: a voltage between two nodes, or the current of a branch where `minus` is empty.
struct Channel {
  const char* name;
  const char* plus_or_branch;
  const char* minus = "";
};

/// Runs from `begin` to `end` [s]. A run that cannot start or finish says so in its status.
TestRun run_test(const network::Circuit& circuit, std::initializer_list<Channel> channels, double begin, double end,
                 const simulate::Settings& settings);

}  // namespace gateswing::study
