#include "clearance/blocked_region.h"

#include <algorithm>
#include <chrono>
#include <iterator>
#include <optional>

#include "base/check.h"
#include "base/parallel.h"
#include "clearance/contact_column.h"

namespace bight::clearance {

namespace {

// Ends of contact may be found this share of the resolution beyond the exact ones: flat faces then
// need one triangle pair in place of all that lie in the plane.
constexpr double k_slack_share = 1.0 / 256.0;

// A point for a proof of contact is taken this share of the resolution inside both parts.
constexpr double k_depth_share = 1.0 / 8.0;

// What a pair says about a stretch of a column.
struct Stretch {
  JointRange range;
  bool proved = false;  // contact; else undecided
};

// Pair that is not decided in a segment, with the triangles that met last.
struct OpenPair {
  std::uint32_t pair = 0;
  TrianglePair above;
  TrianglePair below;
};

// Stretch of the column joint that is not decided, and by which pairs.
struct Segment {
  JointRange range;
  std::vector<OpenPair> pairs;
};

// Box of the other joints with what is open in it.
struct Column {
  std::vector<JointRange> box;  // one a joint; the column joint's entry is its whole range
  std::vector<Segment> open;
};

struct ColumnOutcome {
  std::vector<BlockedCell> cells;
  std::vector<Column> halves;
  std::uint64_t leaf_pairs = 0;
};

double length(const JointRange& r) {
  return r.upper - r.lower;
}

class Refinement {
 public:
  Refinement(std::span<const MovingPair> pairs, std::span<const JointRange> joints,
             const BlockedOptions& options)
      : joints_(joints.begin(), joints.end()), options_(options) {
    mm_per_unit_.assign(joints.size(), 0.0);
    for (const MovingPair& pair : pairs) {
      BIGHT_CHECK(pair.directions.size() == joints.size());
      for (std::size_t i = 0; i < joints.size(); ++i)
        mm_per_unit_[i] = std::max(mm_per_unit_[i], glm::length(pair.directions[i]));
    }
    column_joint_ = choose_column_joint();
    pairs_.reserve(pairs.size());
    for (const MovingPair& pair : pairs) pairs_.emplace_back(pair, joints, column_joint_);
  }

  Column whole() const {
    Column column{joints_, {}};
    Segment all{column_range(joints_), {}};
    for (std::uint32_t i = 0; i < pairs_.size(); ++i) all.pairs.push_back({i, {}, {}});
    if (!pairs_.empty()) column.open.push_back(all);
    return column;
  }

  ColumnOutcome refine(const Column& column) const;

  // Everything open in the column as undecided cells.
  void give_up(const Column& column, std::vector<BlockedCell>& cells) const {
    for (const Segment& s : column.open) cells.push_back(undecided(column.box, s));
  }

 private:
  std::size_t choose_column_joint() const {
    // Ends along the column are exact, so a column costs the same whatever its length.
    std::size_t best = 0;
    for (std::size_t i = 1; i < joints_.size(); ++i)
      if (motion(joints_[i], i) > motion(joints_[best], best)) best = i;
    return best;
  }
  double motion(const JointRange& r, std::size_t joint) const {
    return length(r) * mm_per_unit_[joint];
  }
  JointRange column_range(const std::vector<JointRange>& box) const {
    return box.empty() ? JointRange{} : box[column_joint_];
  }
  double column_mm(double units) const {
    return mm_per_unit_.empty() ? 0.0 : units * mm_per_unit_[column_joint_];
  }

  BlockedCell cell(const std::vector<JointRange>& box, const JointRange& range) const {
    BlockedCell c{box, CellState::undecided, {}};
    if (!box.empty()) c.box[column_joint_] = range;
    return c;
  }
  BlockedCell undecided(const std::vector<JointRange>& box, const Segment& s) const {
    BlockedCell c = cell(box, s.range);
    for (const OpenPair& p : s.pairs) c.pairs.push_back(p.pair);
    return c;
  }

  // The stretches of the window in which the pair is not proved free, in order.
  std::vector<Stretch> examine(const ContactColumn& pair, const Footprint& at, JointRange window,
                               OpenPair& open, std::uint64_t& leaf_pairs) const;
  std::vector<Segment> open_segments(const std::vector<JointRange>& box, const Segment& segment,
                                     ColumnOutcome& outcome) const;

