#include "free/window.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"
#include "free/line_geometry.h"
#include "rod/catenary_length.h"

namespace bight::free {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

bool valid(const AnchorPair& a, const HangingLine& line, const WindowOptions& o) {
  bool ok = is_finite(a.start) && is_finite(a.end) && line.mass_kg_m > 0.0 &&
            std::isfinite(line.mass_kg_m) && line.bend_radius_mm >= 0.0 &&
            std::isfinite(line.bend_radius_mm) && o.slack_percent >= 0.0 &&
            std::isfinite(o.slack_percent) && o.tolerance_mm > 0.0;
  ok = ok && (!line.max_pull_N || *line.max_pull_N > 0.0);
  ok = ok && (!o.keep_above_mm || std::isfinite(*o.keep_above_mm));
  for (const JointMotion& j : a.joints) {
    ok = ok && is_finite(j.start) && is_finite(j.end) && std::isfinite(j.lower) &&
         std::isfinite(j.upper) && j.lower <= j.upper;
  }
  for (const auto& direction : {a.start_direction, a.end_direction}) {
    ok = ok && (!direction || std::abs(glm::length(*direction) - 1.0) < 1e-6);
  }
  return ok;
}

/// The limits of one pair, line and options, each as described at the head of the header.
class Limits {
 public:
  Limits(const AnchorPair& anchors, const HangingLine& line, const WindowOptions& options)
      : anchors_(anchors), line_(line), options_(options), geometry_(anchors) {}

  void pull(std::vector<LengthLimit>& at_least, std::vector<LengthLimit>& at_most) const {
    if (!line_.max_pull_N) return;
    const auto lengths = [&](double run, double rise) {
      return rod::lengths_for_pull(run, rise, line_.mass_kg_m, *line_.max_pull_N);
    };
    const auto shortest = [&](double run, double rise) {
      const rod::PullWindow w = lengths(run, rise);
      return w.possible ? w.shortest_mm : k_infinity;
    };
    const auto longest = [&](double run, double rise) {
      const rod::PullWindow w = lengths(run, rise);
      return w.possible ? w.longest_mm : -k_infinity;
    };
    const CertifiedLeast low =
        over_far_poses([&](double run, double rise) { return -shortest(run, rise); });
    at_least.push_back({LimitKind::pull, -low.lower, low.pose});
    const CertifiedLeast high = over_far_poses(longest);
    at_most.push_back({LimitKind::weight, high.lower, high.pose});
  }

  void clamp(std::vector<LengthLimit>& at_least) const {
    if (!(line_.bend_radius_mm > 0.0)) return;
    if (!anchors_.start_direction && !anchors_.end_direction) return;
    LengthLimit limit{LimitKind::clamp, 0.0, {}, Certainty::estimated};
    for (const Pose& pose : grid()) {
      const Ends e = geometry_.ends(pose);
      const Vec3 chord = e.end - e.start;
      const double distance = glm::length(chord);
      const double length = distance * slack_factor() + bend(anchors_.start_direction, chord) +
                            bend(anchors_.end_direction, -chord);
      if (limit.pose.empty() || length > limit.length_mm) {
        limit.length_mm = length;
        limit.pose = pose;
      }
    }
    at_least.push_back(limit);
  }

  void droop(std::vector<LengthLimit>& at_most) const {
    if (!options_.keep_above_mm) return;
    const double level = *options_.keep_above_mm;
    const auto length = [&](double run, double start_z, double end_z) {
      const bool above = start_z >= level && end_z >= level;
      return above ? rod::length_for_lowest(run, start_z - level, end_z - level) : -k_infinity;
    };
    const auto bound = [&](const PoseBox& box) {
      const EndExtremes e = geometry_.extremes(box);
      return BoxBound{length(e.run_least, e.start_lowest, e.end_lowest),
                      geometry_.near_and_low(box)};
    };
    const auto value = [&](const Pose& pose) {
      const Ends e = geometry_.ends(pose);
      return length(e.run, e.start.z, e.end.z);
    };
    const CertifiedLeast least = least_over_travel(anchors_, bound, value, options_.tolerance_mm);
    at_most.push_back({LimitKind::droop, least.lower, least.pose});
  }

  /// Lengths between the minor and the major arc of radius R over the nearest chord bend tighter
  /// than R. The way out is upwards when the minor arc is shorter than what is needed anyhow.
  void arc(const ExtremePose& nearest, double needed, std::vector<LengthLimit>& at_least,
           std::vector<LengthLimit>& at_most) const {
    const double r = line_.bend_radius_mm;
    if (!(nearest.distance_mm < 2.0 * r)) return;
    const double half_angle = std::asin(nearest.distance_mm / (2.0 * r));
    const double minor = 2.0 * r * half_angle;
    const double major = 2.0 * r * (std::numbers::pi - half_angle);
    if (needed <= minor) {
      at_most.push_back({LimitKind::arc, minor, nearest.pose});
    } else {
      at_least.push_back({LimitKind::arc, major, nearest.pose});
    }
  }

