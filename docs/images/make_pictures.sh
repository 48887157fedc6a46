#!/bin/sh
# Makes the pictures of the documentation: docs/images/make_pictures.sh build/bight
# Drawn by software, so that they come out alike on every machine.
set -eu
bight="${1:?the program, for example build/release/bight}"
here="$(cd "$(dirname "$0")" && pwd)"
demo="$here/../../assets/demo"
export LIBGL_ALWAYS_SOFTWARE=1 GALLIUM_DRIVER=llvmpipe

picture() {
  out="$1"
  shift
  "$bight" picture "$@" --size 1280x800 -o "$here/$out.png"
}

picture chains "$demo/plan.toml" --option "in the chains" --pose X=600,Y=400
picture rafter "$demo/plan.toml" --option "hung from the rafter" --show hooks --view low
picture front-dark "$demo/plan.toml" --option "hung from the rafter" --view front --scheme dark
picture reach "$demo/meshes.toml" --show reach --pose X=300,Y=200,Z=-40
picture cut "$demo/inch.toml" --view back-corner --cut Z=8 --plain
