// Circuits of arbitrary bytes, as the fuzzer makes them: those that it once broke the core with, and drawn ones.
#include <doctest/doctest.h>

#include <array>
#include <random>
#include <vector>

#include "simulate/fuzzed_network.h"

namespace gateswing::simulate::test {
namespace {

using Bytes = std::vector<std::uint8_t>;

TEST_CASE("bytes that the fuzzer found a fault with have a fate") {
  const std::array<Bytes, 1> found{
      // Resistive voltages without a state beside them: Eigen solved for an empty right-hand side.
      Bytes{0x60, 0x6f, 0xc3, 0x00, 0x00, 0x55, 0x6b, 0xde, 0xc3, 0xaf, 0xbe, 0xc0},
  };
  for (const Bytes& bytes : found) CHECK_NOTHROW(run_network_of(bytes));
}

TEST_CASE("circuits of drawn bytes are refused or run to a status") {
  std::mt19937 engine(20261126);
  std::array<int, 4> fates{};
  for (int number = 0; number < 1000; ++number) {
    CAPTURE(number);
    Bytes bytes(20 + engine() % 280);
    for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(engine());
    Fate fate{};
    CHECK_NOTHROW(fate = run_network_of(bytes));
    ++fates.at(static_cast<std::size_t>(fate));
  }
  CAPTURE(fates[0]);
  CAPTURE(fates[1]);
  CAPTURE(fates[2]);
  CAPTURE(fates[3]);
  for (const int count : fates) CHECK(count > 0);
}

}  // namespace
}  // namespace gateswing::simulate::test