  std::vector<JointRange> joints_;
  BlockedOptions options_;
  std::vector<double> mm_per_unit_;  // largest motion of any pair per unit of each joint
  std::size_t column_joint_ = 0;
  std::vector<ContactColumn> pairs_;
};

std::vector<Stretch> Refinement::examine(const ContactColumn& pair, const Footprint& at,
                                         JointRange window, OpenPair& open,
                                         std::uint64_t& leaf_pairs) const {
  const double depth = k_depth_share * options_.resolution_mm;
  if (pair.constant_along_column()) {
    const JointRange here{0.0, 0.0};
    const auto touch = pair.highest(at, here, 0.0, open.above, leaf_pairs);
    if (!touch) {
      if (pair.contained(at, 0.0)) return {{window, true}};
      return {};
    }
    open.above = touch->pair;
    return {{window, !pair.proved_contact(at, here, touch->pair, true, depth).empty()}};
  }
  const double slack = k_slack_share * options_.resolution_mm;
  const auto top = pair.highest(at, window, slack, open.above, leaf_pairs);
  if (!top) {  // nothing touches in the window: it is all free, or contact all the way by
               // containment
    if (pair.contained(at, window.upper)) return {{window, true}};
    return {};
  }
  const auto bottom = pair.lowest(at, {window.lower, top->value}, slack, open.below, leaf_pairs);
  // The column above found a touching pair, so looking from below finds one too.
  const double low = bottom ? bottom->value : window.lower;
  open.above = top->pair;
  if (bottom) open.below = bottom->pair;

  std::vector<Stretch> stretches;
  if (low > window.lower && pair.contained(at, window.lower))
    stretches.push_back({{window.lower, low}, true});
  const JointRange touched{low, top->value};
  auto proofs = pair.proved_contact(at, touched, open.above, true, depth);
  double from = touched.lower;
  const bool short_of_bottom =
      proofs.empty() || column_mm(proofs.front().lower - touched.lower) > slack;
  if (short_of_bottom && bottom) {
    for (const JointRange& p : pair.proved_contact(at, touched, open.below, false, depth))
      proofs.push_back(p);
    std::sort(proofs.begin(), proofs.end(),
              [](const JointRange& p, const JointRange& q) { return p.lower < q.lower; });
  }
  for (const JointRange& p : proofs) {
    if (p.upper <= from) continue;
    if (p.lower > from) stretches.push_back({{from, p.lower}, false});
    stretches.push_back({{std::max(from, p.lower), p.upper}, true});
    from = p.upper;
  }
  if (from < touched.upper || touched.lower == touched.upper)
    stretches.push_back({{from, touched.upper}, false});
  if (top->value < window.upper && pair.contained(at, window.upper))
    stretches.push_back({{top->value, window.upper}, true});
  return stretches;
}

// Lays the pairs' stretches over each other: blocked where any pair proves it (emitted), free where
// all are free, open in the rest.
std::vector<Segment> Refinement::open_segments(const std::vector<JointRange>& box,
                                               const Segment& segment,
                                               ColumnOutcome& outcome) const {
  struct Owned {
    Stretch stretch;
    std::size_t open;  // index into pairs
  };
  std::vector<OpenPair> pairs = segment.pairs;
  std::vector<Owned> all;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const ContactColumn& pair = pairs_[pairs[i].pair];
    for (const Stretch& s :
         examine(pair, pair.footprint(box), segment.range, pairs[i], outcome.leaf_pairs))
      all.push_back({s, i});
  }
  std::vector<double> breaks;
  for (const Owned& o : all) {
    breaks.push_back(o.stretch.range.lower);
    breaks.push_back(o.stretch.range.upper);
  }
  std::sort(breaks.begin(), breaks.end());
  breaks.erase(std::unique(breaks.begin(), breaks.end()), breaks.end());
  if (breaks.size() == 1) breaks.push_back(breaks.front());  // contact at one value only

