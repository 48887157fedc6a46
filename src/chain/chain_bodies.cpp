#include "chain/chain_bodies.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/check.h"
#include "base/tolerance.h"
#include "shape/primitive.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

/// How far the turn of real links differs from the half circle. Pins on R: link middles run inside
/// it; middles on R: pins run outside it. A turn is shorter or longer than pi R accordingly, which
/// shifts the bend.
struct TurnBand {
  double inner_mm = 0.0;  ///< least radius of the inside of the links
  double outer_mm = 0.0;  ///< greatest radius of their outside
  double shift_mm = 0.0;  ///< the bend's middle may lie this far to either side of x_b
};

TurnBand turn_band(double radius, double pitch, double outer_height, double mounted_height) {
  const double half_link = 0.5 * pitch;
  const double middles = std::sqrt(radius * radius - half_link * half_link);
  const double pins = std::hypot(radius, half_link);
  const double half_angle_pins = std::asin(half_link / radius);
  const double half_angle_middles = std::atan(half_link / radius);
  // Length of the turn: links of pitch p at the joint limit 2 a take p pi/(2 a) over 180 deg.
  const double shorter = pi * (radius - half_link / half_angle_pins);
  const double longer = pi * (half_link / half_angle_middles - radius);
  const double off = std::abs(0.5 * mounted_height - radius);
  return {std::max(0.0, std::min(middles, 0.5 * mounted_height) - 0.5 * outer_height),
          std::max(pins, 0.5 * mounted_height) + 0.5 * outer_height,
          0.5 * (std::max(shorter, longer) + pi * off)};
}

/// Cross-section of the bend in loop coordinates about the middle of the half circle: the band that
/// half rings cover whose middle lies within +-shift. Outer facets are tangent from outside, inner
/// ones cut off the hollow's edge, so the true ring lies inside.
std::vector<Vec2> bend_outline(const TurnBand& band) {
  const double ratio = k_facet_tolerance_mm / band.outer_mm;
  const int facets =
      std::clamp(static_cast<int>(std::ceil(pi / (2.0 * std::acos(1.0 / (1.0 + ratio))))), 8, 96);
  const double step = pi / facets;
  std::vector<Vec2> outline{{-band.shift_mm, -band.outer_mm}, {band.shift_mm, -band.outer_mm}};
  for (int k = 0; k < facets; ++k) {
    const double angle = -0.5 * pi + (k + 0.5) * step;
    const double r = band.outer_mm / std::cos(0.5 * step);
    outline.emplace_back(band.shift_mm + r * std::cos(angle), r * std::sin(angle));
  }
  outline.emplace_back(band.shift_mm, band.outer_mm);
  outline.emplace_back(-band.shift_mm, band.outer_mm);
  if (band.inner_mm <= k_facet_tolerance_mm) return outline;
  outline.emplace_back(-band.shift_mm, band.inner_mm);
  for (int k = facets - 1; k > 0; --k) {
    const double angle = -0.5 * pi + k * step;
    outline.emplace_back(-band.shift_mm + band.inner_mm * std::cos(angle),
                         band.inner_mm * std::sin(angle));
  }
  outline.emplace_back(-band.shift_mm, -band.inner_mm);
  return outline;
}

/// Run lengths that part the growth of a run from `shortest` to `longest` into intervals. A tail
/// must hold the growth and a link's length (the link at the bend's edge already tilts), yet reach
/// back past the bracket by no more than `over_reach`: small steps up to a pitch, doubling beyond.
std::vector<double> run_lengths(double shortest, double longest, double pitch, double over_reach) {
  std::vector<double> lengths{shortest};
  while (lengths.back() < longest) {
    const double r = lengths.back();
    const double next = r < pitch ? r + over_reach : 2.0 * r + over_reach;
    lengths.push_back(std::min(next, longest));
  }
  if (lengths.size() == 1) lengths.push_back(longest);  // no travel: one interval, no growth
  return lengths;
}

class Builder {
 public:
  Builder(const plan::Chain& chain, const machine::Machine& machine, const ChainFrame& frame)
      : chain_(chain), frame_(frame) {
    fixed_motion_ = machine.bodies[machine.body_index(chain.fixed_body)].motion;
    moving_motion_ = machine.bodies[machine.body_index(chain.moving_body)].motion;
    for (std::size_t j = 0; j < fixed_motion_.size(); ++j) {
      bend_motion_.push_back(0.5 * (fixed_motion_[j] + moving_motion_[j]));
    }
    band_ = turn_band(chain.bend_radius, chain.pitch, chain.outer_height, frame.height_mm);
    bend_at_zero_ = loop_at(frame.loop, frame.size.length_mm, frame.offset_mm).bend_mm;
  }

