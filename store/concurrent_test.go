package store_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// 64 writers submit, endorse and release at once, over two servers, on one
// board that they share and on one of their own each. What was acknowledged is
// there, and the revisions are 1 … n.
func TestManyWriters(t *testing.T) {
	const writers = 64
	d := newDesk(t)
	servers := [2]*store.Store{d.Store, openStore(t, d.dsn)}
	shared := func(edits ...func(*board.Map)) *board.Map {
		m := newMap("tarn-shared")
		m.Positions = nil
		for i := range writers {
			p := newMap("x").Positions[0]
			p.Designator, p.X, p.Y = fmt.Sprintf("C%d", i+1), 2+12*float64(i%8), 2+9*float64(i/8)
			m.Positions = append(m.Positions, p)
		}
		for _, e := range edits {
			e(m)
		}
		return m
	}
	d.released(t, 0, shared())
	var mu sync.Mutex
	acknowledged := map[int64]store.Receipt{} // by proposal
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			s := &desk{Store: servers[w%2]}
			for _, in := range []struct {
				base int
				m    *board.Map
			}{{1, shared(note(fmt.Sprintf("C%d", w+1), "checked"))}, {0, newMap(fmt.Sprintf("tarn-own-%d", w))}} {
				r, err := s.Submit(ctx, d.ann, s.submission(t, in.base, in.m))
				if err != nil {
					t.Error(err)
					return
				}
				if _, err := servers[(w+1)%2].Review(ctx, d.rob, store.Verdict{Proposal: r.Proposal, IfMatch: r.Digest,
					Verdict: review.Endorse}); err != nil {
					t.Error(err)
					return
				}
				out, err := s.Store.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal, IfMatch: r.Digest})
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				acknowledged[r.Proposal] = out
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	if len(acknowledged) != 2*writers {
		t.Fatalf("%d releases acknowledged", len(acknowledged))
	}
	numbers := map[int]bool{}
	for id, r := range acknowledged {
		p, err := d.Proposal(ctx, id)
		if err != nil || p.State != review.Released || p.Revision != r.Revision {
			t.Errorf("proposal %d was acknowledged as %+v: %+v, %v", id, r, p, err)
		}
		v, err := d.Revision(ctx, r.Board, r.Revision, "")
		if err != nil || v.Proposal != id || v.Digest != r.Digest {
			t.Errorf("revision %d of %s: %v", r.Revision, r.Board, err)
		}
		if r.Board == "tarn-shared" {
			numbers[r.Revision] = true
		} else if r.Revision != 1 {
			t.Errorf("%s has revision %d", r.Board, r.Revision)
		}
	}
	for n := 2; n <= writers+1; n++ {
		if !numbers[n] {
			t.Errorf("there is no revision %d", n)
		}
	}
	last, err := d.Revision(ctx, "tarn-shared", 0, "")
	if err != nil || last.Number != writers+1 {
		t.Fatalf("current: %+v, %v", last, err)
	}
	for _, p := range last.Map.Positions {
		if p.Notes != "checked" {
			t.Errorf("the correction of %s is lost", p.Designator)
		}
	}
}

// step is something that somebody tries.
type step struct {
	who, act string
	proposal int // 0 or 1
	server   int // 0 or 1
}

func (s step) String() string {
	return fmt.Sprintf("%s %s %d@%d", s.who, s.act, s.proposal, s.server)
}

var abilities = map[string][]string{
	"ann":  {"amend", "amend", "withdraw", "endorse"},
	"rob":  {"endorse", "endorse", "endorse", "object", "query", "release"},
	"rita": {"endorse", "endorse", "object", "release", "decline"},
	"stew": {"release", "release", "release", "endorse", "disable", "enable"}, // the last two to rob
}

// Whatever is tried at the same time over two servers, the log tells of a
// course of acts that the rules allow, and of just those that were acknowledged.
func TestConcurrentSchedules(t *testing.T) {
	d := newDesk(t)
	servers := [2]*store.Store{d.Store, openStore(t, d.dsn)}
	round := 0
	rapid.Check(t, func(rt *rapid.T) {
		round++
		id := fmt.Sprintf("tarn-%d", round)
		schedules := map[string][]step{}
		for _, who := range []string{"ann", "rob", "rita", "stew"} {
			schedules[who] = rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) step {
				return step{who, rapid.SampledFrom(abilities[who]).Draw(rt, "act"), rapid.IntRange(0, 1).Draw(rt,
					"proposal"), rapid.IntRange(0, 1).Draw(rt, "server")}
			}), 1, 4).Draw(rt, who)
		}
		if _, err := d.Enable(ctx, d.stew, d.rob.ID, ""); err != nil {
			t.Fatal(err)
		}
		began := d.released(t, 0, newMap(id)).Event
		r := &run{d: d, board: id, servers: servers, began: began, acknowledged: map[int64]step{}}
		r.proposals[0] = d.submit(t, d.ann, 1, newMap(id, note("C1", "x"))).Proposal
		r.proposals[1] = d.submit(t, d.ann, 1, newMap(id, turn("C2"))).Proposal // hazardous
		var wg sync.WaitGroup
		for _, steps := range schedules {
			wg.Go(func() {
				for i, s := range steps {
					r.try(t, s, i)
				}
			})
		}
		wg.Wait()
		r.check(rt)
	})
}

