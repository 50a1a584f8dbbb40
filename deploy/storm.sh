#!/usr/bin/env bash
# Measures small rendered clips while workers, queue and store, each a process
# of its own on the loopback, are killed at random moments and started again.
# Ends with a table; the exit status is 0 only when every clip came to exactly
# one end. The long form is --clips 100. Further arguments go to the test:
# -storm-seed N for other clips and moments, -gap 3s to kill more often.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

clips=6
if [[ ${1:-} == --clips ]]; then
	[[ ${2:-} =~ ^[1-9][0-9]{0,3}$ ]] || die "storm: --clips takes a number from 1 to 9999"
	clips=$2
	shift 2
fi

require_platform
require_packages "${PACKAGES[@]}"
require_go
require_tool "$NATS_SERVER"
require_tool "$VERSITYGW"

cd "$REPO"
mkdir -p "$CACHE/bin"
go build -o "$CACHE/bin/" ./cmd/... || die "ashline did not build"
export ASHLINE_REQUIRE_SERVERS=1
go test -v -count=1 -timeout $((10 + clips))m -run '^TestStorm$' ./worker/conform \
	-storm "$CACHE/bin/ashline" -clips "$clips" "$@"
