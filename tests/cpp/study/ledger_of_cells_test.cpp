// Energy and charge balance of double pulses at the default tolerance: the example cell, and drawn cells.
#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <cstdlib>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "gateswing/study/double_pulse.h"
#include "network/example_cell.h"
#include "network/random_cell.h"

namespace gateswing::study::test {
namespace {

constexpr double energy_limit = 1e-6;  // of the throughput
constexpr double charge_limit = 1e-5;  // of the charge held and passed

TEST_CASE("a double pulse of the example cell balances energy and charge at the default tolerance") {
  for (const bool full : {true, false}) {
    CAPTURE(full);
    const DoublePulse pulse =
        double_pulse(full ? network::test::example_cell() : network::test::plain_cell(), {.current = 5.0}, {});
    REQUIRE(pulse.status == integrate::Status::success);
    CHECK(pulse.ledger.throughput > 1e-6);
    CHECK(pulse.ledger.energy_residual < energy_limit);
    CHECK(pulse.ledger.charge_residual < charge_limit);
  }
}

double quantile(std::vector<double> values, double share) {
  std::ranges::sort(values);
  return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

/// What is kept of a pulse; the waveforms of all cells would take gigabytes.
struct Outcome {
  integrate::Status status;
  std::string message;
  network::Ledger ledger;
  integrate::Statistics statistics;
};

Outcome run(const network::test::RandomCell& random) {
  const DoublePulse pulse = double_pulse(random.cell, {.current = random.current}, {});
  return {pulse.status, pulse.message, pulse.ledger, pulse.statistics};
}

/// One pulse for each cell, computed on all processors.
std::vector<Outcome> run_all(const std::vector<network::test::RandomCell>& cells) {
  std::vector<Outcome> outcomes(cells.size());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t k = next++; k < cells.size(); k = next++) outcomes[k] = run(cells[k]);
  };
  std::vector<std::jthread> workers;
  for (unsigned k = 0; k < std::max(1U, std::thread::hardware_concurrency()); ++k) workers.emplace_back(work);
  workers.clear();
  return outcomes;
}

TEST_CASE("drawn cells end in success and balance energy and charge at the default tolerance") {
  // 500 with GATESWING_BRUTE_FORCE=all.
  const char* asked = std::getenv("GATESWING_BRUTE_FORCE");  // NOLINT(concurrency-mt-unsafe)
  network::test::CellDraw draw(20240901);
  std::vector<network::test::RandomCell> cells(asked != nullptr && std::string_view(asked) == "all" ? 500 : 200);
  std::ranges::generate(cells, [&] { return draw.next(); });
  const std::vector<Outcome> outcomes = run_all(cells);
  std::vector<double> energy;
  std::vector<double> charge;
  std::vector<double> steps;
  for (std::size_t k = 0; k < cells.size(); ++k) {
    CAPTURE(k);
    CAPTURE(cells[k]);
    const Outcome& pulse = outcomes[k];
    CAPTURE(pulse.message);
    CHECK(pulse.status == integrate::Status::success);
    if (pulse.status != integrate::Status::success) continue;
    CAPTURE(pulse.statistics.steps);
    CHECK(pulse.ledger.energy_residual < energy_limit);
    CHECK(pulse.ledger.charge_residual < charge_limit);
    energy.push_back(pulse.ledger.energy_residual);
    charge.push_back(pulse.ledger.charge_residual);
    steps.push_back(static_cast<double>(pulse.statistics.steps));
  }
  REQUIRE_FALSE(energy.empty());
  MESSAGE("energy residual: median ", quantile(energy, 0.5), ", 99 % ", quantile(energy, 0.99), ", max ",
          quantile(energy, 1.0));
  MESSAGE("charge residual: median ", quantile(charge, 0.5), ", 99 % ", quantile(charge, 0.99), ", max ",
          quantile(charge, 1.0));
  MESSAGE("steps: median ", quantile(steps, 0.5), ", 99 % ", quantile(steps, 0.99), ", max ", quantile(steps, 1.0));
}

}  // namespace
}  // namespace gateswing::study::test
