#!/usr/bin/env bash
# Builds the commit twice, in two folders of different length, and compares what
# comes out byte by byte. PLATFORMS and ARCHES as in build.sh; WHAT is "binaries
# packages" if left out. Changes that are not committed are not built.
set -euo pipefail
cd "$(dirname "$0")/../../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
for folder in a another/folder/b; do
  umask "$([ $folder = a ] && echo 022 || echo 077)"
  git clone -q --no-hardlinks . "$work/$folder"
  for what in ${WHAT:-binaries packages}; do bash "$work/$folder/cmd/rimegate/package/build.sh" "$what"; done
  (cd "$work/$folder/dist" && sha256sum -- * >"$work/$(basename "$folder").sums")
done
diff "$work/a.sums" "$work/b.sums"
echo "$(wc -l <"$work/a.sums") files, the same from both folders"
