#pragma once
// A demo plan with one of its options, and its machine.

#include <gtest/gtest.h>

#include <string>

#include "machine/machine.h"
#include "plan/read.h"

namespace bight::picture {

struct Demo {
  explicit Demo(const std::string& file, const std::string& option = "") {
    Diagnostics diagnostics;
    auto plans = plan::load_plan_and_options(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/" + file,
                                             diagnostics);
    if (plans) {
      for (plan::Plan& one : *plans) {
        if (one.chosen_option == option) plan = std::move(one);
      }
    }
    machine::MeshCache cache;
    machine = machine::build_machine(plan, cache, diagnostics);
    for (const Diagnostic& d : diagnostics.items()) {
      if (d.severity == Severity::error) ADD_FAILURE() << to_text(d);
    }
    EXPECT_FALSE(machine.parts.empty());
  }
  plan::Plan plan;
  machine::Machine machine;
};

}  // namespace bight::picture
