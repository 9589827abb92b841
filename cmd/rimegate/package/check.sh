#!/usr/bin/env bash
# Installs this computer's package into a scratch root and runs every file of it: the
# program with an empty home, each manual page, each completion. Removing it leaves
# nothing behind. What needs a program that is not here is said and passed over.
#   check.sh [FILE.deb FILE.rpm]   (made if left out)
set -euo pipefail
cd "$(dirname "$0")/../../.."
arch=$(go env GOHOSTARCH)
if [ $# = 0 ]; then
  ARCHES=$arch bash cmd/rimegate/package/build.sh packages
  rpmarch=$arch
  case $arch in amd64) rpmarch=x86_64 ;; arm64) rpmarch=aarch64 ;; esac
  set -- dist/rimegate_*_"$arch".deb dist/rimegate-*."$rpmarch".rpm
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "check.sh: $*" >&2; exit 1; }
has() { command -v "$1" >/dev/null || { echo "   $1 is not here: passed over"; return 1; }; }
files() { (cd "$1" && find . ! -type d -printf '%P\n' | sort); }

run() { # root
  local root=$1 home=$work/home share=$1/usr/share
  rm -rf "$home" && mkdir -p "$home/work"
  clean() { (cd "$home/work" && env -i HOME="$home" PATH="$root/usr/bin:/usr/bin:/bin" LC_ALL=C.UTF-8 TERM=xterm "$@"); }
  clean rimegate demo >"$work/page" && grep -q '^ MOVE OUT NOW: ' "$work/page" || fail "demo prints no page"
  clean rimegate version | tee "$work/version"
  ! grep -q unknown "$work/version" || fail "the version is not known"
  local n=0 page text
  for page in "$share"/man/man1/*; do
    text=$(gzip -cd "$page")
    n=$((n + 1))
    case $page in */rimegate.1.gz) words='' ;; *) words=$(sed -n 's/^\.SH SYNOPSIS$/&/;/^\.SH SYNOPSIS/{n;s/\\-/-/g;s/^rimegate //;s/ \(COMMAND\|\[\|[A-Z]\).*//;p;q}' <<<"$text") ;; esac
    # shellcheck disable=SC2086 # several words
    [ "$(clean rimegate man $words)" = "$text" ] || fail "$page is not what the program prints for '$words'"
    if command -v groff >/dev/null; then
      out=$(groff -ww -man -Tutf8 <<<"$text" 2>&1 >"$work/page") && [ -z "$out" ] && [ -s "$work/page" ] || fail "$page: $out"
    fi
  done
  [ "$n" -gt 80 ] || fail "only $n manual pages"
  has groff || true
  local offer='--generate-bash-completion'
  clean rimegate $offer log mov >"$work/page" && grep -q '^moved' "$work/page" || fail "no completion"
  clean bash -c 'set -u; . "$1"; COMP_WORDS=(rimegate log mov) COMP_CWORD=2; _rimegate; [ "${COMPREPLY[*]}" = moved ]' \
    bash "$share/bash-completion/completions/rimegate" || fail "bash does not complete"
  if has fish; then
    clean fish --no-config -c 'source $argv[1]; complete -C "rimegate log mov"' "$share/fish/vendor_completions.d/rimegate.fish" >"$work/page"
    grep -q '^moved' "$work/page" || fail "fish does not complete"
  fi
  if has zsh; then
    for f in "$share"/zsh/*/_rimegate; do
      # shellcheck disable=SC2016 # zsh expands it
      clean zsh -f -c 'fpath=(${1:h} $fpath); autoload -Uz compinit; compinit -u -D; (( $+_comps[rimegate] )) && autoload +X _rimegate' \
        zsh "$f" || fail "zsh does not load $f"
    done
  fi
  for f in README.md SAFETY.md CHANGELOG.md CONTRACT.md copyright sbom.cdx.json third-party-licences/go.txt; do
    [ -s "$share/doc/rimegate/$f" ] || fail "no $f"
  done
  go version -m "$root/usr/bin/rimegate" | awk '$1 == "dep" {print $2 "@" $3}' | while read -r module; do
    grep -qF "\"pkg:golang/$module?" "$share/doc/rimegate/sbom.cdx.json" || fail "$module is not in the SBOM"
    [ -s "$share/doc/rimegate/third-party-licences/$(tr / _ <<<"$module").txt" ] || fail "no licence of $module"
  done
}

for package; do
  root=$work/root
  rm -rf "$root" && mkdir -p "$root"
  echo "== $package"
  case $package in
  *.deb)
    has dpkg-deb || continue
    if [ "$(id -u)" = 0 ] && has dpkg; then
      mkdir -p "$root"/var/lib/dpkg/{info,updates} && : >"$root/var/lib/dpkg/status"
      dpkg --root="$root" --force-script-chrootless -i "$package" >/dev/null
      run "$root"
      dpkg --root="$root" --purge rimegate >/dev/null
      left=$(files "$root" | grep -v '^var/lib/dpkg/\|^var/log/' || true)
      [ -z "$left" ] || fail "removal leaves $left"
    else
      dpkg-deb -x "$package" "$root"
      run "$root"
    fi ;;
  *.rpm)
    has rpm || continue
    rpm --root "$root" --dbpath /var/lib/rpm --nodeps --nosignature --ignorearch -i "$package"
    run "$root"
    rpm --root "$root" --dbpath /var/lib/rpm --nodeps -e rimegate
    left=$(files "$root" | grep -v '^var/lib/rpm/' || true)
    [ -z "$left" ] || fail "removal leaves $left" ;;
  *) fail "$package is no package" ;;
  esac
done
echo "every file of every package was run"
