#include <algorithm>
#include <cmath>
#include <limits>

#include "chain/fill_detail.h"
#include "line/circle_packing.h"

namespace bight::chain::fill_detail {
namespace {

/// Assignments tried before giving up on a full section.
constexpr int k_assignments = 6;

/// Step, as a share of the width, by which a section that does not fit is tried wider.
constexpr double k_widening = 0.02;
constexpr int k_widenings = 100;

/// Order within a row: power at one end, signal at the other, hoses between.
int rank(plan::LineKind kind) {
  if (is_power(kind)) return 0;
  return kind == plan::LineKind::signal ? 2 : 1;
}

int usual_starts(std::size_t count) {
  return static_cast<int>(std::clamp<std::size_t>(600 / std::max<std::size_t>(count, 1), 20, 60));
}

class Arranger {
 public:
  Arranger(const FillProblem& problem, const std::vector<Compartment>& compartments,
           const FillOptions& options)
      : problem_(problem), compartments_(compartments), options_(options) {}

  Arrangement run();

 private:
  double width(std::size_t c) const { return compartments_[c].right_mm - compartments_[c].left_mm; }
  double needed_height(std::size_t i) const {
    const FillLine& line = problem_.lines[i];
    return line.diameter_mm + 2.0 * wanted_clearance(problem_, line);
  }
  bool given(std::size_t i) const { return problem_.lines[i].at_mm.has_value(); }

  std::vector<std::size_t> lines_of(const Arrangement& a, std::size_t c) const;
  bool place(std::size_t c, std::vector<std::size_t> lines, Arrangement& out) const;
  bool place_row(std::size_t c, std::vector<std::size_t> lines, Arrangement& out) const;
  line::PackingProblem packing(std::size_t c, const std::vector<std::size_t>& lines) const;
  double more_width(std::size_t c, const std::vector<std::size_t>& lines, double height) const;
  void place_what_fits(Arrangement& out) const;
  void balance_rows(Arrangement& out) const;

