# Shared by the set-up scripts, which source it: what ashline needs on a Debian
# 12 machine, and how each missing part gets there. Everything comes from
# Debian's packages and, through the go command, from the Go module proxy; the
# checks of pose network and pages take npm packages too.
# Whatever is in place already is left as it is.
# shellcheck shell=bash
# shellcheck disable=SC2034 # the scripts that source this file use the names

set -euo pipefail

GO_VERSION=1.26.8
# Checksum of the Go distribution as a module; it is checked here besides the
# checksum database, so that a machine without that database is safe too.
GO_SUM='h1:ZOmGe1OnfREDMIdb1Qi4G9JSuDPBLGExZMQ4nis1RXM='

NATS_SERVER=github.com/nats-io/nats-server/v2@v2.15.3
VERSITYGW=github.com/versity/versitygw/cmd/versitygw@v1.8.0
GOLANGCI_LINT=github.com/golangci/golangci-lint/v2/cmd/golangci-lint@v2.15.0
CYCLONEDX_GOMOD=github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0
DEADCODE=golang.org/x/tools/cmd/deadcode@v0.52.0

# ca-certificates lets the go command trust the module proxy; the rest compiles
# against OpenCV, and decodes and encodes video.
PACKAGES=(ca-certificates ffmpeg g++ libopencv-dev pkg-config)

REPO=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd)

# WORK is the scratch folder of the step at hand; one that fails leaves none.
WORK=''
trap '[[ -z $WORK ]] || rm -rf "$WORK"' EXIT

say() { printf 'ashline: %s\n' "$*"; }

die() {
	printf 'ashline: %s\n' "$*" >&2
	exit 1
}

# require_platform stops on anything but the one platform that is tested.
require_platform() {
	local id=unknown release=unknown machine
	if [[ -r /etc/os-release ]]; then
		id=$(. /etc/os-release && echo "${ID:-unknown}")
		release=$(. /etc/os-release && echo "${VERSION_ID:-unknown}")
	fi
	machine=$(uname -m)
	[[ $id == debian && $release == 12 && $machine == x86_64 ]] ||
		die "needs Debian 12 on x86_64; this is $id $release on $machine"
	[[ -n ${HOME:-}${XDG_CACHE_HOME:-} ]] || die "needs HOME or XDG_CACHE_HOME to be set"
	CACHE=${XDG_CACHE_HOME:-$HOME/.cache}/ashline
	mkdir -p "$CACHE" || die "cannot write to $CACHE"
}

