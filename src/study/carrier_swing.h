#pragma once
// What swings after a rapid move when a line hangs on a support that gives way: all lines on it,
// and what carries them or lets them slide. For study/check_swing.h.

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "study/context.h"
#include "study/free_run.h"
#include "study/swing_system.h"

namespace bight::study {

class CarrierSwing : public SwingSystem {
 public:
  /// `run` is on a support; `line` of it is the one that is watched.
  CarrierSwing(const Context& context, const FreeRun& run, const std::string& line);

  bool moved_by(std::size_t joint) const override;
  std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                         std::size_t joint, double sense) const override;
  double period_s(const free::Pose& pose) const override;
  double beyond(const free::Pose& after, const rod::SwingResult& swing) const override;

 private:
  Vec3 place(const free::Pose& pose) const;
  double tail_kg(double length_mm) const;
  rod::Sheave sheave(double length_mm, double slid_mm) const;

  std::shared_ptr<const MovingSupport> support_;
  std::vector<HungSpan> spans_;
  std::vector<SwingRod> rods_;  ///< one a span, from anchor to support
  std::size_t watched_ = 0;
};

}  // namespace bight::study
