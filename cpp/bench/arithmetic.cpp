// Floating-point operations of an attempted step in lanes, counted, and the most this core can do, measured.
//
// The count runs the kernels' own templates on a counting number. The peak is that of a loop of fused multiply-adds,
// two operations each, which the kernels' mixture of additions, products and quotients cannot reach.
#include <cstdio>
#include <optional>
#include <string_view>

#include "gateswing/lanes/kernel.h"
#include "gateswing/lanes/make_plan.h"
#include "gateswing/lanes/pack_memory.h"
#include "gateswing/lanes/pack_step.h"
#include "gateswing/simulate/simulator.h"
#include "shared/cells.h"
#include "shared/counted.h"
#include "shared/json_line.h"
#include "shared/peak.h"
#include "shared/timing.h"

namespace {

using namespace gateswing;
using namespace gateswing::bench;

static_assert(sizeof(Counted) == sizeof(double));

/// True where the run reached its end.
template <class Tableau>
bool count(const Cell& cell, double tolerance) {
  const network::CompiledNetwork network = nominal(cell);
  simulate::Simulator simulator(network);
  simulator.start(0.0);
  const std::optional<lanes::Plan> plan = lanes::make_plan(network);
  if (!plan) return false;
  lanes::PackMemory memory(*plan, 1);
  memory.load(0, network, simulator.state());
  const lanes::StepEnds chosen;
  lanes::PackStep<Tableau, Counted> stepper(*plan, reinterpret_cast<Counted*>(memory.values()), {tolerance, tolerance},
                                            &chosen);
  Counted::operations = Counted::functions = Counted::quotients = 0;
  long attempts = 0;
  double begin = 0.0;
  for (const double stop : stops(cell, network)) {
    memory.enter_segment(0, network.inputs, begin, stop);
    const lanes::PackOutcome outcome = stepper.advance(1, 0, 1'000'000);
    if (outcome.finished == 0) return false;
    attempts += outcome.attempts;
    begin = stop;
  }
  const auto per_attempt = [&](long operations) {
    return static_cast<double>(operations) / static_cast<double>(attempts);
  };
  JsonLine("arithmetic")
      .add("cell", cell.name)
      .add("tolerance", tolerance)
      .add("states", network.size())
      .add("integrals", network.integral_count())
      .add("operations", per_attempt(Counted::operations))
      .add("in_functions", per_attempt(Counted::functions))
      .add("quotients", per_attempt(Counted::quotients))
      .add("values", plan->layout.size);
  return true;
}

void write_peak(const lanes::Kernel& kernel) {
  constexpr long rounds = 20'000'000;
  const bool wide = std::string_view(kernel.instructions) == "AVX-512";
  const double lanes = wide ? 8.0 : 4.0;
  double kept = 0.0;
  const double seconds = median_seconds(
      [&] {
        const double begin = cpu_seconds();
        kept += wide ? multiply_and_add_avx512(rounds) : multiply_and_add_avx2(rounds);
        return cpu_seconds() - begin;
      },
      5);
  if (kept == 0.0) std::fputs("no sum\n", stderr);
  JsonLine("peak")
      .add("kernel", kernel.instructions)
      .add("operations_per_second", 2.0 * lanes * peak_chains * static_cast<double>(rounds) / seconds);
}

}  // namespace

int main() {
  for (const lanes::Kernel& kernel : lanes::kernels()) write_peak(kernel);
  bool right = true;
  for (const Cell& cell : cells()) {
    right = count<integrate::Rodas4>(cell, 1e-3) && right;
    right = count<integrate::Rodas5P>(cell, 1e-6) && right;
  }
  return right ? 0 : 1;
}
