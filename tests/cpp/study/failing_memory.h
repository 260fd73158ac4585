// Memory that runs out when a test says so, and whose uses are counted.
#pragma once

#include <new>

namespace gateswing::study::test {

/// While it lives, the `nth` allocation from now, the first being 0, throws std::bad_alloc; those after it succeed.
class FailingAllocation {
 public:
  explicit FailingAllocation(long nth);
  FailingAllocation(const FailingAllocation&) = delete;
  FailingAllocation& operator=(const FailingAllocation&) = delete;
  FailingAllocation(FailingAllocation&&) = delete;
  FailingAllocation& operator=(FailingAllocation&&) = delete;
  ~FailingAllocation();

  [[nodiscard]] static bool happened();
};

/// Allocations of this program until now, of Eigen too; below zero where they cannot be counted.
long allocations();

}  // namespace gateswing::study::test
