#include "report/text.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "report/cautions.h"
#include "report/table.h"

namespace bight::report {
namespace {

constexpr std::size_t k_width = 100;  ///< columns of a page

using study::Certainty;
using study::StudyResult;

LengthUnit unit_of(const plan::Plan& plan) {
  return plan.inches ? LengthUnit::inch : LengthUnit::mm;
}

std::string length(const plan::Plan& plan, double mm, int decimals = 1) {
  return std::isfinite(mm) ? length_text(mm, unit_of(plan), decimals) : "no limit";
}

std::string pose_text(const plan::Plan& plan, const StudyResult& result,
                      const std::vector<double>& pose) {
  if (pose.empty()) return "";
  std::string text;
  for (std::size_t j = 0; j < pose.size(); ++j) {
    text += (j > 0 ? ", " : "") + result.joints[j] + " " + length(plan, pose[j]);
  }
  return text;
}

std::string certainty_text(const plan::Plan& plan, const study::Finding& f) {
  std::string text = study::to_text(f.certainty);
  if (f.certainty == Certainty::sampled && f.poses > 0) {
    text += " at " + std::to_string(f.poses) + " poses, steps up to " + length(plan, f.step_mm, 0);
  }
  return text;
}

std::string finding_text(const plan::Plan& plan, const StudyResult& result,
                         const study::Finding& f) {
  const std::string mark = study::to_text(f.severity);
  std::string text =
      "  " + mark + std::string(6 - mark.size(), ' ') + wrapped(f.what, k_width, 8) + "\n";
  const std::string pose = pose_text(plan, result, f.pose);
  text += "        " +
          wrapped((pose.empty() ? "" : "at " + pose + "; ") + certainty_text(plan, f), k_width, 8) +
          "\n";
  if (!f.advice.empty()) text += "        > " + wrapped(f.advice, k_width, 10) + "\n";
  return text;
}

std::string clearance_table(const plan::Plan& plan, const StudyResult& result) {
  if (result.clearance.empty()) return "";
  constexpr std::size_t k_shown = 8;
  std::vector<std::vector<std::string>> rows = {
      {"nearest pairs, whole travel", "", "proved", "wanted", "at"}};
  for (std::size_t i = 0; i < std::min(k_shown, result.clearance.size()); ++i) {
    const study::ClearancePair& pair = result.clearance[i];
    rows.push_back({pair.a, pair.b, length(plan, pair.lower_mm, 2), length(plan, pair.wanted_mm),
                    pose_text(plan, result, pair.pose)});
  }
  std::string text =
      table_text(rows, {Align::left, Align::left, Align::right, Align::right, Align::left});
  if (result.clearance.size() > k_shown) {
    text += "  and " + std::to_string(result.clearance.size() - k_shown) +
            " pairs farther apart, the next at least " +
            length(plan, result.clearance[k_shown].lower_mm, 2) + "\n";
  }
  return text;
}

std::string touching_text(const StudyResult& result) {
  if (result.touching.empty()) return "";
  std::string text = "  not checked, since the plan says that they touch by design:\n";
  for (const study::TouchingPair& pair : result.touching) {
    text += "    " + pair.a + " - " + pair.b + ": " + pair.why + "\n";
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
         length(plan, chain.loop.height_mm), length(plan, chain.loop.longest_straight_mm),
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
    text += "  " + chain.name + " under its own weight: sag " + length(plan, shape.sag_mm) +
            ", pull " + fixed(shape.pull_N, 1) + " N, " + fixed(shape.floor_force_N, 1) +
            " N on its tray under the bend (" + std::to_string(shape.poses) +
            " poses, steps up to " + length(plan, shape.step_mm) + ")\n";
  }
  return text;
}

std::string free_runs_text(const plan::Plan& plan, const StudyResult& result) {
  std::string text;
  for (const study::FreeRunFigures& run : result.free_runs) {
    text += "  free run " + run.run + ", " + run.from + " to " + run.to + ": ";
    text += run.min_mm <= run.max_mm
                ? "works from " + length(plan, run.min_mm, 0) + " to " + length(plan, run.max_mm, 0)
                : "no length works";
    text += ", " + std::string(run.length_given ? "given " : "chosen ") +
            length(plan, run.length_mm, 0) + "\n";
    text += "    anchors " + length(plan, run.nearest_mm, 0) + " to " +
            length(plan, run.farthest_mm, 0) + " apart (proved); lowest point Z " +
            length(plan, run.lowest_mm, 0) +
            (run.lowest_is_sampled ? "" : " (proved for a limp line)") + "; pull up to " +
            fixed(run.greatest_pull_N, 1) + " N\n";
    if (!run.bend_line.empty()) {
      text += "    " + run.bend_line + " bends to " + length(plan, run.radius_mm, 0) + " " +
              length(plan, run.radius_at_mm, 0) + " from " + run.from + ", " +
              length(plan, run.allowed_radius_mm, 0) + " allowed at its centre line (sampled at " +
              std::to_string(run.shape_poses) + " poses, steps up to " +
              length(plan, run.shape_step_mm, 0) + ", worst refined; stiffness " +
              (run.stiffness_measured ? "given" : "estimated") + ")\n";
    }
    if (!run.swing_pose.empty()) {
      text += "    swings by up to " + length(plan, run.swing_mm, 0) +
              " after a rapid move, where it comes near to something, once in " +
              fixed(run.swing_period_s, 2) + " s\n";
    }
    text += "    " + std::to_string(run.proved_clear) + " things proved out of its reach";
    if (!run.clearance_to.empty()) {
      text += "; nearest of the others " + run.clearance_to + " at " +
              length(plan, run.clearance_mm, 0) + " (sampled at " + std::to_string(run.poses) +
              " poses, steps up to " + length(plan, run.step_mm, 0) + ", worst refined)";
    }
    text += "\n";
  }
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
  std::string text = "  homed at";
  for (const plan::Joint& joint : plan.joints) {
    text +=
        " " + joint.name + " " + length(plan, joint.travel[joint.home == plan::End::low ? 0 : 1]);
  }
  if (plan.work_offset) {
    const Vec3& at = plan.work_offset->at;
    text += "; " + plan.work_offset->name + " zero at X " + length(plan, at.x) + " Y " +
            length(plan, at.y) + " Z " + length(plan, at.z);
  }
  return text + "\n";
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

std::string share_text(const study::ReachFigures& reach) {
  if (reach.share_lower >= 1.0) return "free of contact: the whole travel (proved)";
  // Rounded outward: what is not all free is never printed as 100 %.
  const std::string lower = fixed(std::floor(1e4 * reach.share_lower) / 100.0, 2);
  const std::string upper = fixed(std::ceil(1e4 * reach.share_upper) / 100.0, 2);
  return "free of contact: " + lower + " to " + upper + " % of the travel (proved bounds)";
}

std::string option_text(const plan::Plan& plan, const StudyResult& result, Detail detail) {
  std::string text =
      result.option + ": " + study::to_text(result.verdict) + " (" + count_text(result) + ")\n";
  if (!result.about.empty()) text += "  " + wrapped(result.about, k_width, 2) + "\n";
  text += "\n";
  for (const study::Finding& f : result.findings) text += finding_text(plan, result, f);
  if (!result.findings.empty()) text += "\n";
  text += "  " + share_text(result.reach) + "\n";
  if (detail == Detail::figures) text += home_text(plan);
  if (detail == Detail::figures) {
    for (const std::string& block :
         {clearance_table(plan, result), chains_table(plan, result), free_runs_text(plan, result),
          switches_table(plan, result), touching_text(result)}) {
      if (!block.empty()) text += "\n" + block;
    }
    text += "\n" + lengths_text(plan, result);
  }
  return text;
}

std::string summary_text(const std::vector<StudyResult>& options) {
  std::vector<std::vector<std::string>> rows = {{"option", "verdict", "findings"}};
  for (const StudyResult& result : options) {
    rows.push_back({result.option, study::to_text(result.verdict), count_text(result)});
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
    text += "    " + line.name + " = ";
    for (std::size_t i = 0; i < line.legs.size(); ++i) {
      text +=
          (i > 0 ? " + " : "") + length(plan, line.legs[i].length_mm, 0) + " " + line.legs[i].what;
    }
    text += " + ends and service loop\n";
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
    text += "  - " + wrapped(caution, k_width, 4) + "\n";
  return text;
}

}  // namespace bight::report
