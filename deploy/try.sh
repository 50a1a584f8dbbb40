#!/usr/bin/env bash
# Builds ashline on a Debian 12 machine, with nothing installed by hand before,
# and runs its demonstration. Arguments go to "ashline try". Run it again at any
# time: what is in place already is left as it is.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

require_platform
require_packages "${PACKAGES[@]}"
require_go

# The first build compiles the OpenCV bindings, which takes some minutes.
say "building ashline with $(go env GOVERSION)"
bash "$REPO/deploy/build.sh" "$CACHE/bin" || die "ashline did not build"
say "built $CACHE/bin/ashline; running: ashline try $*"
exec "$CACHE/bin/ashline" try "$@"
