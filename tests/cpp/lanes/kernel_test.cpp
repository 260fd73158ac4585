// Which kernels there are on this machine.
#include "gateswing/lanes/kernel.h"

#include <doctest/doctest.h>

#include <algorithm>

namespace gateswing::lanes::test {
namespace {

// Named in CMakeLists.txt: CTest shows it as skipped where the tests of lanes look at nothing.
TEST_CASE("lanes run on this machine") {
  if (kernels().empty()) {
    MESSAGE("skipped: no kernel of lanes runs on this machine, and all that tests say of lanes is untested");
    return;
  }
  CHECK(std::ranges::is_sorted(kernels(), std::ranges::greater(), &Kernel::width));
  for (const Kernel& kernel : kernels()) {
    const bool there = kernel.advance != nullptr;
    CHECK(there);
  }
}

}  // namespace
}  // namespace gateswing::lanes::test
