// A function that can be left in its midst and gone on with later, on the same thread.
#pragma once

#include <cstddef>
#include <exception>
#include <functional>
#include <memory>

namespace gateswing::simulate {

/// Runs `body` on a stack of its own. Costs two switches of context per visit, some hundred nanoseconds, and memory for
/// the pages of the stack that were touched. Of one thread: it resumes, pauses and ends where it was made.
class Fiber {
 public:
  /// Throws std::bad_alloc where there is no memory for the stack.
  explicit Fiber(std::function<void()> body);
  Fiber(const Fiber&) = delete;
  Fiber& operator=(const Fiber&) = delete;
  Fiber(Fiber&&) = delete;
  Fiber& operator=(Fiber&&) = delete;
  /// Gives up a body that was left in its midst: the pause in which it waits, and each later one, throws what is no
  /// std::exception, so that what the body holds is destroyed. Not from within a fiber.
  ~Fiber();

  /// Runs the body until it pauses or ends; what it throws comes out here. Not from within a fiber.
  void resume();

  [[nodiscard]] bool ended() const { return ended_; }

  /// Back to where the fiber that is running was resumed. Not while an exception is handled: the language keeps one
  /// list of those for the whole thread.
  static void pause();

  /// The fiber that is running on this thread; null outside of all.
  static Fiber* running();

 private:
  struct Context;

  static void enter();
  void visit();
  void switch_in();
  void switch_out(bool for_good);

  std::function<void()> body_;
  std::unique_ptr<Context> context_;
  std::exception_ptr failure_;
  bool begun_ = false, ended_ = false, given_up_ = false;
};

}  // namespace gateswing::simulate
