//go:build faults

package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/backup"
)

// verdict is what a server said of an act.
type verdict string

const (
	tellsDone    verdict = "acknowledged"
	tellsRefused verdict = "refused" // and nothing was changed
	tellsUnknown verdict = "unknown" // outcome-unknown, or the connection broke
)

// entry is one act of the ledger. Its board names it: no two acts share one.
type entry struct {
	board     string
	key       string  // "" for an act that relies on being the same
	told      verdict // of the submission
	maybe     bool    // an earlier try of it may be done
	id        int64   // of the proposal
	withdrawn verdict // of the withdrawal that follows what was acknowledged; "" for none
	heard     []string
}

// work submits new boards, one after the other. An act whose outcome is unknown is
// sent again as it was, as the refusal advises, or, one time in three, left as it is.
// One act in four has no key.
func (c *campaign) work(ctx context.Context, worker int) {
	for i := 0; ctx.Err() == nil; i++ {
		e := &entry{board: fmt.Sprintf("w%d-a%d", worker, i)}
		if i%4 != 3 {
			var b [8]byte
			_, _ = rand.Read(b[:])
			e.key = hex.EncodeToString(b[:])
		}
		at := (worker + i) % len(c.servers)
		for {
			e.told = c.submit(e, c.servers[at].address)
			if e.told != tellsUnknown || i%3 == 0 || ctx.Err() != nil {
				break
			}
			e.maybe, at = true, (at+1)%len(c.servers)
			time.Sleep(200 * time.Millisecond)
		}
		if e.told == tellsDone && e.id > 0 {
			e.withdrawn, _ = c.act(e, c.servers[at].address, fmt.Sprintf("/v1/proposals/%d/withdraw", e.id),
				`{"reason":"r"}`, e.board+"-w")
		}
		c.mu.Lock()
		c.ledger = append(c.ledger, e)
		c.mu.Unlock()
		if e.told != tellsDone {
			time.Sleep(100 * time.Millisecond)
		}
	}
}

func (c *campaign) submit(e *entry, address string) verdict {
	m := `{"board":"` + e.board +
		`","equipment":{"maker":"Fenwright","model":"RX2"},"name":"Main board","frame":{"width_mm":100,"height_mm":80,"basis":"measured"},` +
		`"positions":[{"designator":"C1","side":"top","x_mm":20,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","value":"47 µF"}}]}`
	told, id := c.act(e, address, "/v1/proposals", `{"board":"`+e.board+`","base_revision":0,"map":`+m+
		`,"summary":"first"}`, e.key)
	e.id = id
	return told
}

// act asks for one act and hears what is said of it.
func (c *campaign) act(e *entry, address, path, body, key string) (verdict, int64) {
	req, err := http.NewRequest(http.MethodPost, "http://"+address+path, strings.NewReader(body))
	if err != nil {
		c.t.Error(err)
		return tellsRefused, 0
	}
	// Where a connection breaks, the client would send what has a key again by
	// itself, and tell of the second time only: that nobody was there, of an act
	// that was done.
	req.GetBody = nil
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+c.token)
	if key != "" {
		req.Header.Set("Idempotency-Key", key)
	}
	client := http.Client{Timeout: 60 * time.Second}
	res, err := client.Do(req)
	if err != nil {
		e.heard = append(e.heard, err.Error())
		if strings.Contains(err.Error(), "connection refused") {
			return tellsRefused, 0 // nobody heard it
		}
		return tellsUnknown, 0
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	e.heard = append(e.heard, fmt.Sprint(res.StatusCode, string(text[:min(len(text), 300)]), err))
	if err != nil {
		return tellsUnknown, 0
	}
	var p struct {
		Code    string
		ID      int64
		Request string `json:"request_id"`
	}
	_ = json.Unmarshal(text, &p)
	c.mu.Lock()
	c.codes[strconv.Itoa(res.StatusCode)+" "+p.Code]++
	c.mu.Unlock()
	switch {
	case res.StatusCode == http.StatusCreated, res.StatusCode == http.StatusOK:
		return tellsDone, p.ID
	case p.Code == "outcome-unknown":
		return tellsUnknown, 0
	case res.StatusCode == http.StatusServiceUnavailable:
		return tellsRefused, 0
	}
	c.t.Errorf("%s: %d %s", path, res.StatusCode, bytes.TrimSpace(text))
	for _, v := range c.servers {
		if v.address == address {
			c.t.Log(v.said.last(p.Request))
		}
	}
	return tellsRefused, 0
}