  std::vector<Segment> open;
  for (std::size_t k = 0; k + 1 < breaks.size(); ++k) {
    const JointRange piece{breaks[k], breaks[k + 1]};
    std::optional<std::uint32_t> proof;
    std::vector<std::size_t> undecided_here;
    for (const Owned& o : all) {
      const JointRange& r = o.stretch.range;
      if (!(r.lower <= piece.lower && piece.upper <= r.upper)) continue;
      if (o.stretch.proved) {
        if (!proof) proof = pairs[o.open].pair;
      } else {
        undecided_here.push_back(o.open);
      }
    }
    if (proof) {
      BlockedCell c = cell(box, piece);
      c.state = CellState::blocked;
      c.pairs.push_back(*proof);
      outcome.cells.push_back(std::move(c));
    } else if (!undecided_here.empty()) {
      Segment s{piece, {}};
      for (const std::size_t i : undecided_here)
        if (s.pairs.empty() || s.pairs.back().pair != pairs[i].pair) s.pairs.push_back(pairs[i]);
      open.push_back(std::move(s));
    }
  }
  return open;
}

ColumnOutcome Refinement::refine(const Column& column) const {
  ColumnOutcome outcome;
  std::vector<Segment> open;
  for (const Segment& s : column.open)
    for (Segment& o : open_segments(column.box, s, outcome)) open.push_back(std::move(o));
  double open_mm = 0.0;
  for (const Segment& s : open) open_mm += column_mm(length(s.range));

  std::size_t widest = column_joint_;
  double width = 0.0;
  for (std::size_t i = 0; i < column.box.size(); ++i) {
    if (i == column_joint_ || !(motion(column.box[i], i) > width)) continue;
    width = motion(column.box[i], i);
    widest = i;
  }
  if (width > options_.resolution_mm && open_mm > 0.5 * options_.resolution_mm) {
    Column half{column.box, std::move(open)};
    const double middle = 0.5 * (column.box[widest].lower + column.box[widest].upper);
    half.box[widest].upper = middle;
    outcome.halves.push_back(half);
    half.box[widest] = {middle, column.box[widest].upper};
    outcome.halves.push_back(std::move(half));
    return outcome;
  }
  // Narrow enough: what is still long is cut along the column.
  while (!open.empty()) {
    Segment s = std::move(open.back());
    open.pop_back();
    const double middle = 0.5 * (s.range.lower + s.range.upper);
    if (open_mm <= 0.5 * options_.resolution_mm ||
        column_mm(length(s.range)) <= options_.resolution_mm ||
        !(s.range.lower < middle && middle < s.range.upper)) {
      outcome.cells.push_back(undecided(column.box, s));
      continue;
    }
    Segment lower{{s.range.lower, middle}, s.pairs};
    Segment upper{{middle, s.range.upper}, std::move(s.pairs)};
    for (const Segment& part : {lower, upper})
      for (Segment& o : open_segments(column.box, part, outcome)) open.push_back(std::move(o));
  }
  return outcome;
}

double volume(const std::vector<JointRange>& box, std::span<const JointRange> joints) {
  double v = 1.0;
  for (std::size_t i = 0; i < box.size(); ++i)
    if (joints[i].lower < joints[i].upper) v *= length(box[i]);
  return v;
}

}  // namespace

BlockedRegion find_blocked_region(std::span<const MovingPair> pairs,
                                  std::span<const JointRange> joints,
                                  const BlockedOptions& options) {
  BIGHT_CHECK(options.resolution_mm > 0.0);
  for (const JointRange& r : joints) BIGHT_CHECK(r.lower <= r.upper);
  const auto start = std::chrono::steady_clock::now();
  const Refinement refinement(pairs, joints, options);
  BlockedRegion region;
  region.travel_volume = volume({joints.begin(), joints.end()}, joints);

  // Level by level and in batches of fixed size, so that neither the order of the cells nor where
  // the cell limit strikes depends on threads.
  constexpr std::size_t k_batch = 512;
  const auto stopped = [&] {
    const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - start;
    return is_cancelled(options.progress) || spent.count() > options.time_limit_s;
  };
  std::vector<Column> level = {refinement.whole()};
  while (!level.empty()) {
    if (options.progress != nullptr) options.progress->add_total(level.size());
    std::vector<Column> next;
    for (std::size_t first = 0; first < level.size(); first += k_batch) {
      const std::size_t count = std::min(k_batch, level.size() - first);
      const std::size_t held = region.cells.size() + next.size() + level.size() - first;
      if (region.completion == Completion::complete && held > options.cell_limit)
        region.completion = Completion::cell_limit;
      std::vector<std::optional<ColumnOutcome>> outcomes(count);
      if (region.completion == Completion::complete)
        parallel_for(count, options.threads, [&](std::size_t i) {
          if (!stopped()) outcomes[i] = refinement.refine(level[first + i]);
        });
      for (std::size_t i = 0; i < count; ++i) {
        if (!outcomes[i]) {
          if (region.completion == Completion::complete)
            region.completion =
                is_cancelled(options.progress) ? Completion::cancelled : Completion::time_limit;
          refinement.give_up(level[first + i], region.cells);
          continue;
        }
        ++region.columns;
        region.leaf_pairs += outcomes[i]->leaf_pairs;
        std::move(outcomes[i]->cells.begin(), outcomes[i]->cells.end(),
                  std::back_inserter(region.cells));
        std::move(outcomes[i]->halves.begin(), outcomes[i]->halves.end(), std::back_inserter(next));
      }
      if (options.progress != nullptr) options.progress->step(count);
    }
    level = std::move(next);
  }

  for (const BlockedCell& c : region.cells) {
    const double v = volume(c.box, joints);
    region.upper_volume += v;
    if (c.state == CellState::blocked) region.lower_volume += v;
    if (region.hull.empty()) region.hull = c.box;
    for (std::size_t i = 0; i < c.box.size(); ++i) {
      region.hull[i].lower = std::min(region.hull[i].lower, c.box[i].lower);
      region.hull[i].upper = std::max(region.hull[i].upper, c.box[i].upper);
    }
  }
  // The sums themselves round.
  const double rounding = 1e-12 * static_cast<double>(region.cells.size() + 1);
  region.lower_volume = std::max(0.0, region.lower_volume * (1.0 - rounding));
  region.upper_volume = std::min(region.travel_volume, region.upper_volume * (1.0 + rounding));
  return region;
}

}  // namespace bight::clearance
