#pragma once
// The lines on an overhead support as rods with bending stiffness, wherever the support is put at a
// pose of the machine: what they pull it with. And what its free coordinate feels of these pulls.

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "plan/plan.h"
#include "study/hung_span.h"

namespace bight::study {

/// All lines on a support: over a pulley with a tie-off, its other side is a line of its own.
std::vector<HungSpan> all_spans(const plan::Support& support, const std::vector<HungSpan>& spans);

/// Length of line `i` of these when that of the first one is the support's coordinate (0: it is
/// not).
double length_of(const HungSpan& span, std::size_t i, double length_mm);

/// Of a line on its support.
struct SpanForce {
  Vec3 force_N{0.0};
  Vec3 leaving{0.0};  ///< unit tangent with which it leaves the support
  double pull_N() const { return glm::dot(force_N, leaving); }
};

/// Forces of all lines with the support moved from plan::Support::at; empty when one has no shape
/// there. `length_mm` > 0: of the first line; a second one has the rest of its own.
using SpanForces = std::function<std::vector<SpanForce>(const Vec3& shift, double length_mm)>;

/// Each line's shape is followed from place to place, and begun anew where it has been lost.
class HungRods {
 public:
  HungRods(std::vector<HungSpan> spans, free::Pose pose);
  HungRods(const HungRods&) = delete;
  HungRods& operator=(const HungRods&) = delete;
  HungRods(HungRods&&) = delete;
  HungRods& operator=(HungRods&&) = delete;
  ~HungRods() = default;

  /// As SpanForces. A line with less slack than rounding tells has no shape.
  std::vector<SpanForce> at(const Vec3& shift, double length_mm);
  double weight_N() const { return weight_N_; }  ///< of all lines

 private:
  std::vector<HungSpan> spans_;
  free::Pose pose_;
  std::vector<RodHold::At> place_;  ///< one a line, read by its rod
  std::vector<Vec3> at_rest_;       ///< its end on the support where this is not moved
  std::vector<FreeRunRod> rods_;
  double weight_N_ = 0.0;
};

/// The same lines, limp.
SpanForces limp_forces(const std::vector<HungSpan>& spans, const free::Pose& pose,
                       const Vec3& support);

/// At a value of the coordinate: force towards larger ones, what friction holds, and the load.
struct AlongForce {
  double force = 0.0;  ///< N; boom: at its tip
  double friction = 0.0;
  Vec3 shift{0.0};
  double length_mm = 0.0;
  Vec3 load_N{0.0};
};

/// Of a trolley, boom, pulley or retractor; nothing where a line has no shape. `line_mm`: over a
/// pulley, of the whole line, `mass_kg_m` of a metre of it.
std::optional<AlongForce> along_force(const plan::Support& support, const SpanForces& forces,
                                      double line_mm, double mass_kg_m, double coordinate);

}  // namespace bight::study
