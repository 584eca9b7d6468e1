package api

import (
	"math"
	"net/netip"
	"strconv"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"
)

// Budget says which share of the caller's allowance a request draws on.
type Budget uint8

const (
	Reads   Budget = iota // answered from memory or by one look-up
	Labour                // search, comparison, drawing, checks: computation for the caller
	Writes                // acts
	Refused               // tokens that were not valid
	budgets
)

// Rate is an allowance: so many requests a second in the long run, and so many
// at once after a rest.
type Rate struct {
	PerSecond float64
	Burst     int
}

// Limits are the allowances of one caller: an account, or an address for
// callers without a token. A zero Rate stands for its default, a zero Burst for
// one in the default's proportion to the rate.
type Limits struct {
	Off    bool // no limits at all, for a server behind a gateway that has its own
	Reads  Rate // default 20,000/s, burst 40,000: a whole bench of tools behind one address
	Labour Rate // default 500/s, burst 2,000
	Writes Rate // default 100/s, burst 1,000
	Failed Rate // refused tokens from one address: default 2/s, burst 50
}

// maxCallers bounds the memory of the limiter: two generations of so many
// callers. A caller that falls out starts afresh, to its own advantage only.
const maxCallers = 10_000

type allowance [budgets]*rate.Limiter

type limiter struct {
	rates [budgets]Rate

	mu  sync.Mutex
	new map[string]*allowance
	old map[string]*allowance
}

func newLimiter(l Limits) *limiter {
	if l.Off {
		return nil
	}
	or := func(r, d Rate) Rate {
		if r.PerSecond <= 0 {
			r.PerSecond = d.PerSecond
		}
		if r.Burst <= 0 { // as long a rest fills it as fills the default's
			r.Burst = max(1, int(math.Ceil(r.PerSecond*float64(d.Burst)/d.PerSecond)))
		}
		return r
	}
	return &limiter{
		rates: [budgets]Rate{
			Reads: or(l.Reads, Rate{20_000, 40_000}), Labour: or(l.Labour, Rate{500, 2000}),
			Writes: or(l.Writes, Rate{100, 1000}), Refused: or(l.Failed, Rate{2, 50}),
		},
		new: map[string]*allowance{},
	}
}

// of returns the caller's limiter for b, making room by forgetting callers
// that have not come for a generation.
func (l *limiter) of(caller string, b Budget) *rate.Limiter {
	l.mu.Lock()
	defer l.mu.Unlock()
	a := l.new[caller]
	if a == nil {
		if a = l.old[caller]; a == nil {
			a = new(allowance)
		}
		if len(l.new) >= maxCallers {
			l.old, l.new = l.new, make(map[string]*allowance, maxCallers)
		}
		l.new[caller] = a
	}
	if a[b] == nil {
		a[b] = rate.NewLimiter(rate.Limit(l.rates[b].PerSecond), l.rates[b].Burst)
	}
	return a[b]
}

// take draws n requests from the caller's budget b, or says how long to wait.
// n = 0 only looks.
func (l *limiter) take(caller string, b Budget, n int) (wait time.Duration) {
	if l == nil {
		return 0
	}
	lim := l.of(caller, b)
	if n == 0 {
		if t := lim.Tokens(); t < 1 {
			return time.Duration((1 - t) / l.rates[b].PerSecond * float64(time.Second))
		}
		return 0
	}
	if n = min(n, lim.Burst()); lim.AllowN(time.Now(), n) { // what costs more than a whole rest takes it all
		return 0
	}
	need := float64(n) - lim.Tokens()
	return max(time.Millisecond, time.Duration(need/l.rates[b].PerSecond*float64(time.Second)))
}

// tooMany answers 429 with the whole seconds to wait.
func tooMany(c echo.Context, wait time.Duration) error {
	seconds := strconv.Itoa(int(math.Ceil(wait.Seconds())))
	c.Response().Header().Set("Retry-After", seconds)
	return refuse("too-many-requests", "api.too-many-requests", seconds)
}

// addressKey names a caller by address; of an IPv6 address only the network,
// since one caller owns the rest.
func addressKey(ip string) string {
	a, err := netip.ParseAddr(ip)
	if err != nil {
		return "ip:" + ip
	}
	if a = a.Unmap().WithZone(""); a.Is6() {
		if p, err := a.Prefix(64); err == nil {
			return "ip:" + p.String()
		}
	}
	return "ip:" + a.String()
}
