#pragma once
// Check: does a mesh file hold what the plan takes it for? A file read in the wrong unit makes a
// part that nothing ever hits, and so does a surface with holes.

#include <vector>

#include "study/context.h"

namespace bight::study {

/// Findings about the mesh files of the parts that are there, each file once: size against that of
/// the machine (common practice: a part of a machine is neither smaller than 1/30 of it nor much
/// larger than it), holes, sheets that disagree about the outside, pieces inside out, triangles
/// that are there twice.
std::vector<Finding> check_meshes(const Context& context);

}  // namespace bight::study
