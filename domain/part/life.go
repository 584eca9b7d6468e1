package part

import "boardlore/domain/quantity"

// hoursPerYear turns hours of life into years of running day and night.
const hoursPerYear = 8760

// The law of life as whole numbers in a thousandth, so that rules compare
// exactly: doubling[k] is 2^(k/10), tenfold[k] is 10^(k/20). Wet aluminium
// doubles its life every 10 degrees (good from 70 to 90 °C, rough below 60 and
// above 105), polymer gains tenfold every 20. Source: makers' technical notes on
// aluminium electrolytic capacitors.
var (
	doubling = [10]int64{1000, 1072, 1149, 1231, 1320, 1414, 1516, 1625, 1741, 1866}
	tenfold  = [20]int64{1000, 1122, 1259, 1413, 1585, 1778, 1995, 2239, 2512, 2818,
		3162, 3548, 3981, 4467, 5012, 5623, 6310, 7079, 7943, 8913}
)

// lifeFactor gives the gain in life for a part that runs drop degrees below
// its rating, as num/den.
func lifeFactor(drop int, polymer bool) (num, den int64) {
	const most = 200 // degrees; keeps the figures small
	up := drop >= 0
	if !up {
		drop = -drop
	}
	drop = min(drop, most)
	if polymer {
		num, den = tenfold[drop%20], 1000
		for range drop / 20 {
			num *= 10
		}
	} else {
		num, den = doubling[drop%10]<<(drop/10), 1000
	}
	if !up {
		num, den = den, num
	}
	return num, den
}

const coldest, hottest = -100, 300

// degrees gives the temperature in whole °C, rounded up, kept within -100 to
// 300.
func degrees(q quantity.Quantity) int { return whole(q, 0, coldest, hottest) }

// whole gives q in units of 10^exp, rounded up and kept within lo to hi: whole
// numbers for exact sums.
func whole(q quantity.Quantity, exp int, lo, hi int64) int {
	n, ok := q.Ceil(exp)
	switch {
	case ok:
		n = min(max(n, lo), hi)
	case q.Sign() < 0:
		n = lo
	default:
		n = hi
	}
	return int(n)
}
