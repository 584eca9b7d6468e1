// Package seeds holds the demo scenario: invented makers, boards, people and
// kits, as documents. They enter by the same acts as anyone's, since a scenario
// put straight into tables would show a registry that its own rules refuse.
package seeds

import (
	"context"
	"crypto/sha256"
	"embed"
	"fmt"
	"path"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

//go:embed documents/*.json
var files embed.FS

// Document returns one of the scenario's documents by its file name.
func Document(name string) ([]byte, error) {
	return files.ReadFile(path.Join("documents", name))
}

// Account is one of the scenario's people with the token made for this run.
type Account struct {
	Name  string
	Role  review.Role
	Token string
}

type scenario struct {
	Accounts []struct {
		Name string      `json:"name"`
		Role review.Role `json:"role"`
	} `json:"accounts"`
	Acts []act    `json:"acts"`
	Kits []string `json:"kits"`
}

// act is one step: a submission with a key of its own, or a step of the
// submission that Of names.
type act struct {
	Act      string          `json:"act"`
	Key      string          `json:"key"`
	Of       string          `json:"of"`
	By       string          `json:"by"`
	Board    string          `json:"board"`
	Base     int             `json:"base_revision"`
	Map      string          `json:"map"`
	Summary  string          `json:"summary"`
	Evidence jsontext.Value  `json:"evidence"`
	Verdict  string          `json:"verdict"`
	Remarks  []review.Remark `json:"remarks"`
	Reason   string          `json:"reason"`
}

// Load brings the scenario into s and tells progress what it does. Loading it
// again changes nothing but the accounts' tokens, which are made anew so that
// they can be shown.
func Load(ctx context.Context, s *store.Store, progress func(string)) ([]Account, error) {
	sc, err := read()
	if err != nil {
		return nil, err
	}
	l := loader{store: s, actors: map[string]store.Actor{}, proposals: map[string]store.Receipt{}}
	accounts, err := l.accounts(ctx, sc)
	if err != nil {
		return nil, err
	}
	for i, a := range sc.Acts {
		if err := l.perform(ctx, a); err != nil {
			return nil, fmt.Errorf("scenario step %d, %s of %s%s by %s: %w", i+1, a.Act, a.Key, a.Of, a.By, err)
		}
		if a.Act == "release" {
			progress("released " + a.Of)
		}
	}
	for _, name := range sc.Kits {
		if err := l.kit(ctx, sc, name); err != nil {
			return nil, fmt.Errorf("scenario kit %s: %w", name, err)
		}
	}
	progress(fmt.Sprintf("kept %d kits", len(sc.Kits)))
	n, err := l.records(ctx)
	if err != nil {
		return nil, err
	}
	progress(fmt.Sprintf("filed %d records of serviced units", n))
	return accounts, nil
}

func read() (scenario, error) {
	var sc scenario
	b, err := Document("scenario.json")
	if err != nil {
		return sc, err
	}
	if err := json.Unmarshal(b, &sc, json.RejectUnknownMembers(true)); err != nil {
		return sc, fmt.Errorf("scenario.json: %w", err)
	}
	return sc, nil
}

type loader struct {
	store     *store.Store
	actors    map[string]store.Actor
	proposals map[string]store.Receipt
}

func (l *loader) accounts(ctx context.Context, sc scenario) ([]Account, error) {
	var accounts []Account
	for _, a := range sc.Accounts {
		token, err := l.store.AddAccount(ctx, a.Name, a.Role)
		if fault.Is(err, fault.Conflict) {
			token, err = l.store.NewToken(ctx, a.Name)
		}
		if err != nil {
			return nil, fmt.Errorf("account %s: %w", a.Name, err)
		}
		if l.actors[a.Name], err = l.store.Authenticate(ctx, token); err != nil {
			return nil, fmt.Errorf("account %s: %w", a.Name, err)
		}
		accounts = append(accounts, Account{Name: a.Name, Role: a.Role, Token: token})
	}
	return accounts, nil
}

// perform does one step under a key of its own, so that a second loading gets the
// first answer again instead of a second perform.
func (l *loader) perform(ctx context.Context, a act) error {
	by := l.actors[a.By]
	once := store.Once{Key: "scenario-" + strings.Join([]string{a.Act, a.Key + a.Of, a.By}, "-"),
		BodySHA256: sha256.Sum256([]byte(a.Act + a.Key + a.Of))}
	switch a.Act {
	case "submit":
		doc, err := Document(a.Map)
		if err != nil {
			return err
		}
		r, err := l.store.Submit(ctx, by, store.Submission{Board: a.Board, Base: a.Base, Map: doc, Summary: a.Summary,
			Evidence: a.Evidence, Once: once})
		if err != nil {
			return err
		}
		l.proposals[a.Key] = r
		return nil
	case "review":
		_, err := l.store.Review(ctx, by, store.Verdict{Proposal: l.proposals[a.Of].Proposal,
			IfMatch: l.proposals[a.Of].Digest, Verdict: a.Verdict, Summary: a.Summary, Remarks: a.Remarks, Once: once})
		return err
	case "release":
		_, err := l.store.Release(ctx, by, store.Decision{Proposal: l.proposals[a.Of].Proposal,
			IfMatch: l.proposals[a.Of].Digest, Reason: a.Reason, Once: once})
		return err
	}
	return fmt.Errorf("no act %q", a.Act)
}

func (l *loader) kit(ctx context.Context, sc scenario, name string) error {
	doc, err := Document(name)
	if err != nil {
		return err
	}
	var head struct {
		Kit string `json:"kit"`
	}
	if err := json.Unmarshal(doc, &head); err != nil {
		return err
	}
	_, _, err = l.store.PutKit(ctx, l.actors[sc.Accounts[0].Name], store.KitPut{Kit: head.Kit, Document: doc})
	return err
}

// lastDay is a day by which all of the scenario's units were serviced.
var lastDay = time.Date(2025, 12, 31, 0, 0, 0, 0, time.UTC)

// records files the scenario's records, each under a key of its own.
func (l *loader) records(ctx context.Context) (int, error) {
	b, err := Document("records.json")
	if err != nil {
		return 0, err
	}
	var all []struct {
		By     string         `json:"by"`
		Record jsontext.Value `json:"record"`
	}
	if err := json.Unmarshal(b, &all, json.RejectUnknownMembers(true)); err != nil {
		return 0, fmt.Errorf("records.json: %w", err)
	}
	for i, r := range all {
		var head struct {
			Board string `json:"board"`
		}
		if err := json.Unmarshal(r.Record, &head); err != nil {
			return i, fmt.Errorf("scenario record %d: %w", i+1, err)
		}
		once := store.Once{Key: fmt.Sprintf("scenario-record-%d", i+1), BodySHA256: sha256.Sum256(r.Record)}
		if _, err := l.store.KeepRecord(ctx, l.actors[r.By], head.Board, r.Record, lastDay, once); err != nil {
			return i, fmt.Errorf("scenario record %d: %w", i+1, err)
		}
	}
	return len(all), nil
}
