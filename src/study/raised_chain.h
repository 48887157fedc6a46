#pragma once
// A drag chain whose brackets stand farther apart than 2 R, as other things meet it. It has no
// ideal loop that rolls through its travel, so no mover stands for it: there are pieces that hold
// its links whatever they do, for a proof, and its simulated links at any value of its joint, for a
// sample.

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "study/mover.h"
#include "study/simulated_chain.h"

namespace bight::study {

class RaisedChain {
 public:
  /// `simulated` must outlive it, and be raised.
  RaisedChain(const Context& context, const SimulatedChain& simulated);

  const SimulatedChain& simulated() const { return *simulated_; }
  std::size_t joint() const { return simulated_->frame.joint; }
  /// Name and rules, without a solid; moves as the links of links_at() do.
  const Mover& self() const { return self_; }
  /// Wherever the links can be (chain/reach_bodies.h). Empty where nothing is known.
  const std::vector<Mover>& reach() const { return reach_; }
  /// Box around reach() at a pose, in the frame of the plan; all of space where nothing is known.
  Box reach_box(const std::vector<double>& pose) const;

  /// Values of its joint to sample, rising, both ends among them where it has a shape there. Pieces
  /// are solved directly: then neighbours let the bend pass by no more than half the height of a
  /// link, as far as 200 values do (fewer for a chain of very many links). As a rod: the poses that
  /// were simulated.
  const std::vector<double>& values() const { return values_; }
  /// Every simulated pose has a shape.
  bool known_all_over() const { return known_all_over_; }
  /// Some of the simulated poses were solved as a rod, or tried to be, which takes long.
  bool by_rod() const { return by_rod_; }
  /// Of links_at(), at the simulated poses.
  double largest_error_mm() const { return largest_error_mm_; }

  /// The links, and by how much they may be elsewhere (ChainShape::error_mm, an estimate); without
  /// a solid where no shape is known.
  struct Links {
    std::shared_ptr<const shape::Solid> solid;
    double error_mm = 0.0;
  };
  /// With its joint at `value`, in the frame of self(). What was solved is kept; several threads
  /// may ask at once.
  Links links_at(double value) const;

 private:
  struct Solved;

  const SimulatedChain* simulated_;
  Mover self_;
  std::vector<Mover> reach_;
  std::vector<Box> reach_boxes_;
  std::vector<double> values_;
  bool known_all_over_ = false;
  bool by_rod_ = false;
  double largest_error_mm_ = 0.0;
  std::shared_ptr<Solved> solved_;
};

/// At most so many (2 or more) of the values in order, both ends among them, as evenly as they are.
std::vector<double> thinned(std::vector<double> values, std::size_t most);

/// Of the simulated chains those that are raised.
std::vector<RaisedChain> raised_chains(const Context& context,
                                       const std::vector<std::optional<SimulatedChain>>& simulated);

}  // namespace bight::study
