#!/usr/bin/env bash
# Looks at the pages in a browser: renders two small clips, measures them, and opens
# their reports and a comparison in headless Chromium, from disk and over HTTP. With
# --shots DIR it saves pictures of them there. Playwright's core (Apache-2.0) drives
# the browser, axe-core (MPL-2.0) checks that everyone can use the pages; both come
# from npm, at the versions below, and stay outside the tree.

# shellcheck source=deploy/setup.sh
. "$(dirname -- "${BASH_SOURCE[0]}")/setup.sh"

# The last of the first that runs on Debian 12's node 18.
PLAYWRIGHT=playwright-core@1.61.0
AXE=axe-core@4.11.0

# fetch_tools DIR puts both packages there.
fetch_tools() {
	[[ -d $1/node_modules ]] && return 0
	say "fetching $PLAYWRIGHT and $AXE"
	WORK=$(mktemp -d "$CACHE/fetch.XXXXXX")
	(cd "$WORK" && echo '{"private": true}' >package.json &&
		npm install --silent --ignore-scripts --no-audit --no-fund "$PLAYWRIGHT" "$AXE" >"$CACHE/look.log" 2>&1) ||
		die "could not fetch $PLAYWRIGHT and $AXE: $(reason "$CACHE/look.log")"
	rm -rf "$1"
	mv "$WORK" "$1"
	WORK=''
}

SHOTS=()
case ${1-} in
'') ;;
--shots)
	[[ -n ${2-} ]] || die "--shots wants a folder"
	mkdir -p "$2"
	SHOTS=(--shots "$(cd "$2" && pwd)")
	;;
*) die "look.sh takes --shots DIR or nothing" ;;
esac

require_platform
require_packages "${PACKAGES[@]}"
command -v chromium >/dev/null || require_packages chromium
require_npm
require_go
TOOLS=$CACHE/look-${PLAYWRIGHT##*@}-${AXE##*@}
fetch_tools "$TOOLS"

cd "$REPO"
WORK=$(mktemp -d)
bash deploy/build.sh "$WORK"
# A label is the text on a page that a card leaves most free; characters that turn the
# direction of writing are refused with the card.
RUDE=$(printf '"><img src=x onerror=document.title=1><script>alert(1)</script> --> {{.}} %s' "$(printf 'x%.0s' {1..220})")
# clip NAME FLAG... renders a clip and measures it.
clip() {
	local name=$1
	shift
	"$WORK/ashline-lab" scene --size 640x360 --lead-in 0.4 --out "$WORK/clips" --name "$name" "$@" >/dev/null &&
		"$WORK/ashline" measure "$WORK/clips/$name.mp4" --out "$WORK/pages/$name" >/dev/null
}
clip rude --seed 3 --run-out 0.32 --family left --label "$RUDE" &
RUDE_JOB=$!
clip plain --seed 33 --run-out 0.42 --kind machine --bands all --hitter fh-017 --label 'before the break'
"$WORK/ashline" measure "$WORK/clips/plain.mp4" --no-overlay --out "$WORK/pages/bare" >/dev/null
wait "$RUDE_JOB" || die "the second clip could not be measured"
mkdir -p "$WORK/pages/made-up"
cp "$WORK/pages/plain/overlay.mp4" "$WORK/pages/made-up/compare.mp4"
FRAMES=$(grep -o 'data-frames="[0-9]*"' "$WORK/pages/plain/report.html" | tr -dc 0-9)
ASHLINE_PAGES=$WORK/pages/made-up ASHLINE_FRAMES=$FRAMES go test -count=1 -run '^TestMadeUpPages$' ./pipeline/report >/dev/null

"$WORK/ashline" compare "$WORK/clips/plain.mp4" "$WORK/clips/rude.mp4" --mix --out "$WORK/pages/compared" >/dev/null

NODE_PATH=$TOOLS/node_modules node deploy/look.cjs "${SHOTS[@]}" \
	"$WORK/pages/plain/report.html" "$WORK/pages/rude/report.html" "$WORK/pages/bare/report.html" \
	"$WORK/pages/made-up/rude.html" "$WORK/pages/made-up/compare.html" "$WORK/pages/compared/compare.html"
