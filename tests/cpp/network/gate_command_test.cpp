// Logic pulses to driver commands: delays, ramps, and pulses too short for either.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "gateswing/network/piecewise_linear.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

constexpr double ns = 1e-9;

PiecewiseLinear command(std::vector<Pulse> pulses, CommandTiming timing) {
  return gate_command(pulses, timing);
}

void check_value(const PiecewiseLinear& input, double time, double expected) {
  CAPTURE(time);
  CHECK(std::abs(input.value(time) - expected) < 1e-9);
}

TEST_CASE("without a pulse the command stays off") {
  const PiecewiseLinear input = command({}, {10 * ns, 10 * ns, 5 * ns, 5 * ns});
  CHECK(input.is_constant());
  CHECK(input.value(1.0) == 0.0);
}

TEST_CASE("a long pulse is delayed and ramped at both edges") {
  const PiecewiseLinear input = command({{100 * ns, 500 * ns}}, {20 * ns, 40 * ns, 30 * ns, 50 * ns});
  check_value(input, 0.0, 0.0);
  check_value(input, 130 * ns, 0.0);
  check_value(input, 140 * ns, 0.5);
  check_value(input, 150 * ns, 1.0);
  check_value(input, 550 * ns, 1.0);
  check_value(input, 570 * ns, 0.5);
  check_value(input, 590 * ns, 0.0);
  check_value(input, 1.0, 0.0);
}

TEST_CASE("a pulse shorter than its rise turns back from the level reached at the full fall's rate") {
  const PiecewiseLinear input = command({{0.0, 5 * ns}}, {20 * ns, 40 * ns, 0.0, 0.0});
  check_value(input, 5 * ns, 0.25);
  check_value(input, 10 * ns, 0.125);
  check_value(input, 15 * ns, 0.0);
  check_value(input, 20 * ns, 0.0);
}

TEST_CASE("a gap shorter than the fall turns back up from the level reached") {
  const PiecewiseLinear input = command({{0.0, 100 * ns}, {110 * ns, 200 * ns}}, {20 * ns, 40 * ns, 0.0, 0.0});
  check_value(input, 100 * ns, 1.0);
  check_value(input, 110 * ns, 0.75);
  check_value(input, 115 * ns, 1.0);
  check_value(input, 150 * ns, 1.0);
  check_value(input, 240 * ns, 0.0);
}

TEST_CASE("a pulse shorter than the excess of the turn-on delay disappears") {
  const CommandTiming slow_on{1 * ns, 1 * ns, 50 * ns, 10 * ns};
  CHECK(command({{0.0, 40 * ns}}, slow_on).value(60 * ns) == 0.0);
  CHECK(command({{0.0, 39 * ns}}, slow_on).is_constant());
  const PiecewiseLinear with_others = command({{0.0, 200 * ns}, {300 * ns, 330 * ns}, {400 * ns, 600 * ns}}, slow_on);
  check_value(with_others, 100 * ns, 1.0);
  for (const double time : {300 * ns, 345 * ns, 355 * ns, 400 * ns}) check_value(with_others, time, 0.0);
  check_value(with_others, 500 * ns, 1.0);
  check_value(with_others, 620 * ns, 0.0);
}

TEST_CASE("a gap shorter than the excess of the turn-off delay disappears") {
  const CommandTiming slow_off{1 * ns, 1 * ns, 10 * ns, 50 * ns};
  const PiecewiseLinear input = command({{0.0, 200 * ns}, {230 * ns, 400 * ns}}, slow_off);
  for (const double time : {100 * ns, 215 * ns, 245 * ns, 260 * ns, 440 * ns}) check_value(input, time, 1.0);
  check_value(input, 460 * ns, 0.0);
}

TEST_CASE("a longer turn-on delay shortens the pulse by the difference, a longer turn-off delay lengthens it") {
  const auto width = [](double on_delay, double off_delay) {
    const PiecewiseLinear input = command({{0.0, 200 * ns}}, {2 * ns, 2 * ns, on_delay, off_delay});
    const auto corners = input.corners();
    return corners[corners.size() - 2].time - corners[corners.size() - 4].time;
  };
  CHECK(width(30 * ns, 10 * ns) == gateswing_test::relative(180 * ns, 1e-6));
  CHECK(width(10 * ns, 30 * ns) == gateswing_test::relative(220 * ns, 1e-6));
}

TEST_CASE("edges without rise and fall time still take a picosecond, so that corners differ") {
  const PiecewiseLinear input = command({{0.0, 100 * ns}}, {});
  check_value(input, 0.0, 0.0);
  check_value(input, 1e-12, 1.0);
  check_value(input, 0.5e-12, 0.5);
  check_value(input, 100 * ns + 1e-12, 0.0);
}

