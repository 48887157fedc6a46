#pragma once
// Pieces of the validation. Inside the plan module only.

#include <initializer_list>
#include <string>
#include <string_view>

#include "plan/body_motion_detail.h"
#include "plan/plan.h"
#include "plan/reading_detail.h"
#include "plan/toml.h"

namespace bight::plan {

/// One element while it is validated: where its values stand and whether they may be used. Errors
/// of `reading` name it as long as it lives.
class CheckedElement {
 public:
  /// Element `index` of a repeated table of the file, or a single table of the file.
  CheckedElement(Reading& reading, const Value& root, const char* table, std::size_t index = 0);
  /// Element of a repeated table inside another element.
  CheckedElement(Reading& reading, const CheckedElement& outer, const char* table,
                 std::size_t index);
  CheckedElement(const CheckedElement&) = delete;
  CheckedElement& operator=(const CheckedElement&) = delete;
  ~CheckedElement() { reading_.leave(); }

  /// True when none of the keys is missing though required, or wrong already.
  bool good(std::initializer_list<std::string_view> keys) const;
  /// True when the key is written.
  bool has(std::string_view key) const { return value_.find(key) != nullptr; }

  /// Adds an error at the key's value, or at the element when it is not written.
  void error(std::string_view key, const std::string& message, std::string found = {},
             std::string allowed = {}) const;

  /// What is written at the key; empty when nothing is.
  std::string written(std::string_view key) const;

  /// A length in mm as it would stand in the file, with its unit.
  std::string length(double mm) const;

 private:
  Reading& reading_;
  const Value& value_;
  std::string path_;
};

/// Joints, frame, bodies, parts, switches, gaps, work areas.
void validate_machine(const Plan& plan, const Value& root, const BodyMotion& motion,
                      Reading& reading);
/// Articles, lines, runs.
void validate_lines(const Plan& plan, const Value& root, const BodyMotion& motion,
                    Reading& reading);
/// Anchors, overhead supports, and the legs that hang on them.
void validate_supports(const Plan& plan, const Value& root, const BodyMotion& motion,
                       Reading& reading);
/// Drag chains.
void validate_chains(const Plan& plan, const Value& root, const BodyMotion& motion,
                     Reading& reading);

}  // namespace bight::plan
