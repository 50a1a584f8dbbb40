#!/usr/bin/env bash
# Measures small rendered clips while workers, queue and store, each a process
# of its own on the loopback, are killed at random moments and started again.
# Ends with a table; the exit status is 0 only when every clip came to exactly
# one end. Arguments go to "ashline-lab storm"; the long form is --clips 100.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

require_platform
require_packages "${PACKAGES[@]}"
require_go
require_tool "$NATS_SERVER"
require_tool "$VERSITYGW"

bash "$REPO/deploy/build.sh" "$CACHE/bin" || die "ashline did not build"
exec "$CACHE/bin/ashline-lab" storm "$@"
