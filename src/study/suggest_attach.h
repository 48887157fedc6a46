#pragma once
// Which parts of one body hold each other, and which part a thing is fastened to. For
// study/suggest_carry.

#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/box.h"
#include "study/context.h"

namespace bight::study {

/// mm. Parts that come this near are taken to be joined: drawn by a tape.
inline constexpr double k_touch_mm = 1.0;

using PartSet = std::set<std::size_t>;  ///< indices of Machine::parts

class Attachments {
 public:
  explicit Attachments(const Context& context);

  /// The part of the body nearest to a point, within `reach_mm`. Surroundings carry, but are not
  /// moved for what they carry: they do not count.
  std::optional<std::size_t> carrier(const std::string& body, const Vec3& point,
                                     double reach_mm) const;

  /// Can it be moved: written in the plan file as a part of its own?
  bool may_move(std::size_t part) const;
  const plan::Part& in_plan(std::size_t part) const;  ///< of one that may
  const std::string& name(std::size_t part) const;
  std::optional<std::size_t> index_of(const std::string& name) const;
  const Box& box(std::size_t part) const { return boxes_[part]; }

  /// Parts of its body that it touches.
  const std::vector<std::size_t>& contacts(std::size_t part) const { return contacts_[part]; }
  bool touch(std::size_t a, const Vec3& shift_of_a, std::size_t b) const;

  /// Parts that are held by the given ones alone: without them they would be in the air.
  PartSet with_dependents(const PartSet& parts) const;

  /// The given part and all that has to move with it so that what was joined to the rest of its
  /// body still is; nothing when that takes a part that may not move.
  std::optional<PartSet> group(std::size_t part, const Vec3& shift) const;

 private:
  bool is_root(std::size_t part) const { return roots_.count(part) > 0; }
  PartSet reached_without(const PartSet& parts, std::size_t body) const;

  const Context& context_;
  std::vector<Box> boxes_;
  std::vector<std::optional<std::size_t>> in_plan_;  ///< index of plan.parts
  std::vector<std::vector<std::size_t>> contacts_;
  PartSet roots_;  ///< what a body is built on: of the frame, else its largest part
};

}  // namespace bight::study
