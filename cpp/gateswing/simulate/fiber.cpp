#include "gateswing/simulate/fiber.h"

#include <sys/mman.h>
#include <ucontext.h>
#include <unistd.h>

#include <cassert>
#include <new>
#include <utility>

#ifdef __SANITIZE_ADDRESS__
#include <sanitizer/common_interface_defs.h>
#endif

namespace gateswing::simulate {
namespace {

constexpr std::size_t stack_size = std::size_t{1} << 20U;  // reserved; pages are taken when they are touched

thread_local Fiber* running_fiber = nullptr;

/// Unwinds a body that is not gone on with; no std::exception, so that no study takes it for a failure of its own.
struct GivenUp {};

/// Memory of a stack, with a page below it that faults, so that an overflow ends the program and spoils nothing.
class Stack {
 public:
  Stack() {
    void* const place =
        mmap(nullptr, page() + stack_size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    if (place == MAP_FAILED) throw std::bad_alloc();
    memory_ = static_cast<std::byte*>(place);
    if (mprotect(memory_, page(), PROT_NONE) != 0) {
      munmap(memory_, page() + stack_size);
      throw std::bad_alloc();
    }
  }
  Stack(const Stack&) = delete;
  Stack& operator=(const Stack&) = delete;
  Stack(Stack&&) = delete;
  Stack& operator=(Stack&&) = delete;
  ~Stack() { munmap(memory_, page() + stack_size); }

  [[nodiscard]] std::byte* bottom() const { return memory_ + page(); }

 private:
  static std::size_t page() { return static_cast<std::size_t>(sysconf(_SC_PAGESIZE)); }

  std::byte* memory_;
};

}  // namespace

struct Fiber::Context {
  Stack stack;
  ucontext_t inside{};
  ucontext_t outside{};
  // What the address sanitizer must be told of a change of stacks.
  void* outer_shadow = nullptr;
  void* inner_shadow = nullptr;
  const void* outer_bottom = nullptr;
  std::size_t outer_size = 0;
};

Fiber::Fiber(std::function<void()> body) : body_(std::move(body)), context_(std::make_unique<Context>()) {
  ucontext_t& inside = context_->inside;
  getcontext(&inside);
  inside.uc_stack.ss_sp = context_->stack.bottom();
  inside.uc_stack.ss_size = stack_size;
  makecontext(&inside, &Fiber::enter, 0);
}

Fiber::~Fiber() {
  if (!begun_ || ended_) return;
  given_up_ = true;
  visit();
}

Fiber* Fiber::running() {
  return running_fiber;
}

void Fiber::resume() {
  visit();
  if (failure_) std::rethrow_exception(std::exchange(failure_, nullptr));
}

void Fiber::visit() {
  assert(running_fiber == nullptr && !ended_);
  running_fiber = this;
  begun_ = true;
  switch_in();
  running_fiber = nullptr;
}

void Fiber::pause() {
  Fiber& self = *running_fiber;
  assert(self.given_up_ || !std::current_exception());
  if (!self.given_up_) self.switch_out(false);
  if (self.given_up_) throw GivenUp();  // NOLINT(bugprone-std-exception-baseclass)
}

/// The bottom of the fiber's stack: nothing may unwind past it.
void Fiber::enter() {
  Fiber& self = *running_fiber;
#ifdef __SANITIZE_ADDRESS__
  __sanitizer_finish_switch_fiber(nullptr, &self.context_->outer_bottom, &self.context_->outer_size);
#endif
  try {
    self.body_();
  } catch (...) {
    self.failure_ = std::current_exception();
  }
  self.ended_ = true;
  self.switch_out(true);
}

void Fiber::switch_in() {
#ifdef __SANITIZE_ADDRESS__
  __sanitizer_start_switch_fiber(&context_->outer_shadow, context_->stack.bottom(), stack_size);
#endif
  swapcontext(&context_->outside, &context_->inside);
#ifdef __SANITIZE_ADDRESS__
  __sanitizer_finish_switch_fiber(context_->outer_shadow, nullptr, nullptr);
#endif
}

void Fiber::switch_out([[maybe_unused]] bool for_good) {
#ifdef __SANITIZE_ADDRESS__
  __sanitizer_start_switch_fiber(for_good ? nullptr : &context_->inner_shadow, context_->outer_bottom,
                                 context_->outer_size);
#endif
  swapcontext(&context_->inside, &context_->outside);
#ifdef __SANITIZE_ADDRESS__
  __sanitizer_finish_switch_fiber(context_->inner_shadow, &context_->outer_bottom, &context_->outer_size);
#endif
}

}  // namespace gateswing::simulate
