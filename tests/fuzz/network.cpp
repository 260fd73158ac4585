// libFuzzer's way into the core: `./dev fuzz` builds it with clang and both sanitizers.
#include <cstddef>
#include <cstdint>

#include "simulate/fuzzed_network.h"

// The name and the result are libFuzzer's.
// NOLINTNEXTLINE(readability-identifier-naming)
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  gateswing::simulate::test::run_network_of({data, size});
  return 0;
}
