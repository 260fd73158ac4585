#include "gateswing/lanes/elimination.h"

#include <algorithm>

namespace gateswing::lanes {
namespace {

int degree(const Pattern& pattern, const std::vector<char>& gone, int state) {
  int count = 0;
  for (int other = 0; other < pattern.size; ++other) {
    if (gone[static_cast<std::size_t>(other)] == 0 && (pattern(state, other) != 0 || pattern(other, state) != 0))
      ++count;
  }
  return count;
}

/// Order of elimination; adds to the pattern what fills up.
std::vector<int> order_and_fill(Pattern& pattern) {
  std::vector<int> order;
  std::vector<char> gone(static_cast<std::size_t>(pattern.size), 0);
  for (int step = 0; step < pattern.size; ++step) {
    int best = -1;
    for (int state = 0; state < pattern.size; ++state) {
      if (gone[static_cast<std::size_t>(state)] != 0) continue;
      if (best < 0 || degree(pattern, gone, state) < degree(pattern, gone, best)) best = state;
    }
    gone[static_cast<std::size_t>(best)] = 1;
    order.push_back(best);
    for (int row = 0; row < pattern.size; ++row) {
      if (gone[static_cast<std::size_t>(row)] != 0 || pattern(row, best) == 0) continue;
      for (int column = 0; column < pattern.size; ++column) {
        if (gone[static_cast<std::size_t>(column)] == 0 && pattern(best, column) != 0) pattern(row, column) = 1;
      }
    }
  }
  return order;
}

class Planner {
 public:
  explicit Planner(Pattern pattern) : order_(order_and_fill(pattern)), pattern_(std::move(pattern)) {}

  Elimination plan() {
    number_slots();
    for (int i = 0; i < pattern_.size; ++i) {
      for (int j = 0; j < pattern_.size; ++j) {
        if (present(i, j)) add_entry(i, j);
      }
    }
    for (int i = 0; i < pattern_.size; ++i) {
      add_row(i, 0, i, result_.forward, result_.forward_factors);
      const int last = pattern_.size - 1 - i;
      add_row(last, last + 1, pattern_.size, result_.backward, result_.backward_factors);
    }
    return std::move(result_);
  }

 private:
  void number_slots() {
    for (const char occupied : pattern_.occupied) result_.slot_of.push_back(occupied != 0 ? result_.slots++ : -1);
  }

  // i and j are positions in the order of elimination.
  [[nodiscard]] int state(int i) const { return order_[static_cast<std::size_t>(i)]; }
  [[nodiscard]] bool present(int i, int j) const { return pattern_(state(i), state(j)) != 0; }
  [[nodiscard]] int slot(int i, int j) const { return result_.slot_of[place(state(i), state(j), pattern_.size)]; }

  void add_entry(int i, int j) {
    for (int k = 0; k < std::min(i, j); ++k) {
      if (present(i, k) && present(k, j)) result_.products.push_back({slot(i, k), slot(k, j)});
    }
    const Elimination::Part part = j < i    ? Elimination::Part::lower
                                   : j == i ? Elimination::Part::diagonal
                                            : Elimination::Part::upper;
    result_.entries.push_back({part, slot(i, j), state(std::min(i, j)), static_cast<int>(result_.products.size())});
  }

  void add_row(int i, int begin, int end, std::vector<Elimination::Row>& rows,
               std::vector<Elimination::Factor>& factors) const {
    for (int j = begin; j < end; ++j) {
      if (present(i, j)) factors.push_back({slot(i, j), state(j)});
    }
    rows.push_back({state(i), static_cast<int>(factors.size())});
  }

  std::vector<int> order_;
  Pattern pattern_;
  Elimination result_;
};

}  // namespace

std::optional<Elimination> plan_elimination(Pattern pattern) {
  for (int state = 0; state < pattern.size; ++state) {
    if (pattern(state, state) == 0) return std::nullopt;
  }
  return Planner(std::move(pattern)).plan();
}

}  // namespace gateswing::lanes
