#!/usr/bin/env bash
# Builds ashline and ashline-lab into a folder: build.sh DIR [PACKAGE...].
#
# A plain "go build ./cmd/ashline" works too, but loads every module of OpenCV that
# the bindings know, with 240 libraries behind them, and takes several times as long
# to start. Here each function is a section of its own and the linker drops those that
# nothing reaches, so that only the modules that are called have to be named. A
# function that is called and whose module is not named fails the link; none can be
# missing when the program runs.
set -euo pipefail

[[ -n ${1-} ]] || { echo 'build.sh wants a folder' >&2; exit 2; }
OUT=$(mkdir -p "$1" && cd "$1" && pwd)
shift
cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.."

# features2d is called by calib3d alone; the linker wants to see it all the same.
MODULES=(core imgproc video calib3d dnn features2d)

export CGO_CFLAGS='-O2 -g -ffunction-sections'
export CGO_CXXFLAGS='-O2 -g --std=c++11 -ffunction-sections'
export CGO_CPPFLAGS CGO_LDFLAGS
CGO_CPPFLAGS=$(pkg-config --cflags opencv4)
CGO_LDFLAGS="-O2 -g ${MODULES[*]/#/-lopencv_}"
exec go build -tags customenv -ldflags "${LDFLAGS-} -extldflags=-Wl,--gc-sections" -o "$OUT/" "${@:-./cmd/...}"
