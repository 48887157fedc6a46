#pragma once
// What carries what: the part that an anchor, a support, a bracket or a switch is fastened to, what
// that part stands on, and so what has to move when one of them does, or it would hang in the air.
// For the candidates of study/suggest.
//
// Told from the shapes: a thing is on the nearest part of its own body within the reach of a clip
// or a bracket; parts of one body that touch hold each other. Where a plan draws nothing near (a
// hook without its ceiling), nothing has to follow.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "study/suggest_edit.h"

namespace bight::study {

/// Changes that move something and everything that has to follow, smallest first.
using Ways = std::vector<std::vector<PlanChange>>;

class Carriers {
 public:
  explicit Carriers(const Context& context);
  ~Carriers();
  Carriers(const Carriers&) = delete;
  Carriers& operator=(const Carriers&) = delete;

  /// Ways to bring an anchor or a support to another place: alone where something carries it there,
  /// too; else its part grown or cut, moved, or moved on a longer foot. Empty: it would hang in the
  /// air. `why` follows in the sentence of a move alone.
  Ways move_hold(const std::string& hold, const Vec3& to, const std::string& why) const;

  /// Several anchors and supports by the same way, what carries them as far as it has to.
  Ways move_holds(const std::vector<std::string>& holds, const Vec3& shift,
                  const std::string& why) const;

  /// The same for a bracket of a chain.
  Ways move_bracket(const plan::Chain& chain, Bracket bracket, const Vec3& shift,
                    const std::string& why) const;

  /// A whole chain with both brackets.
  Ways move_chain(const plan::Chain& chain, const Vec3& shift, const std::string& why) const;

  /// A part with all that it carries; `why` follows "move bench". Surroundings stand by themselves.
  Ways move_part(const std::string& part, const Vec3& shift, const std::string& why) const;

 private:
  class Impl;
  std::unique_ptr<const Impl> impl_;
};

}  // namespace bight::study