  void hairpin(std::vector<LengthLimit>& at_most) const {
    const double r = line_.bend_radius_mm;
    if (!(r > 0.0)) return;
    const auto length = [&](double run, double rise) {
      if (run >= 2.0 * r) return k_infinity;
      return std::hypot(rise, 2.0 * r * std::sinh(run / (2.0 * r)));
    };
    const auto bound = [&](const PoseBox& box) {
      const EndExtremes e = geometry_.extremes(box);
      return BoxBound{length(e.run_least, e.rise_least), geometry_.near_and_level(box)};
    };
    const auto value = [&](const Pose& pose) {
      const Ends e = geometry_.ends(pose);
      return length(e.run, std::abs(e.rise));
    };
    const CertifiedLeast least = least_over_travel(anchors_, bound, value, options_.tolerance_mm);
    if (!(least.lower < k_infinity)) return;
    at_most.push_back({LimitKind::hairpin, least.lower, least.pose, Certainty::estimated,
                       options_.hairpin_counts});
  }

  double slack_factor() const { return 1.0 + options_.slack_percent / 100.0; }

 private:
  /// Least value of a function that falls with the run and with the rise.
  template <class F>
  CertifiedLeast over_far_poses(const F& f) const {
    const auto bound = [&](const PoseBox& box) {
      const EndExtremes e = geometry_.extremes(box);
      return BoxBound{f(e.run_most, e.rise_most), geometry_.far_and_steep(box)};
    };
    const auto value = [&](const Pose& pose) {
      const Ends e = geometry_.ends(pose);
      return f(e.run, std::abs(e.rise));
    };
    return least_over_travel(anchors_, bound, value, options_.tolerance_mm);
  }

  /// Extra length of the arc from a clamp's direction into the straight way.
  double bend(const std::optional<Vec3>& direction, const Vec3& chord) const {
    const double distance = glm::length(chord);
    if (!direction || !(distance > 0.0)) return 0.0;
    const Vec3 to = chord / distance;
    const double phi =
        std::atan2(glm::length(glm::cross(*direction, to)), glm::dot(*direction, to));
    return line_.bend_radius_mm * (phi - std::sin(phi));
  }

  /// Corners, middles and quarters of each joint that moves an anchor.
  std::vector<Pose> grid() const {
    constexpr int k_steps = 4;
    std::vector<Pose> poses(1);
    for (const JointMotion& j : anchors_.joints) {
      const bool moves = j.start != j.end && j.lower < j.upper;
      std::vector<Pose> next;
      for (const Pose& pose : poses) {
        for (int i = 0; i <= (moves ? k_steps : 0); ++i) {
          next.push_back(pose);
          next.back().push_back(j.lower + (j.upper - j.lower) * i / k_steps);
        }
      }
      poses = std::move(next);
    }
    return poses;
  }

  const AnchorPair& anchors_;
  const HangingLine& line_;
  const WindowOptions& options_;
  LineGeometry geometry_;
};

/// Largest `at_least` and smallest `at_most` that count; sorts the binding ones to the front.
void close_in(Window& w) {
  const auto counting_first = [](const LengthLimit& a, const LengthLimit& b) {
    return a.counts && !b.counts;
  };
  std::stable_sort(w.at_least.begin(), w.at_least.end(),
                   [](const auto& a, const auto& b) { return a.length_mm > b.length_mm; });
  std::stable_sort(w.at_least.begin(), w.at_least.end(), counting_first);
  std::stable_sort(w.at_most.begin(), w.at_most.end(),
                   [](const auto& a, const auto& b) { return a.length_mm < b.length_mm; });
  std::stable_sort(w.at_most.begin(), w.at_most.end(), counting_first);
  w.min_mm = w.at_least.front().length_mm;
  const bool limited = !w.at_most.empty() && w.at_most.front().counts;
  w.max_mm = limited ? w.at_most.front().length_mm : k_infinity;
}

}  // namespace

double length_to_cut(double least_mm, double most_mm) {
  const double rounded =
      std::ceil((least_mm + k_tape_mm - k_length_equal_mm) / k_tape_mm) * k_tape_mm;
  return rounded + k_tape_mm <= most_mm ? rounded : 0.5 * (least_mm + most_mm);
}

Window length_window(const AnchorPair& anchors, const HangingLine& line,
                     const WindowOptions& options) {
  Window w;
  if (!valid(anchors, line, options)) return w;
  w.farthest = farthest(anchors);
  w.nearest = nearest(anchors);
  const Limits limits(anchors, line, options);
  w.at_least.push_back(
      {LimitKind::slack, w.farthest.distance_mm * limits.slack_factor(), w.farthest.pose});
  limits.pull(w.at_least, w.at_most);
  limits.clamp(w.at_least);
  limits.droop(w.at_most);
  limits.hairpin(w.at_most);
  close_in(w);
  limits.arc(w.nearest, w.min_mm, w.at_least, w.at_most);
  close_in(w);
  const bool open = w.min_mm <= w.max_mm + k_length_equal_mm && w.min_mm < k_infinity;
  w.status = open ? WindowStatus::open : WindowStatus::closed;
  if (open) w.recommended_mm = length_to_cut(w.min_mm, std::max(w.min_mm, w.max_mm));
  return w;
}

LengthMargin length_margin(const Window& window, double length_mm) {
  LengthMargin m;
  m.above_min_mm = length_mm - window.min_mm;
  m.below_max_mm = window.max_mm - length_mm;
  m.fits = window.status != WindowStatus::invalid && m.above_min_mm >= -k_length_equal_mm &&
           m.below_max_mm >= -k_length_equal_mm;
  return m;
}

}  // namespace bight::free
