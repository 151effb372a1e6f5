#!/bin/sh
# The page in a real browser (Debian's chromium), driven by keys and touch, with poised and a simulated scale behind it.
# usage: run.sh BUILD [all]     without `all` the short run: one size and language a story
set -eu
build=$(cd "${1:-build}" && pwd)
cd "$(dirname "$0")"
work=$build/page-tests
mkdir -p "$work"
cp package.json ./*.mjs "$work/"
# The tools stay in the build folder; without a network that is reached once, the tests cannot run.
[ -d "$work/node_modules/playwright-core" ] && [ -d "$work/node_modules/axe-core" ] ||
    (cd "$work" && npm install --no-audit --no-fund --no-package-lock --loglevel=error >npm.log 2>&1) ||
    { cat "$work/npm.log" >&2; echo "test-page: npm could not install playwright-core and axe-core" >&2; exit 69; }
POISE_BUILD=$build POISE_TREE=$(cd ../.. && pwd) PAGE_RUN=${2:-short} exec node "$work/stories.mjs"
