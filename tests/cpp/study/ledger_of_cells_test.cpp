// Energy and charge balance of double pulses at the default tolerance: the example cell, and 500 drawn cells.
#include <doctest/doctest.h>

#include <algorithm>
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

TEST_CASE("500 drawn cells end in success and balance energy and charge at the default tolerance") {
  constexpr int cells = 500;
  network::test::CellDraw draw(20240901);
  std::vector<double> energy;
  std::vector<double> charge;
  std::vector<double> steps;
  for (int k = 0; k < cells; ++k) {
    const network::test::RandomCell random = draw.next();
    CAPTURE(k);
    CAPTURE(random);
    const DoublePulse pulse = double_pulse(random.cell, {.current = random.current}, {});
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