// tally is what came of the ledger.
type tally struct {
	lost, doubled, wrong int
	told                 map[verdict]int
	unknownDone          int
}

func (t tally) bad() int { return t.lost + t.doubled + t.wrong }

// judge holds the ledger against the database: nothing acknowledged is lost,
// nothing stands twice, nothing that was refused was done.
func (c *campaign) judge(made map[string]int) {
	url := c.url()
	s, err := store.Open(c.t.Context(), url, store.Options{})
	if err != nil {
		c.t.Fatal(err)
	}
	defer s.Close()
	there, withdrawn := c.found(s)
	sum := tally{told: map[verdict]int{}}
	for _, e := range c.ledger {
		before := sum.bad()
		sum.enter(e, there[e.board], withdrawn[e.board])
		if sum.bad() > before {
			c.t.Logf("%+v: there %d times, withdrawn %v", *e, there[e.board], withdrawn[e.board])
		}
	}
	checked, err := s.CheckData(c.t.Context(), nil)
	if err != nil {
		c.t.Fatal(err)
	}
	all := 0
	for _, n := range made {
		all += n
	}
	c.t.Logf("%d faults %v", all, made)
	c.t.Logf("answers %v", c.codes)
	c.t.Logf("acts: %d acknowledged, %d refused, %d unknown (%d of them done)", sum.told[tellsDone],
		sum.told[tellsRefused], sum.told[tellsUnknown], sum.unknownDone)
	c.t.Logf("lost %d, doubled %d, wrongly told %d; faults of the data %d", sum.lost, sum.doubled, sum.wrong,
		len(checked.Faults))
	if sum.bad()+len(checked.Faults) > 0 {
		c.t.Error(checked.Faults)
	}
	if sum.told[tellsDone] == 0 || sum.told[tellsRefused]+sum.told[tellsUnknown] == 0 {
		c.t.Error("the run met nothing to judge")
	}
	if _, err := backup.Save(c.t.Context(), url, filepath.Join(c.t.TempDir(), "after.backup"), "fault run",
		nil); err != nil {
		c.t.Error(err)
	}
}

// found counts the proposals that stand for each board.
func (c *campaign) found(s *store.Store) (there map[string]int, withdrawn map[string]bool) {
	there, withdrawn = map[string]int{}, map[string]bool{}
	for after := ""; ; {
		list, err := s.Proposals(c.t.Context(), store.ProposalFilter{Page: store.Page{After: after, Limit: 100}})
		if err != nil {
			c.t.Fatal(err)
		}
		for _, p := range list.Items {
			there[p.Board]++
			withdrawn[p.Board] = p.State == review.Withdrawn
		}
		if after = list.Next; after == "" {
			return there, withdrawn
		}
	}
}

// enter judges one act, of which n proposals stand.
func (t *tally) enter(e *entry, n int, withdrawn bool) {
	t.told[e.told]++
	switch {
	case e.told == tellsDone && n == 0:
		t.lost++
	case e.told == tellsRefused && n > 0 && !e.maybe:
		t.wrong++
	case e.told == tellsUnknown && n > 0:
		t.unknownDone++
	}
	if n > 1 {
		t.doubled++
	}
	switch {
	case e.withdrawn == tellsDone && !withdrawn:
		t.lost++
	case e.withdrawn == tellsRefused && withdrawn:
		t.wrong++
	}
	if e.withdrawn != "" {
		t.told[e.withdrawn]++
	}
}
