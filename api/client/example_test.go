package client_test

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"time"

	"boardlore/api/client"
	"boardlore/domain/kit"
	"boardlore/domain/quantity"
	"boardlore/domain/review"
)

// A map is fetched once and kept; without a network the kept one is given, and
// its age.
func ExampleClient_Map() {
	dir, err := os.MkdirTemp("", "maps")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	c, err := client.New(demo.URL, client.Options{Cache: dir})
	if err != nil {
		panic(err)
	}
	m, err := c.Map(context.Background(), "tarn-mx12-main", "")
	if err != nil {
		panic(err)
	}
	fmt.Println(m.Value.Name, "kept:", m.Fresh.Kept)

	away := &http.Client{Transport: noNetwork{}}
	c, err = client.New(demo.URL, client.Options{Cache: dir, HTTP: away, Tries: 1})
	if err != nil {
		panic(err)
	}
	m, err = c.Map(context.Background(), "tarn-mx12-main", "")
	if err != nil {
		panic(err)
	}
	fmt.Println(m.Value.Name, "kept:", m.Fresh.Kept, "older than a day:", m.Fresh.Age > 24*time.Hour)
	// Output:
	// Main board kept: false
	// Main board kept: true older than a day: false
}

// A bought kit is held against a board before anything is desoldered.
func ExampleClient_Reconcile() {
	c, err := client.New(demo.URL, client.Options{})
	if err != nil {
		panic(err)
	}
	r, err := c.Reconcile(context.Background(), "tarn-mx12-main", client.Reconciling{KitID: "mx12-main-swapped",
		Scope: kit.ParseScope("service")})
	if err != nil {
		panic(err)
	}
	fmt.Println(r.Outcome)
	for _, f := range r.Flags {
		if f.Severity == "stop" {
			fmt.Println(f.Designator, f.Code)
			break
		}
	}
	// Output:
	// conflict
	// C26 label-value-differs
}

// A list is followed page by page.
func ExamplePages() {
	ctx := context.Background()
	c, err := client.New(demo.URL, client.Options{})
	if err != nil {
		panic(err)
	}
	first, err := c.Revisions(ctx, "tarn-mx12-main", client.Page{Limit: 2})
	if err != nil {
		panic(err)
	}
	for list, err := range client.Pages(ctx, c, first) {
		if err != nil {
			panic(err)
		}
		for _, r := range list.Revisions {
			fmt.Println(r.Revision)
		}
	}
	// Output:
	// 3
	// 2
	// 1
}

// A review names the state of the proposal that was read.
func ExampleClient_Review() {
	ctx := context.Background()
	c, err := client.New(demo.URL, client.Options{Token: demo.tokens["reader-one"]})
	if err != nil {
		panic(err)
	}
	open, err := c.Proposals(ctx, client.ProposalFilter{State: "open", Board: "tarn-mx12-main"})
	if err != nil {
		panic(err)
	}
	p, err := c.Proposal(ctx, open.Value.Proposals[0].ID)
	if err != nil {
		panic(err)
	}
	receipt, err := c.Review(ctx, p.Value.ID, p.Tag, client.Verdict{Verdict: review.Query,
		Summary: "Which lot was that?"})
	if err != nil {
		panic(err)
	}
	fmt.Println(receipt.State, receipt.Standing.QueriedBy)
	// Output:
	// returned [reader-two reader-one]
}

// A refusal says what to do, and by its code a program tells one from another.
func ExampleRefused() {
	c, err := client.New(demo.URL, client.Options{})
	if err != nil {
		panic(err)
	}
	_, err = c.ReadQuantity(context.Background(), "blue", "capacitance", quantity.Context{})
	if r := client.Refused(err); r != nil {
		fmt.Println(r.Status, r.Code)
	}
	// Output:
	// 422 text-unreadable
}

type noNetwork struct{}

func (noNetwork) RoundTrip(*http.Request) (*http.Response, error) { return nil, errNoNetwork }
