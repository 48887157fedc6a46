#include "report/text.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "report/cautions.h"
#include "report/page.h"
#include "report/supports.h"
#include "report/table.h"

namespace bight::report {
namespace {

using study::Certainty;
using study::StudyResult;

/// "X 1200.0, Y 0.0, Z -120.0 mm".
std::string pose_text(const plan::Plan& plan, const StudyResult& result,
                      const std::vector<double>& pose) {
  const bool inch = plan.inches;
  std::string text;
  for (std::size_t j = 0; j < pose.size(); ++j) {
    text += (j > 0 ? ", " : "") + result.joints[j] + " " +
            fixed(inch ? pose[j] / k_mm_per_inch : pose[j], inch ? 3 : 1);
  }
  return text.empty() ? text : text + (inch ? " in" : " mm");
}

std::string certainty_text(const plan::Plan& plan, const study::Finding& f) {
  if (f.certainty == Certainty::sampled && f.poses > 0) {
    return sampled_text(plan, f.poses, f.step_mm);
  }
  return study::to_text(f.certainty);
}

/// Words of a page, broken where it ends; lines after the first stand two further in.
std::string paragraph(const std::string& text, std::size_t indent) {
  return std::string(indent, ' ') + wrapped(text, k_page_width, indent + 2) + "\n";
}

std::string clearance_table(const plan::Plan& plan, const StudyResult& result) {
  if (result.clearance.empty()) return "";
  constexpr std::size_t k_shown = 8;
  std::vector<std::vector<std::string>> rows = {
      {"nearest pairs, whole travel", "", "proved", "wanted", "at"}};
  for (std::size_t i = 0; i < std::min(k_shown, result.clearance.size()); ++i) {
    const study::ClearancePair& pair = result.clearance[i];
    rows.push_back({pair.a, pair.b, length_at_most(plan, pair.lower_mm, 2),
                    length(plan, pair.wanted_mm), pose_text(plan, result, pair.pose)});
  }
  std::string text =
      table_text(rows, {Align::left, Align::left, Align::right, Align::right, Align::left});
  if (result.clearance.size() > k_shown) {
    text += "  and " +
            counted(result.clearance.size() - k_shown, "pair farther apart, at least ",
                    "pairs farther apart, the next at least ") +
            length_at_most(plan, result.clearance[k_shown].lower_mm, 2) + "\n";
  }
  return text;
}

std::string touching_text(const StudyResult& result) {
  if (result.touching.empty()) return "";
  std::string text = "  not checked, since the plan says that they touch by design:\n";
  for (const study::TouchingPair& pair : result.touching) {
    text += paragraph(pair.a + " - " + pair.b + ": " + pair.why, 4);
  }
  return text;
}

std::string chains_table(const plan::Plan& plan, const StudyResult& result) {
  if (result.chains.empty()) return "";
  std::vector<std::vector<std::string>> rows = {{"chain", "links", "length", "bend radius",
                                                 "loop room", "height", "unsupported", "allowed",
                                                 "fill"}};
  for (const study::ChainFigures& chain : result.chains) {
    rows.push_back(
        {chain.name, std::to_string(chain.loop.links), length(plan, chain.loop.length_mm),
         length(plan, chain.bend_radius_mm), length(plan, chain.loop.loop_room_mm),
         length(plan, chain.loop.height_mm),
         chain.unsupported_mm ? length(plan, *chain.unsupported_mm) : "none",
         chain.allowed_straight_mm ? length(plan, *chain.allowed_straight_mm) : "not known",
         fixed(chain.fill.area_percent, 0) + " %, " + fixed(chain.fill.mass_kg_per_m, 2) +
             " kg/m"});
  }
  std::string text =
      table_text(rows, {Align::left, Align::right, Align::right, Align::right, Align::right,
                        Align::right, Align::right, Align::right, Align::right});
  for (const study::ChainFigures& chain : result.chains) {
    if (!chain.shape || !chain.shape->has_forces) continue;
    const study::ChainShapeFigures& shape = *chain.shape;
    text += paragraph(chain.name + " under its own weight: sag " + length(plan, shape.sag_mm) +
                          (shape.sag_is_assumed ? " if its stops hold it straight" : "") +
                          ", pull " + fixed(shape.pull_N, 1) + " N, " +
                          fixed(shape.floor_force_N, 1) + " N on its tray under the bend (" +
                          sampled_text(plan, shape.poses, shape.step_mm) +
                          (shape.settled ? "" : "; between some of them it may be more") +
                          (shape.error_mm > 0.0 ? "; right to " + length(plan, shape.error_mm) +
                                                      " and " + fixed(shape.error_N, 1) + " N"
                                                : "") +
                          ")",
                      2);
  }
  for (const study::ChainFigures& chain : result.chains) {
    if (!chain.near) continue;
    const study::ChainNearFigures& near = *chain.near;
    text += paragraph(
        chain.name + ", mounted higher than 2 x bend radius: proved clear of " +
            counted(near.proved_clear, "thing", "things") +
            (near.clearance_to.empty()
                 ? ""
                 : ", nearest of the others " + near.clearance_to + " at " +
                       length(plan, near.clearance_mm) + ", " +
                       length(plan, near.clearance_wanted_mm) + " wanted (" +
                       sampled_text(plan, near.poses, near.step_mm) +
                       (near.settled ? ")"
                                     : "; between some of its poses something may come nearer)")),
        2);
  }
  return text;
}

std::string free_run_text(const plan::Plan& plan, const study::FreeRunFigures& run) {
  const bool works = run.min_mm <= run.max_mm;
  std::string text = paragraph(
      "free run " + run.run + ", " + run.from + " to " + run.to + ": " +
          (works
               ? "not shorter than " + length_at_least(plan, run.min_mm, 0) +
                     (std::isfinite(run.max_mm)
                          ? " and not longer than " + length_at_most(plan, run.max_mm, 0)
                          : std::string(", nothing in the plan limits it above (keep_above would)"))
               : "no length works") +
          (run.window_poses > 0 ? " (" + sampled_text(plan, run.window_poses, run.window_step_mm) +
                                      ", worst refined)"
                                : std::string()) +
          ", " + (run.length_given ? "given " : "chosen ") + length(plan, run.length_mm, 0),
      2);
  const bool has_ends = run.nearest_mm <= run.farthest_mm;
  const bool has_lowest = std::isfinite(run.lowest_mm);
  text +=
      paragraph((has_ends ? "anchors " + length(plan, run.nearest_mm, 0) + " to " +
                                length(plan, run.farthest_mm, 0) + " apart" +
                                (run.distances_are_proved ? " (proved)" : "")
                          : std::string("where its ends rest is not known")) +
                    (has_lowest ? "; lowest point Z " + length(plan, run.lowest_mm, 0) +
                                      (run.lowest_is_sampled ? "" : " (proved for a limp line)") +
                                      "; pull up to " + fixed(run.greatest_pull_N, 1) + " N"
                                : std::string("; its shape was not looked at")),
                4);
  if (!run.bend_line.empty()) {
    text += paragraph(run.bend_line + " bends to " + length(plan, run.radius_mm, 0) + " " +
                          length(plan, run.radius_at_mm, 0) + " from " + run.from + ", " +
                          length(plan, run.allowed_radius_mm, 0) + " allowed at its centre line (" +
                          sampled_text(plan, run.shape_poses, run.shape_step_mm) +
                          ", worst refined; stiffness " +
                          (run.stiffness_measured ? "given" : "estimated") + ")",
                      4);
  }
  if (!run.swing_pose.empty()) {
    text += paragraph("swings by up to " + length(plan, run.swing_mm, 0) +
                          " after a rapid move, where it comes near to something, once in " +
                          fixed(run.swing_period_s, 2) + " s",
                      4);
  }
  if (!run.swing_left_out.empty()) {
    const std::string where =
        run.swing_pose.empty() ? "" : " at another place that it comes near to";
    text += paragraph(
        "its swing after a rapid move" + where + " is not in it: " + run.swing_left_out, 4);
  }
  std::string near = counted(run.proved_clear, "thing", "things") + " proved out of its reach";
  if (!run.clearance_to.empty()) {
    near += "; nearest of the others " + run.clearance_to + " at " +
            length(plan, run.clearance_mm, 0) + " (" + sampled_text(plan, run.poses, run.step_mm) +
            (!run.settled   ? ")"
             : *run.settled ? ", worst refined)"
                            : ", worst refined; between some of them it may come nearer)");
  }
  return text + paragraph(near, 4);
}

std::string free_runs_text(const plan::Plan& plan, const StudyResult& result) {
  std::string text;
  for (const study::FreeRunFigures& run : result.free_runs) text += free_run_text(plan, run);
  return text;
}

std::string switches_table(const plan::Plan& plan, const StudyResult& result) {
  if (result.switches.empty()) return "";
  std::vector<std::vector<std::string>> rows = {
      {"switch", "joint", "soft limit", "trips at", "hard stop", "stops in"}};
  const auto known = [&](const std::optional<double>& value) {
    return value ? length(plan, *value) : std::string("not known");
  };
  for (const study::SwitchFigures& s : result.switches) {
    rows.push_back({s.name, s.joint, length(plan, s.soft_limit), known(s.trip), known(s.hard_stop),
                    known(s.stopping_mm)});
  }
  return table_text(
      rows, {Align::left, Align::left, Align::right, Align::right, Align::right, Align::right});
}

/// Where the machine is homed and where a program's zero lies, in joint values.
std::string home_text(const plan::Plan& plan) {
  std::string text = "homed at";
  for (const plan::Joint& joint : plan.joints) {
    text += " " + joint.name + " " + length(plan, home_of(joint));
  }
  if (plan.work_offset) {
    const Vec3& at = plan.work_offset->at;
    text += "; " + plan.work_offset->name + " zero at X " + length(plan, at.x) + " Y " +
            length(plan, at.y) + " Z " + length(plan, at.z);
  }
  return paragraph(text, 2);
}

std::string count_text(const StudyResult& result) {
  std::array<int, 3> counts{};
  for (const study::Finding& f : result.findings) ++counts[static_cast<std::size_t>(f.severity)];
  std::string text;
  const auto add = [&](int count, const char* one, const char* many) {
    if (count == 0) return;
    text += (text.empty() ? "" : ", ") + std::to_string(count) + " " + (count == 1 ? one : many);
  };
  add(counts[2], "stop", "stops");
  add(counts[1], "to act on", "to act on");
  add(counts[0], "note", "notes");
  return text.empty() ? "no findings" : text;
}

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

}  // namespace

std::string finding_text(const plan::Plan& plan, const StudyResult& result,
                         const study::Finding& f) {
  const std::string mark = study::to_text(f.severity);
  std::string text =
      "  " + mark + std::string(6 - mark.size(), ' ') + wrapped(f.what, k_page_width, 8) + "\n";
  const std::string pose = pose_text(plan, result, f.pose);
  text += "        " +
          wrapped((pose.empty() ? "" : "at " + pose + "; ") + certainty_text(plan, f), k_page_width,
                  8) +
          "\n";
  if (!f.advice.empty()) text += "        > " + wrapped(f.advice, k_page_width, 10) + "\n";
  return text;
}

std::string share_text(const study::ReachFigures& reach, bool raised_left_out) {
  const std::string free =
      raised_left_out ? "free of contact, chains mounted higher than 2 x bend radius left out: "
                      : "free of contact: ";
  if (reach.share_lower >= 1.0) return free + "the whole travel (proved)";
  // Rounded outward: what is not all free is never printed as 100 %.
  const std::string lower = fixed(std::floor(1e4 * reach.share_lower) / 100.0, 2);
  const std::string upper = fixed(std::ceil(1e4 * reach.share_upper) / 100.0, 2);
  return free + lower + " to " + upper + " % of the travel (proved bounds)";
}

std::string option_text(const plan::Plan& plan, const StudyResult& result, Detail detail) {
  std::string text = option_label(result.option) + ": " + study::to_text(result.verdict) + " (" +
                     count_text(result) + ")\n";
  if (!result.about.empty()) text += "  " + wrapped(result.about, k_page_width, 2) + "\n";
  text += "\n";
  for (const study::Finding& f : result.findings) text += finding_text(plan, result, f);
  if (!result.findings.empty()) text += "\n";
  const bool raised = std::any_of(result.chains.begin(), result.chains.end(),
                                  [](const study::ChainFigures& c) { return c.near.has_value(); });
  text += "  " + wrapped(share_text(result.reach, raised), k_page_width, 2) + "\n";
  if (detail == Detail::figures) text += home_text(plan);
  if (detail == Detail::figures) {
    for (const std::string& block :
         {clearance_table(plan, result), chains_table(plan, result), free_runs_text(plan, result),
          supports_text(plan, result), switches_table(plan, result), touching_text(result)}) {
      if (!block.empty()) text += "\n" + block;
    }
    text += "\n" + lengths_text(plan, result);
  }
  return text;
}

std::string summary_text(const std::vector<StudyResult>& options) {
  std::vector<std::vector<std::string>> rows = {{"option", "verdict", "findings"}};
  for (const StudyResult& result : options) {
    rows.push_back(
        {option_label(result.option), study::to_text(result.verdict), count_text(result)});
  }
  return table_text(rows, {Align::left, Align::left, Align::left});
}

std::string lengths_text(const plan::Plan& plan, const StudyResult& result) {
  if (result.lines.empty()) return "  no lines\n";
  std::vector<std::vector<std::string>> rows = {
      {"line", "article", "net", "cut", "buy", "price", "drop", "loop at 20 °C"}};
  for (const study::LineFigures& line : result.lines) {
    rows.push_back({line.name, line.article, length(plan, line.net_mm, 0),
                    length(plan, line.cut_mm, 0), length(plan, line.buy_mm, 0),
                    line.price ? fixed(*line.price, 2) + " " + plan.currency : "",
                    line.drop ? fixed(line.drop->drop_percent, 2) + " %" : "",
                    line.drop ? fixed(line.drop->loop_ohm, 3) + " ohm" : ""});
  }
  std::string text = table_text(rows, {Align::left, Align::left, Align::right, Align::right,
                                       Align::right, Align::right, Align::right, Align::right});
  for (const study::LineFigures& line : result.lines) {
    std::string sum = line.name + " = ";
    for (const study::LegFigures& leg : line.legs) {
      sum += length(plan, leg.length_mm, 0) + " " + leg.what +
             (leg.works ? "" : " (no length works: nothing to cut yet)") + " + ";
    }
    text += paragraph(sum + "ends and service loop", 4);
  }
  for (const line::Drum& drum : result.drums) {
    text += "  buy " + length(plan, drum.total_mm, 0) + " of " + drum.article +
            (drum.price ? " for " + fixed(*drum.price, 2) + " " + plan.currency : "") + "\n";
  }
  return text;
}

std::string lengths_csv(const std::vector<StudyResult>& options) {
  std::string text = "option,line,article,net_mm,cut_mm,buy_mm,price\r\n";
  for (const StudyResult& result : options) {
    for (const study::LineFigures& line : result.lines) {
      text += csv_field(result.option) + "," + csv_field(line.name) + "," +
              csv_field(line.article) + "," + fixed(line.net_mm, 1) + "," + fixed(line.cut_mm, 1) +
              "," + fixed(line.buy_mm, 1) + "," + (line.price ? fixed(*line.price, 2) : "") +
              "\r\n";
    }
  }
  return text;
}

std::string cautions_text() {
  std::string text = "Cautions\n";
  for (const std::string& caution : cautions())
    text += "  - " + wrapped(caution, k_page_width, 4) + "\n";
  return text;
}

}  // namespace bight::report
