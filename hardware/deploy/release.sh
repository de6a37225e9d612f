#!/bin/sh
# Puts the built program that this script lies in under /opt/bathkeeper as a new release, switches to it, and goes back
# to the one before if it does not come up healthy. Run as root. Offline: nothing is fetched.
#   --root DIR   put it under DIR instead of / (for images, and for trying this script)
set -eu

say() { printf '%s\n' "$*" >&2; }
fail() { say "release: $*"; exit 1; }

root=''
while [ $# -gt 0 ]; do
  case $1 in
    --root) [ $# -gt 1 ] || fail 'expected a folder after --root'; root=$2; shift 2 ;;
    *) fail "unknown \"$1\": expected --root DIR or nothing" ;;
  esac
done

source=$(cd "$(dirname "$0")/../.." && pwd)
home=$root/opt/bathkeeper
health=${BATHKEEPER_HEALTH:-http://127.0.0.1:8410/api/health}
wait_s=${BATHKEEPER_WAIT_S:-60}
parts='package.json package-lock.json README.md LICENSE dist node_modules hardware'

for part in $parts; do
  [ -e "$source/$part" ] || fail "$source/$part is missing: run npm install there first"
done
node -e 'const [a, b] = process.versions.node.split(".").map(Number); process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' ||
  fail "Node $(node --version) is too old: expected 20.19 or newer"

name=$(node -p 'require(process.argv[1]).version' "$source/package.json")-$(date -u +%Y%m%dT%H%M%SZ)
mkdir -p "$home/releases"
[ ! -e "$home/releases/$name" ] || fail "$home/releases/$name is there already: wait a second"
before=$(readlink "$home/current" || true)

# Whole or not at all: a power cut while copying leaves only a folder that nothing points to.
partial=$home/releases/.partial
rm -rf "$partial"
mkdir "$partial"
for part in $parts; do cp -R "$source/$part" "$partial/"; done
chmod -R u+rwX,go+rX,go-w "$partial"
sync
mv "$partial" "$home/releases/$name"

switch() {
  ln -sfn "$1" "$home/current.new"
  mv -T "$home/current.new" "$home/current"
}

healthy() {
  tries=0
  while [ "$tries" -lt "$wait_s" ]; do
    if curl -fsS -m 2 -o /dev/null "$health" 2>/dev/null; then return 0; fi
    tries=$((tries + 1))
    sleep 1
  done
  return 1
}

switch "releases/$name"
if systemctl restart bathkeeper && healthy; then
  say "release: $name runs."
else
  if [ -z "$before" ]; then
    fail "$name did not come up within $wait_s s. See: journalctl -u bathkeeper -e"
  fi
  switch "$before"
  systemctl restart bathkeeper || true
  fail "$name did not come up within $wait_s s; went back to $before. See: journalctl -u bathkeeper -e"
fi

# Three releases are enough to go back; the names sort by time within a version, so by age of the folder.
# shellcheck disable=SC2012 # names are ours: version and time
ls -1dt "$home"/releases/*/ | tail -n +4 | while read -r old; do
  [ "$(readlink -f "$home/current")" = "$(readlink -f "$old")" ] || rm -rf "$old"
done