// run is one run of schedules.
type run struct {
	d            *desk
	board        string
	servers      [2]*store.Store
	began        int64 // event after which the run begins
	proposals    [2]int64
	mu           sync.Mutex
	acknowledged map[int64]step // by number of the event
}

func (r *run) try(t *testing.T, s step, i int) {
	who := map[string]store.Actor{"ann": r.d.ann, "rob": r.d.rob, "rita": r.d.rita, "stew": r.d.stew}[s.who]
	server, id := r.servers[s.server], r.proposals[s.proposal]
	seen := r.d.present(ctx, id, "")
	var out store.Receipt
	var err error
	switch s.act {
	case "amend":
		edits := []func(*board.Map){note("C3", fmt.Sprintf("%d, attempt %d", s.proposal, i)), note("C1", "x")}
		if s.proposal == 1 {
			edits[1] = turn("C2")
		}
		out, err = server.Amend(ctx, who, store.Amendment{Proposal: id, Map: text(t, newMap(r.board, edits...)),
			IfMatch: "*"})
	case "release":
		out, err = server.Release(ctx, who, store.Decision{Proposal: id, IfMatch: seen})
	case "decline":
		out, err = server.Decline(ctx, who, store.Decision{Proposal: id, Reason: "so"})
	case "disable":
		out, err = server.Disable(ctx, who, r.d.rob.ID, "so")
	case "enable":
		out, err = server.Enable(ctx, who, r.d.rob.ID, "so")
	case "withdraw":
		out, err = server.Withdraw(ctx, who, store.Decision{Proposal: id})
	default:
		out, err = server.Review(ctx, who, store.Verdict{Proposal: id, Verdict: s.act, Summary: "so", IfMatch: seen})
	}
	if _, ok := fault.As(err); err != nil && (!ok || fault.Is(err, fault.Unavailable)) {
		t.Errorf("%v: %v", s, err)
	}
	if err == nil && out.Event > 0 {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.acknowledged[out.Event] = s
	}
}

// course is what a proposal's events so far come to.
type course struct {
	version   int
	closed    bool
	hazardous bool
	verdicts  map[string]string // by reviewer: verdict and version
	disabled  string            // account that is, whose endorsement does not count
}

// ready tells by the design's words whether a release may follow.
func (c *course) ready() bool {
	endorsed, needed := 0, 1
	if c.hazardous {
		needed = 2
	}
	for who, v := range c.verdicts {
		verdict, version, _ := strings.Cut(v, " ")
		if verdict == review.Object {
			return false
		}
		if verdict == review.Endorse && who != c.disabled && version == fmt.Sprint(c.version) {
			endorsed++
		}
	}
	return endorsed >= needed
}

func (r *run) check(t *rapid.T) {
	log, err := r.d.Events(ctx, store.EventFilter{Accounts: true, After: r.began, Page: store.Page{Limit: 200}})
	if err != nil {
		t.Fatal(err)
	}
	courses := map[int64]*course{r.proposals[0]: {version: 1, verdicts: map[string]string{}},
		r.proposals[1]: {version: 1, hazardous: true, verdicts: map[string]string{}}}
	revision, seen := 1, 0
	for _, e := range log.Items {
		if e.What == "account-disabled" || e.What == "account-enabled" {
			for _, c := range courses {
				c.disabled = map[string]string{"account-disabled": e.Account}[e.What]
			}
			if r.acknowledged[e.ID].who == "stew" {
				seen++
			}
			continue
		}
		c := courses[e.Proposal]
		if c == nil || e.What == "submitted" {
			continue
		}
		s, ok := r.acknowledged[e.ID]
		if !ok || s.who != e.Who || r.proposals[s.proposal] != e.Proposal {
			t.Fatalf("the log has %+v, acknowledged was %v", e, s)
		}
		seen++
		if c.closed {
			t.Fatalf("%+v after the end of its proposal", e)
		}
		switch e.What {
		case "amended":
			c.version++
		case "reviewed":
			c.verdicts[e.Who] = fmt.Sprintf("%s %d", s.act, c.version)
		case "released":
			if !c.ready() {
				t.Fatalf("%+v with no more than %v", e, c)
			}
			revision++
			if e.Revision != revision {
				t.Fatalf("%+v made revision %d", e, revision)
			}
			c.closed = true
		default:
			c.closed = true
		}
		if e.Version != c.version {
			t.Fatalf("%+v, the version is %d", e, c.version)
		}
	}
	if seen != len(r.acknowledged) {
		t.Fatalf("%d acts acknowledged, %d in the log", len(r.acknowledged), seen)
	}
	now, err := r.d.Revision(ctx, r.board, 0, "")
	if err != nil || now.Number != revision {
		t.Fatalf("current is %+v, want revision %d: %v", now, revision, err)
	}
}
