#!/usr/bin/env bash
# Walks through the README and the guide on a machine that has nothing: a bare Debian in a
# folder, the packages that the README names, one Rust toolchain (the caller's
# own), an empty cargo home, a fresh clone of the last commit. Prints what each
# command took and how it ended; ends with 1 if one ended otherwise than it should.
#
#     sudo tests/fresh_machine/walk.sh FOLDER      # needs root, debootstrap, network
#
# FOLDER is made new, takes about 6 GB and is left for a look. Not part of
# `cargo test`. Commands that need the viewer or measurements of your own are run too
# and must be refused in the right words.
set -euo pipefail
if [ $# != 1 ] || [ -e "$1" ]; then
  echo "give one folder that is not there yet" >&2
  exit 2
fi
if [ "$(id -u)" != 0 ] || ! command -v debootstrap >/dev/null || ! command -v rustc >/dev/null; then
  echo "NOT RUN: needs root, debootstrap (Debian: apt-get install debootstrap) and a Rust" \
    "toolchain in root's PATH (sudo --preserve-env=PATH)" >&2
  exit 2
fi
# In a mount namespace of its own: what is mounted into the folder is gone with the script.
if [ -z "${AWASH_WALK_ALONE:-}" ]; then
  exec env AWASH_WALK_ALONE=yes unshare --mount "$0" "$@"
fi
repository=$(cd "$(dirname "$0")/../.." && pwd)
root=$(realpath -m "$1")

# Another mirror than debootstrap's own may be named in AWASH_MIRROR.
debootstrap --variant=minbase --include=ca-certificates bookworm "$root" ${AWASH_MIRROR:+"$AWASH_MIRROR"} >/dev/null
# The caller's way to the network: names, and whom to trust.
cp -L /etc/resolv.conf "$root/etc/resolv.conf"
cp -L /etc/ssl/certs/ca-certificates.crt "$root/etc/ssl/certs/ca-certificates.crt"
cp -a "$(rustc --print sysroot)" "$root/opt/rust"
git clone -q "$repository" "$root/root/awash"
mount --bind /proc "$root/proc"
mount --bind /dev "$root/dev"

inside() {
  chroot "$root" /usr/bin/env -i HOME=/root TERM=dumb LANG=C.UTF-8 DEBIAN_FRONTEND=noninteractive \
    PATH=/root/.cargo/bin:/opt/rust/bin:/usr/sbin:/usr/bin:/sbin:/bin \
    sh -c "cd /root/awash && $1"
}

failed=0
# how it should end (0, or the words of awash's refusal), command
step() {
  local start end code=0
  start=$(date +%s.%N)
  inside "$2" >"$root/root/out" 2>"$root/root/err" || code=$?
  end=$(date +%s.%N)
  local verdict=ok
  case $1 in
    0) [ "$code" = 0 ] || verdict=FAILED ;;
    *) { [ "$code" = 2 ] && grep -q "$1" "$root/root/err"; } || verdict=FAILED ;;
  esac
  printf '%8.1f s  exit %d  %-6s  %s\n' "$(echo "$end $start" | awk '{print $1 - $2}')" "$code" "$verdict" "$2"
  if [ "$verdict" != ok ]; then
    failed=1
    tail -n 20 "$root/root/err"
    # Nothing else can go right.
    case $2 in apt-get* | cargo*) exit 1 ;; esac
  fi
}

echo "$(inside 'cat /etc/debian_version; rustc --version' | paste -sd' '), $(nproc) cores, commit $(git -C "$repository" rev-parse --short HEAD)"
step 0 "apt-get install -qy --no-install-recommends gcc libc6-dev"
# The README's lines of code, in its order; each once.
readme="$root/root/awash/README.md"
step 0 "$(grep -m1 -o '^    cargo run .*' "$readme" | sed 's/^ *//')"
step 0 "$(grep -m1 -x '    cargo test' "$readme" | sed 's/^ *//')"
step 0 "cargo install --locked --path ."
guide="$root/root/awash/src/reference/guide.md"
cat "$readme" "$guide" | grep -E '^( {4})?(awash|mkdir) ' | sed 's/^ *//' \
  | awk '!seen[$0]++' >"$root/root/lines"
while IFS= read -r line <&3; do
  case $line in
    "awash view "*) step "installed without its viewer" "$line" ;;
    "awash start "*) step 0 "yes '' | $line" ;;
    "awash calibrate "*) step "cannot read measured.toml" "$line" ;;
    *) step 0 "$line" ;;
  esac
done 3<"$root/root/lines"
# Without the checkout: the demo's files come out of the command itself.
step 0 "cd / && awash demo /root/craft && awash float /root/craft/dipper/asfitted.toml"
step 0 "awash demo --help && awash float --help"
exit $failed