TEST_CASE("the command stays between 0 and 1 and its corners increase, whatever the pulses") {
  for (const double on_delay : {0.0, 20 * ns, 70 * ns}) {
    for (const double off_delay : {0.0, 15 * ns, 90 * ns}) {
      for (const double width : {0.1 * ns, 3 * ns, 25 * ns, 80 * ns}) {
        std::vector<Pulse> pulses;
        for (int k = 0; k < 6; ++k) pulses.push_back({k * 100 * ns, k * 100 * ns + width});
        const PiecewiseLinear input = command(pulses, {30 * ns, 45 * ns, on_delay, off_delay});
        for (const Corner& corner : input.corners()) {
          CHECK(corner.value >= 0.0);
          CHECK(corner.value <= 1.0);
        }
      }
    }
  }
}

TEST_CASE("pulses out of order, overlapping or backward, and negative times, are refused") {
  const CommandTiming timing{1 * ns, 1 * ns, 0.0, 0.0};
  CHECK_FALSE(refusal([&] { command({{0.0, 20 * ns}, {10 * ns, 30 * ns}}, timing); }).empty());
  CHECK_FALSE(refusal([&] { command({{50 * ns, 60 * ns}, {10 * ns, 30 * ns}}, timing); }).empty());
  CHECK_FALSE(refusal([&] { command({{10 * ns, 0.0}}, timing); }).empty());
  CHECK_FALSE(refusal([&] { command({{0.0, 10 * ns}}, {-1 * ns, 1 * ns, 0.0, 0.0}); }).empty());
  CHECK_FALSE(refusal([&] { command({{0.0, 10 * ns}}, {1 * ns, 1 * ns, -5 * ns, 0.0}); }).empty());
}

/// The command repeats itself over its first two periods.
void check_repeats(const PeriodicCommand& command, double period) {
  for (int k = 0; k <= 200; ++k) {
    const double time = k * period / 200.0;
    check_value(command.level, time + period, command.level.value(time));
  }
}

TEST_CASE("a repeated pulse is delayed, ramped and repeated, whatever its delay") {
  for (const double delay : {0.0, 30.0, 990.0, 4300.0}) {
    CAPTURE(delay);
    const PeriodicCommand command =
        periodic_gate_command({0.0, 400 * ns}, 1000 * ns, {20 * ns, 40 * ns, delay * ns, (delay + 50) * ns});
    check_repeats(command, 1000 * ns);
    CHECK(std::abs(command.on - std::fmod(delay, 1000.0) * ns) < 1e-15);
    CHECK(command.on_duration == gateswing_test::relative(450 * ns, 1e-9));
    check_value(command.level, command.on + 10 * ns, 0.5);
    check_value(command.level, command.on + 200 * ns, 1.0);
    check_value(command.level, command.on + 470 * ns, 0.5);
    check_value(command.level, command.on + 500 * ns, 0.0);
  }
}

TEST_CASE("ramps too long for the pulse climb to the one end or fall to the other") {
  const PeriodicCommand high = periodic_gate_command({0.0, 600 * ns}, 1000 * ns, {3000 * ns, 3000 * ns, 0.0, 0.0});
  check_repeats(high, 1000 * ns);
  check_value(high.level, 600 * ns, 1.0);
  check_value(high.level, 1000 * ns, 1.0 - 0.4 / 3.0);
  const PeriodicCommand low = periodic_gate_command({0.0, 400 * ns}, 1000 * ns, {3000 * ns, 3000 * ns, 0.0, 0.0});
  check_repeats(low, 1000 * ns);
  check_value(low.level, 0.0, 0.0);
  check_value(low.level, 400 * ns, 0.4 / 3.0);
}

TEST_CASE("a repeated pulse that its delays swallow or join is a constant") {
  const PeriodicCommand off = periodic_gate_command({0.0, 100 * ns}, 1000 * ns, {10 * ns, 10 * ns, 200 * ns, 50 * ns});
  CHECK((off.level.is_constant() && off.level.value(0.0) == 0.0 && off.on_duration == 0.0));
  const PeriodicCommand on = periodic_gate_command({0.0, 900 * ns}, 1000 * ns, {10 * ns, 10 * ns, 0.0, 150 * ns});
  CHECK((on.level.is_constant() && on.level.value(0.0) == 1.0 && on.on_duration == 1000 * ns));
  CHECK(periodic_gate_command({0.0, 0.0}, 1.0, {0.0, 0.0, 0.0, 0.1}).on_duration == 0.0);
  CHECK(periodic_gate_command({0.0, 1.0}, 1.0, {0.0, 0.0, 0.1, 0.0}).on_duration == 1.0);
}

TEST_CASE("a repeated pulse longer than its period, or one that is not finite, is refused") {
  for (const double off : {-1.0, 1.5, std::nan("")}) {
    CHECK(refusal([&] { periodic_gate_command({0.0, off}, 1.0, {}); }).find("period") != std::string::npos);
  }
  CHECK(refusal([] { periodic_gate_command({0.0, 0.0}, 0.0, {}); }).find("period") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::network::test