# require_packages NAME... installs the Debian packages that are missing, by
# sudo where the caller is not root. The package lists are fetched only then:
# old lists name files that are gone.
require_packages() {
	local name missing=() root=()
	for name in "$@"; do
		[[ $(dpkg-query -W -f '${db:Status-Status}' "$name" 2>/dev/null) == installed ]] ||
			missing+=("$name")
	done
	((${#missing[@]})) || return 0
	if ((EUID != 0)); then
		command -v sudo >/dev/null || die "needs root or sudo to install: ${missing[*]}"
		root=(sudo)
	fi
	say "installing Debian packages: ${missing[*]}"
	"${root[@]}" apt-get update -qq || say "apt-get update failed; going on with the lists at hand"
	"${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
		-o DPkg::Lock::Timeout=300 -o Dpkg::Use-Pty=0 "${missing[@]}" >"$CACHE/apt.log" 2>&1 ||
		die "apt-get could not install ${missing[*]}: $(reason "$CACHE/apt.log")"
}

# require_npm installs Debian's node and npm where there are none.
require_npm() {
	command -v node >/dev/null || require_packages nodejs
	command -v npm >/dev/null || require_packages npm
}

# reason gives the line of a log that says what went wrong, and the log's name.
reason() {
	printf '%s (log: %s)' "$(grep -m1 '^E: ' "$1" || tail -n1 "$1")" "$1"
}

# is_go PATH tells whether PATH is the go command of exactly GO_VERSION.
is_go() {
	[[ -x $1 && $(GOTOOLCHAIN=local "$1" env GOVERSION 2>/dev/null) == "go$GO_VERSION" ]]
}

# require_go puts the pinned Go first on PATH. Where it is missing, any Go at
# hand, or else Debian's older one, fetches it as a module.
require_go() {
	export GOTOOLCHAIN=local
	unset GOROOT
	local go candidates=("$CACHE/go$GO_VERSION/bin/go" "$(command -v go || true)" /usr/local/go/bin/go)
	for go in "${candidates[@]}"; do
		if [[ -n $go ]] && is_go "$go"; then
			PATH=$(dirname -- "$go"):$PATH
			export PATH
			return 0
		fi
	done

	local fetcher=''
	for go in "${candidates[@]}" /usr/lib/go-1.19/bin/go; do
		[[ -z $fetcher && -x $go ]] && fetcher=$go
	done
	if [[ -z $fetcher ]]; then
		require_packages golang-go
		fetcher=/usr/lib/go-1.19/bin/go
	fi
	say "fetching Go $GO_VERSION"
	fetch_go "$fetcher"
	PATH=$CACHE/go$GO_VERSION/bin:$PATH
	export PATH
}

# fetch_go GO unpacks the pinned Go into the cache. A module's files come
# without execute bits and with the go.mod of its source tree set aside as
# _go.mod, so both are put right. The folder appears under its final name only
# when complete.
fetch_go() {
	local module dir sum
	module=golang.org/toolchain@v0.0.1-go$GO_VERSION.linux-amd64
	WORK=$(mktemp -d "$CACHE/fetch.XXXXXX")
	(cd "$WORK" && GOMODCACHE=$WORK/mod GOFLAGS=-modcacherw \
		"$1" mod download -json "$module" >module.json 2>"$CACHE/go.log") || {
		sed -n 's/^\t"Error": "\(.*\)"$/\1/p' "$WORK/module.json" >>"$CACHE/go.log"
		die "could not fetch Go $GO_VERSION: $(reason "$CACHE/go.log")"
	}
	dir=$(sed -n 's/^\t"Dir": "\(.*\)",$/\1/p' "$WORK/module.json")
	sum=$(sed -n 's/^\t"Sum": "\(.*\)",$/\1/p' "$WORK/module.json")
	[[ $sum == "$GO_SUM" ]] || die "Go $GO_VERSION as fetched has checksum $sum, not $GO_SUM"
	chmod -R a+x "$dir/bin" "$dir/pkg/tool"
	find "$dir/src" -maxdepth 2 -name _go.mod -execdir mv {} go.mod ';'
	is_go "$dir/bin/go" || die "Go $GO_VERSION as fetched does not run"
	rm -rf "$CACHE/go$GO_VERSION"
	mv "$dir" "$CACHE/go$GO_VERSION"
	rm -rf "$WORK"
	WORK=''
}

# require_tool PACKAGE@VERSION builds a tool from source into the cache, once
# for each version of it and of Go, and puts it on PATH.
require_tool() {
	local name dir
	name=$(basename -- "${1%@*}")
	[[ $name != v[0-9] ]] || name=$(basename -- "$(dirname -- "${1%@*}")")
	dir=$CACHE/tools/go$GO_VERSION/$name-${1##*@}
	if [[ ! -x $dir/$name ]]; then
		say "building $name ${1##*@}"
		mkdir -p "$(dirname -- "$dir")"
		WORK=$(mktemp -d "$CACHE/build.XXXXXX")
		(cd "$WORK" && GOBIN=$WORK CGO_ENABLED=0 GOFLAGS=-buildvcs=false \
			go install -trimpath -ldflags='-s -w' "$1") >"$CACHE/build.log" 2>&1 ||
			die "could not build $name ${1##*@}: $(reason "$CACHE/build.log")"
		rm -rf "$dir"
		mv "$WORK" "$dir"
		WORK=''
	fi
	PATH=$dir:$PATH
	export PATH
}
