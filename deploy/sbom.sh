#!/usr/bin/env bash
# Writes the list of what a built ashline is made of, as CycloneDX JSON, to standard
# output: the Go modules that were linked into it, as the program itself says, and the
# Debian packages of its shared libraries and of ffmpeg, as this machine has them. Run
# it where the program runs: on the machine, or in the container.
#   bash deploy/sbom.sh /usr/local/bin/ashline > ashline.cdx.json

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

[[ $# == 1 && -x $1 ]] || die "usage: sbom.sh PROGRAM"
program=$(realpath -- "$1")
exec 3>&1 1>&2 # what the set-up says is no part of the list
require_platform
require_packages "${PACKAGES[@]}" jq
require_go
require_tool "$CYCLONEDX_GOMOD"

# debian_packages prints the packages of the files that the program loads or runs.
debian_packages() {
	{
		ldd "$program" | sed -n 's/.*=> \(\/[^ ]*\).*/\1/p'
		ldd "$(command -v ffmpeg)" | sed -n 's/.*=> \(\/[^ ]*\).*/\1/p'
		command -v ffmpeg
		command -v ffprobe
	} | sort -u | while read -r file; do
		# Debian lists files of /usr/lib under /lib too, or only there.
		dpkg-query -S "$(realpath -- "$file")" 2>/dev/null || dpkg-query -S "$file" 2>/dev/null ||
			dpkg-query -S "${file#/usr}" || die "no package owns $file"
	done | sed 's/: .*//' | sort -u | xargs dpkg-query -W -f '${Package}\t${Version}\t${Architecture}\n'
}

WORK=$(mktemp -d "$CACHE/sbom.XXXXXX")
debian_packages >"$WORK/packages"
cyclonedx-gomod bin -json -std -output "$WORK/modules.json" "$program" >"$CACHE/sbom.log" 2>&1 ||
	die "could not list the modules: $(reason "$CACHE/sbom.log")"
jq --rawfile packages "$WORK/packages" '
	.components += [$packages | split("\n")[] | select(. != "") | split("\t") |
		"pkg:deb/debian/\(.[0])@\(.[1] | @uri)?arch=\(.[2])&distro=debian-12" as $purl |
		{"bom-ref": $purl, type: "library", name: .[0], version: .[1], purl: $purl}]
' "$WORK/modules.json" >&3
