#!/usr/bin/env bash
# Runs every check of ashline on a Debian 12 machine, with nothing installed by
# hand before: format, vet, linters, and all tests, with the queue and store
# servers they need. Every check runs even after one failed; the exit status is
# 0 only when all passed.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

require_platform
require_packages "${PACKAGES[@]}"
require_go
for tool in "$NATS_SERVER" "$VERSITYGW" "$GOLANGCI_LINT" "$DEADCODE"; do
	require_tool "$tool"
done

cd "$REPO"
# A test that finds a server missing fails instead of skipping itself.
export ASHLINE_REQUIRE_SERVERS=1

passed=0
failed=0
summary=''

# check NAME COMMAND... runs one check and notes how it went.
check() {
	local name=$1 start=$SECONDS verdict=passed
	shift
	printf '\n== %s: %s\n' "$name" "$*"
	if "$@"; then
		passed=$((passed + 1))
	else
		verdict=FAILED
		failed=$((failed + 1))
	fi
	summary+=$(printf '%-8s %-12s %4d s' "$verdict" "$name" $((SECONDS - start)))$'\n'
}

# The formatter is gofumpt, which asks for a little more than gofmt.
check format golangci-lint fmt --diff
check vet go vet ./...
check lint golangci-lint run
# A function that neither a program nor a test can reach is deleted; none is excused.
dead() {
	local found
	found=$(deadcode -test ./...) || return 1
	[[ -z $found ]] || { printf '%s\n' "$found"; return 1; }
}
check dead dead
# The accuracy on rendered scenes is printed as a table, so it runs by itself.
check accuracy go test -v -timeout 20m ./pipeline/bench
others=$(go list ./... | grep -v '/pipeline/bench$')
# shellcheck disable=SC2086 # a list of packages, which have no spaces
check tests go test -timeout 15m $others
# The pose network is fetched for this check alone; all others do without.
pose() {
	local dir
	dir=$(bash deploy/pose.sh --reference) && ASHLINE_POSE=$dir go test -v -count=1 -run 'Reference|Network' -timeout 5m ./pipeline/pose ./pipeline
}
check pose pose
# The browser and its tools are fetched for this check alone, too.
check look bash deploy/look.sh
# Servers and workers killed at random; six clips here, a hundred by hand.
check storm bash deploy/storm.sh --clips 6
# Whole swings take ten times as long under the race detector and share nothing.
check race go test -race -short -timeout 15m ./metrics/... ./worker/...

printf '\n%s' "$summary"
printf 'checks: %d passed, %d failed\n' "$passed" "$failed"
((failed == 0))
