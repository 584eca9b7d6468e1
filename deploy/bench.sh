#!/usr/bin/env bash
# Measures the server beside its peers on this machine, in one run: the bare
# framework answering the same bytes, and the bare database taking them. Prints
# a table; what is measured is in the benchmarks that it names.
#
#   deploy/bench.sh            about five minutes; the machine should do nothing else
#   BOARDS=100000 deploy/bench.sh search     search among so many boards (default 1,000,000; takes long to fill)
set -euo pipefail
cd "$(dirname "$0")/.."

figure() { # figure UNIT LINE: the figure before a unit of one line of benchmarks
  awk -v unit="$1" '{for (i = 2; i <= NF; i++) if ($i == unit) print $(i-1)}' <<<"$2"
}

if [ "${1:-}" = search ]; then
  go test ./store -run=- -bench='^BenchmarkSearch$' -benchtime=300x -timeout 60m |
    awk '/^BenchmarkSearch/ {sub("BenchmarkSearch/", "", $1); printf "%-24s", $1; for (i = 3; i < NF; i += 2) printf "  %12s %s", $i, $(i+1); print ""}'
  exit
fi

out=$(mktemp)
trap 'rm -f "$out"' EXIT
go test ./api/pages -run=- -bench='^BenchmarkBeside$' -benchtime="${TIME:-3s}" -timeout 60m >"$out" || { cat "$out"; exit 1; }
printf '%-22s %10s %10s %12s %10s   %s\n' work requests/s p95,ms processor,µs bytes 'beside its peer (rate; processor)'
while read -r line; do
  name=${line%% *}
  name=${name#BenchmarkBeside/}
  name=${name%-[0-9]*}
  rate=$(figure req/s "$line") cpu=$(figure 'cpu-µs/req' "$line")
  peer=$(grep "^BenchmarkBeside/${name%%[-/]*}/peer" "$out" || true)
  beside=
  if [ -n "$peer" ] && [ "${name##*/}" = server ]; then
    beside=$(awk -v a="$rate" -v b="$(figure req/s "$peer")" -v c="${cpu:-0}" -v d="$(figure 'cpu-µs/req' "$peer")" \
      'BEGIN {printf "%.2f", a / b; if (c > 0 && d > 0) printf "; %.2f", d / c}')
  fi
  printf '%-22s %10.0f %10.1f %12s %10.0f   %s\n' "$name" "$rate" "$(figure p95-ms "$line")" "${cpu:--}" "$(figure bytes "$line")" "$beside"
done < <(grep '^BenchmarkBeside/' "$out")
go test ./store -run=- -bench='^Benchmark(Load|Release|Checklist|KitBoards)$' -timeout 60m | grep '^Benchmark'
go test ./domain/kit ./domain/reading ./domain/list ./schema -run=- -bench=. -benchmem -timeout 60m | grep '^Benchmark'
