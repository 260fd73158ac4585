// The stretch of time a measure looks at, and the walk over the waveform's steps within it.
#pragma once

#include <cstddef>

#include "gateswing/waveform/waveform.h"

namespace gateswing::measure {

// [begin, end] in [s], begin <= end. A measure refuses a window that reaches beyond the waveform: an energy over less
// time than was asked for would be too small without a word.
struct Window {
  double begin;
  double end;

  double length() const { return end - begin; }
};

Window whole(const waveform::Waveform& waveform);

// The part of `window` that the waveform covers; an error where there is none.
Window clipped(const waveform::Waveform& waveform, Window window);

// The part of one step that lies in a window: [begin, end] in [s], and in the step's local variable [from, to].
struct Piece {
  std::size_t step;
  double step_begin;
  double step_end;
  double begin;
  double end;
  double from;
  double to;

  // Time [s] of local variable s; of the piece's ends exactly theirs.
  double time(double s) const {
    if (s == from) return begin;
    if (s == to) return end;
    return step_begin + 0.5 * (s + 1.0) * (step_end - step_begin);
  }

  // d/dt of a polynomial in s is this [1/s] times its derivative.
  double slope_factor() const { return 2.0 / (step_end - step_begin); }
};

// The pieces of a window in order of time, at least one; for use in a range-based for.
class Pieces {
 public:
  Pieces(const waveform::Waveform& waveform, Window window);

  class Iterator {
   public:
    Iterator(const Pieces& pieces, std::size_t step) : pieces_(&pieces), step_(step) {}
    Piece operator*() const { return pieces_->piece(step_); }
    Iterator& operator++() {
      ++step_;
      return *this;
    }
    bool operator==(const Iterator&) const = default;

   private:
    const Pieces* pieces_;
    std::size_t step_;
  };

  Iterator begin() const { return {*this, first_}; }
  Iterator end() const { return {*this, past_}; }

 private:
  Piece piece(std::size_t step) const;

  const waveform::Waveform& waveform_;
  Window window_;
  std::size_t first_;
  std::size_t past_;
};

// The value of `polynomial` (that of `channel` in the piece's step) at the piece's local variable `s`: at a step's ends
// the stored node, so that both sides of a continuous joint give the very same number.
double value_at(const waveform::Waveform& waveform, std::size_t channel, const waveform::Polynomial& polynomial,
                const Piece& piece, double s);

}  // namespace gateswing::measure
