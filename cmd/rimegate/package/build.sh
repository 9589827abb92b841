#!/usr/bin/env bash
# Builds what strangers download, into dist/:
#   build.sh binaries   archives for each system and architecture, SBOMs, SHA256SUMS
#   build.sh packages   .deb and .rpm
#   build.sh sbom       the SBOM of this system's program alone
#   build.sh program    that program alone, as ./rimegate
# PLATFORMS names other ones than all ("linux/amd64 darwin/arm64"). Two builds of one
# commit are the same byte for byte: every time in them is that of the commit.
set -euo pipefail
cd "$(dirname "$0")/../../.."

NFPM=github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.45.2
SBOM=github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0
TAGS=urfave_cli_no_docs # we make our own manual: leaves a renderer of Markdown out

commit=$(git rev-parse --short=12 HEAD)
SOURCE_DATE_EPOCH=$(git log -1 --format=%ct)
day=$(TZ=UTC git log -1 --format=%cd --date=format-local:%Y%m%d)
# A tag v1.2.0 is version 1.2.0; five commits behind it are 1.2.0+5.gHASH.
version=$(git describe --tags --match 'v[0-9]*' --long 2>/dev/null | sed -E 's/^v//; s/-0-g[0-9a-f]+$//; s/-([0-9]+)-(g[0-9a-f]+)$/+\1.\2/') || true
version=${version:-0.0.0+$day.g${commit:0:7}}
if [ -n "$(git status --porcelain --untracked-files=no)" ]; then commit+=+changed version+=.changed; fi
[[ $version == *+* ]] || version=${version/.changed/+changed}
export SOURCE_DATE_EPOCH LC_ALL=C TZ=UTC CGO_ENABLED=0
umask 022
dist=$PWD/dist
mkdir -p "$dist"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
say() { printf '== %s\n' "$*" >&2; }

program() { # os, arch, file
  say "rimegate $version for $1/$2"
  GOOS=$1 GOARCH=$2 go build -trimpath -buildvcs=false -tags "$TAGS" -ldflags "-s -w -X 'main.stamp=$version $commit'" -o "$3" ./cmd/rimegate
}

# The SBOM of a program is made of what the program itself says it was built from.
sbom() { # program, file
  go run "$SBOM" bin -json -std -noserial -notimestamp -output-version 1.5 -version "$version" -output "$2" "$1" 2>"$work/sbom.log" ||
    { cat "$work/sbom.log" >&2; return 1; }
}

# Licences of everything that is in a program, and of Go.
licences() { # program, folder
  mkdir -p "$2"
  cp "$(go env GOROOT)/LICENSE" "$2/go.txt"
  go version -m "$1" | awk '$1 == "dep" {print $2 "@" $3}' | while read -r module; do
    from=$(go list -m -f '{{.Dir}}' "${module%@*}")
    found=
    for text in "$from"/LICEN[CS]E* "$from"/UNLICENSE* "$from"/COPYING* "$from"/NOTICE*; do
      [ -f "$text" ] || continue
      { [ -z "$found" ] || echo; cat "$text"; } >>"$2/$(tr '/' '_' <<<"$module").txt"
      found=1
    done
    [ -n "$found" ] || { echo "no licence in $module" >&2; exit 1; }
  done
}

# What comes with a program: papers, the manual and completions. The manual is made
# by the program for this computer, which has the same words as the others.
beside() { # program, folder
  mkdir -p "$2/doc" "$2/man1" "$2/completion"
  cp README.md SAFETY.md CHANGELOG.md hazard/CONTRACT.md "$2/doc"
  cp LICENSE "$2/doc/copyright"
  licences "$1" "$2/doc/third-party-licences"
  sbom "$1" "$2/doc/sbom.cdx.json"
  "$here" man --out "$2/man1"
  for shell in bash zsh fish; do "$here" completion $shell >"$2/completion/rimegate.$shell"; done
}

host=$(go env GOHOSTOS)/$(go env GOHOSTARCH)
here=$work/here
program "${host%/*}" "${host#*/}" "$here"

binaries() {
  rm -f "$dist"/*.tar.gz "$dist"/*.zip "$dist"/rimegate_*.cdx.json
  for platform in ${PLATFORMS:-linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64}; do
    os=${platform%/*} arch=${platform#*/}
    name=rimegate_${version}_${os}_$arch
    exe=rimegate
    [ "$os" != windows ] || exe=rimegate.exe
    mkdir "$work/$name"
    program "$os" "$arch" "$work/$name/$exe"
    beside "$work/$name/$exe" "$work/$name"
    cp "$work/$name/doc/sbom.cdx.json" "$dist/$name.cdx.json"
    chmod -R u=rwX,go=rX "$work/$name"
    [ "$os" != windows ] || rm -r "$work/$name/man1" "$work/$name/completion"
    find "$work/$name" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +
    if [ "$os" = windows ]; then
      (cd "$work" && find "$name" | sort | zip -q -X -9 "$dist/$name.zip" -@)
    else
      tar -C "$work" --sort=name --owner=0 --group=0 --numeric-owner -cf - "$name" | gzip -9n >"$dist/$name.tar.gz"
    fi
  done
  sums
}

packages() {
  config=$PWD/cmd/rimegate/package/nfpm.yaml
  rm -f "$dist"/*.deb "$dist"/*.rpm
  for arch in ${ARCHES:-amd64 arm64}; do
    root=$work/package-$arch
    mkdir -p "$root/stage"
    program linux "$arch" "$root/stage/rimegate"
    beside "$root/stage/rimegate" "$root/stage"
    gzip -9n "$root"/stage/man1/*
    chmod -R u=rwX,go=rX "$root"
    find "$root" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +
    for kind in deb rpm; do
      (cd "$root" && ARCH=$arch VERSION=$version \
        go run "$NFPM" package --config "$config" --packager $kind --target "$dist" >&2)
    done
  done
  sums
}

sums() { (cd "$dist" && rm -f SHA256SUMS && find . -maxdepth 1 -type f -printf '%P\n' | sort | xargs sha256sum >"$work/sums" && mv "$work/sums" SHA256SUMS); }

case ${1-} in
program) cp "$here" rimegate ;;
binaries) binaries ;;
packages) packages ;;
sbom)
  sbom "$here" "$dist/rimegate.cdx.json"
  sums
  say "dist/rimegate.cdx.json" ;;
*) sed -n '2,8p' "$0"; exit 2 ;;
esac
