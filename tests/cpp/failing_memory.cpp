// Every allocation of this program goes through here, so that a chosen one fails.
#include "failing_memory.h"

#include <atomic>
#include <cstdlib>

namespace {

std::atomic<long> left = -1;  // allocations before the one that fails; below zero: none does

std::atomic<long> counted = 0;

#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__)
constexpr bool counts_malloc = true;
#else
constexpr bool counts_malloc = false;
#endif

void* allocated(std::size_t size) {
  if (!counts_malloc) counted.fetch_add(1, std::memory_order_relaxed);
  if (left.load(std::memory_order_relaxed) >= 0 && left.fetch_sub(1) == 0) throw std::bad_alloc();
  if (void* memory = std::malloc(size)) return memory;
  throw std::bad_alloc();
}

}  // namespace

#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__)
// In the place of the C library's, which stands behind it.
extern "C" {
void* __libc_malloc(std::size_t size);
void* malloc(std::size_t size) {
  counted.fetch_add(1, std::memory_order_relaxed);
  return __libc_malloc(size);
}
}
#endif

void* operator new(std::size_t size) {
  return allocated(size);
}
void* operator new[](std::size_t size) {
  return allocated(size);
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete[](void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
  std::free(memory);
}

namespace gateswing_test {

FailingAllocation::FailingAllocation(long nth) {
  left = nth;
}

FailingAllocation::~FailingAllocation() {
  left = -1;
}

bool FailingAllocation::happened() {
  return left < 0;
}

long allocations() {
  return counted;
}

}  // namespace gateswing_test
