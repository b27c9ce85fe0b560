#!/usr/bin/env bash
# Breaks the program on purpose, one fault at a time, and writes down which cases of the
# verification book notice: table.md beside this script.
#
#   verification/mutations/run.sh            all faults
#   verification/mutations/run.sh NAME...    some; the rows of the others stay
#
# Works on a copy in a scratch folder, never on the sources here. Needs cargo and patch. Each fault is
# one incremental build and one quick book, so the whole takes a while. BUILD_FLAGS go to cargo.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
scratch=${SCRATCH:-$(mktemp -d)}
limit=${LIMIT:-600}
mkdir -p "$scratch/copy" "$scratch/rows"
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$scratch/target}

# Only what differs is copied, so that a build finds what it built before.
fresh() {
    for part in Cargo.toml Cargo.lock README.md src verification examples; do
        if [ -d "$root/$part" ]; then
            mkdir -p "$scratch/copy/$part"
            (cd "$root/$part" && find . -type f -print0) | while IFS= read -r -d '' file; do
                if ! cmp -s "$root/$part/$file" "$scratch/copy/$part/$file"; then
                    mkdir -p "$(dirname "$scratch/copy/$part/$file")"
                    cp "$root/$part/$file" "$scratch/copy/$part/$file"
                fi
            done
        else
            cmp -s "$root/$part" "$scratch/copy/$part" || cp "$root/$part" "$scratch/copy/$part"
        fi
    done
}

book() {
    rm -rf "$scratch"/book-results*
    timeout "$limit" "$CARGO_TARGET_DIR/release/hoopset" verify --quick --out "$scratch/book-results"
}

if [ $# -gt 0 ]; then names=("$@"); else
    names=()
    for patch in "$here"/patches/*.patch; do names+=("$(basename "$patch" .patch)"); done
fi
for name in "${names[@]}"; do
    patch_file=$here/patches/$name.patch
    fault=$(head -n 1 "$patch_file")
    file=$(sed -n 's|^+++ b/||p' "$patch_file" | head -n 1)
    fresh
    (cd "$scratch/copy" && patch --quiet -p1 <"$patch_file")
    if ! (cd "$scratch/copy" && cargo build --release --quiet --bin hoopset ${BUILD_FLAGS:-} >"$scratch/$name.build" 2>&1); then
        noticed="**does not build**"
        count=0
    else
        code=0
        book >"$scratch/$name.log" 2>&1 || code=$?
        noticed=$(awk '/FALLS SHORT/ { printf "%s%s", sep, $1; sep = ", " }' "$scratch/$name.log")
        count=$(grep -c 'FALLS SHORT' "$scratch/$name.log" || true)
        if [ "$code" = 124 ]; then noticed="no end within $limit s"; count=1; fi
        if [ "$code" != 0 ] && [ "$code" != 124 ] && [ "$count" = 0 ]; then noticed="exit code $code"; count=1; fi
        if [ "$count" = 0 ]; then noticed="**nothing**"; fi
    fi
    printf '| %s | %s | `%s` | %s | %s |\n' "$name" "$fault" "$file" "$count" "$noticed" >"$scratch/rows/$name"
    echo "$name: $noticed"
done

# Rows of faults that were not run this time are taken from the table that is there.
rows=$(for patch in "$here"/patches/*.patch; do
    name=$(basename "$patch" .patch)
    if [ -f "$scratch/rows/$name" ]; then cat "$scratch/rows/$name"
    else grep -F "| $name | " "$here/table.md" 2>/dev/null || true; fi
done)
{
    echo "# What notices which fault"
    echo
    echo "From a run of \`run.sh\`: each fault of \`patches/\` alone, the quick subset of the book, and the cases that"
    echo "then fall short."
    echo
    echo "| fault | what is wrong | file | cases | noticed by |"
    echo "|---|---|---|---|---|"
    printf '%s\n' "$rows"
} >"$scratch/table.md"
mv "$scratch/table.md" "$here/table.md"
