// Memory that runs out when a test says so, and whose uses are counted. Programs that include this are linked with
// failing_memory.cpp.
#pragma once

#include <new>

namespace gateswing_test {

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

/// Allocations of this program until now; those of Eigen too where the C library is glibc and no sanitizer stands
/// before it.
long allocations();

}  // namespace gateswing_test