  double allowance() const {
    const double outside = band_.outer_mm - (chain_.bend_radius + 0.5 * chain_.outer_height);
    const double inside = chain_.bend_radius - 0.5 * chain_.outer_height - band_.inner_mm;
    return band_.shift_mm + std::max(outside, inside);
  }

  ChainPiece bend() const {
    Diagnostics none;
    const auto mesh =
        shape::make_profile(bend_outline(band_), {0.0, 0.0, -0.5 * chain_.outer_width},
                            shape::Axis::z, chain_.outer_width, {}, none);
    BIGHT_CHECK(mesh.has_value());
    return {chain_.name + " bend", ChainPart::bend,
            in_plan(shape::translated(*mesh, {bend_at_zero_, 0.5 * frame_.height_mm, 0.0})),
            bend_motion_,
            joint_interval(frame_, frame_.loop.moving_mm[0], frame_.loop.moving_mm[1])};
  }

  /// The two pieces of a run while it grows from `r0` to `r1`.
  void add_run(ChainPart part, double r0, double r1, std::vector<ChainPiece>& pieces) const {
    const bool fixed = part == ChainPart::fixed_run;
    const double start = fixed ? 0.0 : frame_.offset_mm;
    const double y = fixed ? 0.0 : frame_.height_mm;
    // The fixed run grows with x_M, the moving run shrinks: x_b - x_F and x_b - x_M with
    // x_b = (L - pi R + x_F + x_M)/2.
    const double sum = frame_.size.length_mm - pi * chain_.bend_radius;
    const auto moving_at = [&](double r) { return fixed ? 2.0 * r - sum : sum - 2.0 * r; };
    const std::array<double, 2> joint_values = joint_interval(frame_, moving_at(r0), moving_at(r1));
    const std::string name = chain_.name + (fixed ? " fixed run" : " moving run");
    const double half = 0.5 * chain_.outer_height;
    if (r0 > k_length_equal_mm) {
      pieces.push_back({name, part, slab(start, start + r0, y - half, y + half),
                        fixed ? fixed_motion_ : moving_motion_, joint_values});
    }
    const double tail = std::max(r1 - r0, std::min(chain_.pitch, r1));
    if (!(tail > k_length_equal_mm)) return;
    const double outside = band_.outer_mm - 0.5 * frame_.height_mm;
    const double inside = 0.5 * frame_.height_mm - band_.inner_mm;
    const double front = bend_at_zero_ - band_.shift_mm;
    pieces.push_back({name, part,
                      fixed ? slab(front - tail, front, y - outside, y + inside)
                            : slab(front - tail, front, y - inside, y + outside),
                      bend_motion_, joint_values});
  }

 private:
  shape::Mesh in_plan(shape::Mesh mesh) const {
    return shape::placed(std::move(mesh), Mat3(frame_.along, frame_.normal, frame_.across),
                         chain_.fixed_at);
  }

  shape::Mesh slab(double x0, double x1, double y0, double y1) const {
    return in_plan(shape::make_box({x0, y0, -0.5 * chain_.outer_width},
                                   {x1 - x0, y1 - y0, chain_.outer_width}));
  }

  const plan::Chain& chain_;
  const ChainFrame& frame_;
  std::vector<Vec3> fixed_motion_, moving_motion_, bend_motion_;
  TurnBand band_;
  double bend_at_zero_ = 0.0;
};

}  // namespace

ChainBodies chain_bodies(const plan::Chain& chain, const machine::Machine& machine,
                         const ChainBodyOptions& options) {
  BIGHT_CHECK(options.over_reach_mm > 0.0);
  ChainBodies result;
  result.frame = chain_frame(chain, machine);
  if (result.frame.status != ChainStatus::ok) return result;
  const Builder builder(chain, machine, result.frame);
  result.polygon_allowance_mm = builder.allowance();
  const LoopResult& size = result.frame.size;
  const auto add_runs = [&](ChainPart part, double shortest, double longest) {
    const std::vector<double> lengths =
        run_lengths(std::max(0.0, shortest), longest, chain.pitch, options.over_reach_mm);
    for (std::size_t i = 0; i + 1 < lengths.size(); ++i) {
      builder.add_run(part, lengths[i], lengths[i + 1], result.pieces);
    }
  };
  add_runs(ChainPart::fixed_run, size.at_low.fixed_run_mm, size.at_high.fixed_run_mm);
  result.pieces.push_back(builder.bend());
  add_runs(ChainPart::moving_run, size.at_high.moving_run_mm, size.at_low.moving_run_mm);
  return result;
}

}  // namespace bight::chain