  const FillProblem& problem_;
  const std::vector<Compartment>& compartments_;
  const FillOptions& options_;
};

std::vector<std::size_t> Arranger::lines_of(const Arrangement& a, std::size_t c) const {
  std::vector<std::size_t> lines;
  for (std::size_t i = 0; i < problem_.lines.size(); ++i) {
    if (a.compartment[i] == c) lines.push_back(i);
  }
  return lines;
}

/// Side by side at mid-height, spare width shared out evenly. False: it does not fit so, or lines
/// with given places are in the way.
bool Arranger::place_row(std::size_t c, std::vector<std::size_t> lines, Arrangement& out) const {
  std::stable_sort(lines.begin(), lines.end(), [this](std::size_t a, std::size_t b) {
    return rank(problem_.lines[a].kind) < rank(problem_.lines[b].kind);
  });
  const double spare = width(c) - row_width(problem_, lines);
  const bool fits =
      spare >= -k_kept_mm && std::all_of(lines.begin(), lines.end(), [this](std::size_t i) {
        return !given(i) && needed_height(i) <= problem_.height_mm + k_kept_mm;
      });
  if (!fits) return false;
  const double share = spare / static_cast<double>(lines.size() + 1);
  double x = compartments_[c].left_mm;
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const FillLine& line = problem_.lines[lines[k]];
    x += share + (k == 0 ? wanted_clearance(problem_, line)
                         : wanted_gap(problem_, problem_.lines[lines[k - 1]], line));
    out.centre[lines[k]] = Vec2(x + 0.5 * line.diameter_mm, 0.5 * problem_.height_mm);
    x += line.diameter_mm;
  }
  return true;
}

line::PackingProblem Arranger::packing(std::size_t c, const std::vector<std::size_t>& lines) const {
  line::PackingProblem packing;
  packing.goal = line::PackingGoal::most_room;
  packing.size_mm = {width(c), problem_.height_mm};
  for (const std::size_t i : lines) {
    const FillLine& a = problem_.lines[i];
    packing.wall_mm.push_back(0.5 * a.diameter_mm + wanted_clearance(problem_, a));
    packing.fixed_mm.emplace_back();
    if (a.at_mm) packing.fixed_mm.back() = *a.at_mm - Vec2(compartments_[c].left_mm, 0.0);
    for (const std::size_t k : lines) {
      const FillLine& b = problem_.lines[k];
      packing.apart_mm.push_back(0.5 * (a.diameter_mm + b.diameter_mm) +
                                 wanted_gap(problem_, a, b));
    }
  }
  return packing;
}

/// Places all free lines of a compartment; false when no way was found.
bool Arranger::place(std::size_t c, std::vector<std::size_t> lines, Arrangement& out) const {
  if (std::all_of(lines.begin(), lines.end(), [this](std::size_t i) { return given(i); })) {
    return true;
  }
  if (place_row(c, lines, out)) return true;
  for (const std::size_t i : lines) {
    if (given(i)) continue;
    const double need = needed_height(i);
    if (!(need <= problem_.height_mm + k_kept_mm && need <= width(c) + k_kept_mm)) return false;
  }
  const line::PackingResult packed = line::pack_circles(
      packing(c, lines),
      {.starts = options_.starts > 0 ? options_.starts : usual_starts(lines.size()),
       .enough = 0.0,
       .first = {}});
  if (!(packed.s <= k_kept_mm)) return false;
  for (std::size_t k = 0; k < lines.size(); ++k) {
    if (!given(lines[k])) {
      out.centre[lines[k]] = packed.centres_mm[k] + Vec2(compartments_[c].left_mm, 0.0);
    }
  }
  return true;
}

/// How much wider a compartment must be for these lines: as a row, or less when that packing is
/// found again from scratch, as it will be when the section is made so.
double Arranger::more_width(std::size_t c, const std::vector<std::size_t>& lines,
                            double height) const {
  const bool any_given =
      std::any_of(lines.begin(), lines.end(), [this](std::size_t i) { return given(i); });
  const int starts = usual_starts(lines.size());
  line::PackingProblem wider = packing(c, lines);
  wider.size_mm.y = height;
  wider.goal = line::PackingGoal::least_width;
  const line::PackingResult packed =
      line::pack_circles(wider, {.starts = starts, .enough = {}, .first = {}});
  wider.goal = line::PackingGoal::most_room;
  const double row =
      any_given ? std::numeric_limits<double>::infinity() : row_width(problem_, lines) - width(c);
  // In hundredths, rounded up, so that a section of that width does by more than rounding.
  const auto hundredths = [](double mm) { return std::max(0.0, std::ceil(100.0 * mm) / 100.0); };
  for (int step = 0; step < k_widenings; ++step) {
    const double more = packed.s - width(c) + step * k_widening * width(c);
    if (more >= row) break;
    wider.size_mm.x = width(c) + hundredths(more);
    const line::PackingResult again =
        line::pack_circles(wider, {.starts = starts, .enough = 0.0, .first = {}});
    if (again.s <= k_kept_mm) return hundredths(more);
  }
  return std::isfinite(row) ? hundredths(row) : 0.0;
}

/// No assignment fits everywhere: place as many lines as go in and say what is missing.
void Arranger::place_what_fits(Arrangement& out) const {
  double height = problem_.height_mm;
  for (std::size_t i = 0; i < problem_.lines.size(); ++i) {
    if (!given(i)) height = std::max(height, needed_height(i));
  }
  out.more_height_mm = height - problem_.height_mm;
  for (std::size_t c = 0; c < compartments_.size(); ++c) {
    std::vector<std::size_t> lines = lines_of(out, c);
    const std::vector<std::size_t> all = lines;
    // Leave out first what is too thick for any place, then the thinnest.
    std::erase_if(lines, [&](std::size_t i) {
      return !given(i) && needed_height(i) > std::min(problem_.height_mm, width(c)) + k_kept_mm;
    });
    while (!lines.empty() && !place(c, lines, out)) {
      auto thinnest = lines.end();
      for (auto it = lines.begin(); it != lines.end(); ++it) {
        if (!given(*it) && (thinnest == lines.end() || problem_.lines[*it].diameter_mm <
                                                           problem_.lines[*thinnest].diameter_mm)) {
          thinnest = it;
        }
      }
      if (thinnest == lines.end()) break;
      lines.erase(thinnest);
    }
    if (lines.size() < all.size()) out.more_width_mm += more_width(c, all, height);
  }
}

/// Mirrors rows within their compartments where that brings the weight nearer to the middle.
void Arranger::balance_rows(Arrangement& out) const {
  const auto moment = [&] {
    double sum = 0.0;
    for (std::size_t i = 0; i < problem_.lines.size(); ++i) {
      if (!out.centre[i]) continue;
      sum += problem_.lines[i].mass_kg_per_m * (out.centre[i]->x - 0.5 * problem_.width_mm);
    }
    return std::abs(sum);
  };
  for (std::size_t c = 0; c < compartments_.size(); ++c) {
    const std::vector<std::size_t> lines = lines_of(out, c);
    if (std::any_of(lines.begin(), lines.end(), [this](std::size_t i) { return given(i); })) {
      continue;
    }
    const auto mirror = [&] {
      for (const std::size_t i : lines) {
        if (!out.centre[i]) continue;
        out.centre[i]->x = compartments_[c].left_mm + compartments_[c].right_mm - out.centre[i]->x;
      }
    };
    const double before = moment();
    mirror();
    if (!(moment() < before - 1e-9)) mirror();
  }
}

Arrangement Arranger::run() {
  Arrangement out;
  std::vector<int> crowded(compartments_.size(), 0);
  std::vector<std::size_t> first;
  for (int attempt = 0; attempt < k_assignments; ++attempt) {
    out.compartment = assign_compartments(problem_, compartments_, crowded);
    if (first.empty()) first = out.compartment;
    out.centre.clear();
    for (const FillLine& line : problem_.lines) out.centre.push_back(line.at_mm);
    bool all = true;
    for (std::size_t c = 0; c < compartments_.size(); ++c) {
      if (place(c, lines_of(out, c), out)) continue;
      all = false;
      ++crowded[c];
    }
    if (all) {
      balance_rows(out);
      return out;
    }
    if (compartments_.size() == 1) break;  // nowhere else to put them
  }
  out.compartment = first;
  out.centre.clear();
  for (const FillLine& line : problem_.lines) out.centre.push_back(line.at_mm);
  place_what_fits(out);
  return out;
}

}  // namespace

double row_width(const FillProblem& problem, const std::vector<std::size_t>& lines) {
  if (lines.empty()) return 0.0;
  double width = wanted_clearance(problem, problem.lines[lines.front()]) +
                 wanted_clearance(problem, problem.lines[lines.back()]);
  for (std::size_t k = 0; k < lines.size(); ++k) {
    width += problem.lines[lines[k]].diameter_mm;
    if (k > 0) width += wanted_gap(problem, problem.lines[lines[k - 1]], problem.lines[lines[k]]);
  }
  return width;
}

Arrangement arrange(const FillProblem& problem, const std::vector<Compartment>& compartments,
                    const FillOptions& options) {
  return Arranger(problem, compartments, options).run();
}

}  // namespace bight::chain::fill_detail
