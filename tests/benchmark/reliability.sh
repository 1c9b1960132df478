#!/bin/sh
# How true are the temperatures, their doubt and the verdicts? Runs `PROGRAM map` on every board of
# the sets, each a folder of job folders that hold their truth in truth.csv (make_boards makes
# them), and prints a line a set:
#   boards    job folders mapped
#   rmse_k    root mean square error of temp_c over all parts, K
#   in50..95  share of true temperatures inside the central 50, 80, 90, 95 % interval of a normal
#             with mean temp_c and deviation temp_sd_k
#   right     share of parts whose `used` falls on the right side of 1
#   missed    share of parts called used <= 1 that are truly past it
#   worn_left share of the parts truly past their life whose verdict is `leave`
# Results stay in OUT, or go when no OUT is named.
usage="usage: reliability.sh [--out OUT] [--jobs N] PROGRAM SET..."

out='' jobs=2
while :; do
    case $1 in
    --out) out=$2; shift 2 ;;
    --jobs) jobs=$2; shift 2 ;;
    -*) echo "$usage" >&2; exit 64 ;;
    *) break ;;
    esac
done
[ $# -ge 2 ] || { echo "$usage" >&2; exit 64; }
program=$1
shift
[ -x "$program" ] || { echo "reliability.sh: $program: not a program" >&2; exit 66; }
if [ -z "$out" ]; then
    out=$(mktemp -d) || exit 73
    trap 'rm -rf "$out"' EXIT INT TERM
fi

# one line a part: error, deviation, called used, true used, verdict
compare='
function column(name,  i) { for (i = 1; i <= NF; i++) if ($i == name) return i; return 0 }
FNR == 1 && ++file == 1 { r = column("ref"); t = column("temp_c"); u = column("used"); next }
FNR == 1 {
    R = column("ref"); T = column("temp_c"); D = column("temp_sd_k"); U = column("used")
    V = column("verdict")
    if (!R || !T || !D || !U || !V) { print "missing column" > "/dev/stderr"; exit 1 }
    next
}
file == 1 { temp[$r] = $t; used[$r] = $u; known++; next }
$R in temp { print $T - temp[$R], $D, $U, used[$R], $V; seen++ }
END { if (seen != known) exit 1 }'

summary='
{
    parts++; square += $1 * $1; z = ($1 < 0 ? -$1 : $1) / ($2 > 0 ? $2 : 1e-9)
    in50 += z <= 0.67449; in80 += z <= 1.28155; in90 += z <= 1.64485; in95 += z <= 1.95996
    worn += $4 > 1; right += ($3 > 1) == ($4 > 1); missed += $3 <= 1 && $4 > 1
    left += $4 > 1 && $5 == "leave"
}
END {
    if (!parts) { print set, "no results"; exit 1 }
    printf "%-14s %6d %6d %7.3f %6.3f %6.3f %6.3f %6.3f %6.3f %7.4f %9.4f\n", set, boards, parts,
        sqrt(square / parts), in50 / parts, in80 / parts, in90 / parts, in95 / parts,
        right / parts, missed / parts, worn ? left / worn : 0
}'

printf '%-14s %6s %6s %7s %6s %6s %6s %6s %6s %7s %9s\n' set boards parts rmse_k in50 in80 in90 \
    in95 right missed worn_left
failed=0
for set in "$@"; do
    name=$(basename "$set")
    mkdir -p "$out/$name" || exit 73
    find "$set" -mindepth 1 -maxdepth 1 -type d | sort | xargs -P "$jobs" -I BOARD sh -c \
        '"$1" map "$2" --out "$3/$(basename "$2")" --quiet >/dev/null || echo "failed: $2" >&2' \
        sh "$program" BOARD "$out/$name"
    boards=0
    : >"$out/$name/all.txt"
    for board in "$set"/*/; do
        result="$out/$name/$(basename "$board")/parts.csv"
        if [ -f "$result" ] && awk -F, "$compare" "${board}truth.csv" "$result" \
            >>"$out/$name/all.txt"; then
            boards=$((boards + 1))
        else
            failed=$((failed + 1))
        fi
    done
    awk -v set="$name" -v boards="$boards" "$summary" "$out/$name/all.txt" || failed=$((failed + 1))
done
[ "$failed" -eq 0 ] || echo "$failed boards or sets without a result" >&2
[ "$failed" -eq 0 ]
