package client_test

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"image"
	"image/jpeg"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/api/client"
	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
	"boardlore/domain/record"
	"boardlore/domain/review"
	"boardlore/seeds"
)

const main, mains, sum = "tarn-mx12-main", "tarn-ps4-mains", "okeby-fm6-sum"

// TestEveryRoute asks a registry by every method there is. Whatever the
// description has must have been asked, with each of its parameters, and
// nothing of any answer may be lost.
func TestEveryRoute(t *testing.T) {
	r := serveDemo(t)
	all := r.operations(t)
	readRoutes(t, r)
	contributeRoutes(t, r)
	accountRoutes(t, r)
	for _, key := range slices.Sorted(maps.Keys(all)) {
		if !r.seen[key] {
			t.Errorf("%s: no method of the client asked it", key)
			continue
		}
		for _, p := range all[key] {
			if !r.query[key+" "+p] {
				t.Errorf("%s: no method sends %s", key, p)
			}
		}
	}
}

func readRoutes(t *testing.T, r *registry) {
	ctx, c := t.Context(), r.client(t, "", client.Options{})
	page := client.Page{Limit: 2}
	r.got(c.Index(ctx))(t, "Index")
	r.got(c.Description(ctx))(t, "Description")
	r.got(c.Reference(ctx))(t, "Reference")
	r.got(c.Schemas(ctx))(t, "Schemas")
	r.got(c.Schema(ctx, "map"))(t, "Schema")
	r.got(c.Problems(ctx))(t, "Problems")
	r.got(c.Problem(ctx, "withdrawn"))(t, "Problem")
	r.got(c.Health(ctx))(t, "Health")
	r.got(c.Ready(ctx))(t, "Ready")
	r.got(c.Rules(ctx))(t, "Rules")

	r.got(c.Boards(ctx, client.BoardFilter{Query: "board", Page: client.Page{Limit: 1}}))(t, "Boards")
	r.got(c.Boards(ctx, client.BoardFilter{Markings: []string{"MX12", "FM6"}, Maker: "Tarn", Kind: "recorder",
		Width: 200, Height: 100, Replaced: 60, Sides: "both",
		Class: "capacitor", Printed: "47uF"}))(t, "Boards by their look")
	some, err := c.Boards(ctx, client.BoardFilter{Page: client.Page{Limit: 1}})
	if err != nil {
		t.Fatal(err)
	}
	r.got(c.Boards(ctx, client.BoardFilter{Page: nextOf(t, some.Value.Next)}))(t, "Boards, the next page")
	r.got(c.Board(ctx, sum))(t, "Board")
	b, err := c.Board(ctx, sum)
	if err != nil || len(b.Value.Variants) == 0 {
		t.Fatalf("%+v, %v", b, err)
	}
	build := b.Value.Variants[0].Variant
	r.got(c.Map(ctx, main, ""))(t, "Map")
	r.got(c.Map(ctx, sum, build))(t, "Map of a variant")
	r.got(c.CurrentMap(ctx, sum, build))(t, "CurrentMap")
	r.got(c.RevisionMap(ctx, main, 2, client.RevisionOf{}))(t, "RevisionMap")
	r.got(c.RevisionMap(ctx, sum, 1, client.RevisionOf{Variant: build}))(t, "RevisionMap of a variant")
	r.got(c.MapOf(ctx, b.Value.Digest))(t, "MapOf")
	r.got(c.Revisions(ctx, main, page))(t, "Revisions")
	first, err := c.Revisions(ctx, main, page)
	if err != nil {
		t.Fatal(err)
	}
	var told []int
	for list, err := range client.Pages(ctx, c, first) {
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range list.Revisions {
			told = append(told, x.Revision)
		}
	}
	if !slices.Equal(told, []int{3, 2, 1}) {
		t.Errorf("revisions %v in pages of two", told)
	}
	r.got(c.Proof(ctx, main, 2))(t, "Proof")
	r.got(c.Differences(ctx, main, client.Ends{From: 1, To: 3}))(t, "Differences")
	r.got(c.Differences(ctx, sum, client.Ends{FromVariant: "", ToVariant: build}))(t, "Differences of builds")
	r.got(c.Differences(ctx, sum, client.Ends{Variant: build, FromVariant: build, ToVariant: build, From: 1, To: 1}))(t,
		"Differences of one build")
	r.got(c.DifferencesAs(ctx, main, client.Ends{From: 1, To: 2}, "svg", board.Bottom))(t, "DifferencesAs")
	r.got(c.Drawing(ctx, main, client.Seen{Side: board.Bottom, Revision: 2, Mark: []string{"C1"}, Language: "de"}))(t,
		"Drawing")
	r.got(c.Drawing(ctx, sum, client.Seen{Variant: build}))(t, "Drawing of a variant")
	r.got(c.PositionHistory(ctx, main, "C40"))(t, "PositionHistory")
	r.got(c.PartsList(ctx, sum, client.Bought{Variant: build, Revision: 1, Scope: "all"}))(t, "PartsList")
	r.got(c.PartsListCSV(ctx, sum, client.Bought{}))(t, "PartsListCSV")
	wide := 2.0
	r.got(c.Plan(ctx, main, client.Planned{Revision: 3, Scope: "all", HalfWidth: &wide, Reach: &wide, Clearance: &wide,
		Resistor: "1 kΩ", ToVolts: 4}))(t, "Plan")
	r.got(c.Plan(ctx, sum, client.Planned{Variant: build}))(t, "Plan of a variant")

	r.got(c.Records(ctx, main, client.RecordFilter{Variant: "base", Page: page}))(t, "Records")
	records, err := c.Records(ctx, main, client.RecordFilter{Page: page})
	if err != nil || records.Value.Next == "" {
		t.Fatalf("%+v, %v", records.Value, err)
	}
	r.got(c.Records(ctx, main, client.RecordFilter{Page: nextOf(t, records.Value.Next)}))(t, "Records, the next page")
	r.got(c.RecordsCSV(ctx, main, client.RecordFilter{}))(t, "RecordsCSV")
	r.got(c.Record(ctx, records.Value.Records[0].ID))(t, "Record")
	r.got(c.Experience(ctx, main, "base"))(t, "Experience")
	r.got(c.Symptoms(ctx, "hum", main))(t, "Symptoms")
	r.got(c.SuspectsBeside(ctx, main, "C48", "BT1"))(t, "SuspectsBeside")

	r.got(c.Kits(ctx, client.KitFilter{Board: main, Page: client.Page{Limit: 1}}))(t, "Kits")
	kits, err := c.Kits(ctx, client.KitFilter{Page: client.Page{Limit: 1}})
	if err != nil || kits.Value.Next == "" {
		t.Fatalf("%+v, %v", kits.Value, err)
	}
	r.got(c.Kits(ctx, client.KitFilter{Page: nextOf(t, kits.Value.Next)}))(t, "Kits, the next page")
	id := kits.Value.Kits[0].Kit
	r.got(c.Kit(ctx, id, 1))(t, "Kit")
	r.got(c.KitBoards(ctx, id, 2))(t, "KitBoards")
	r.got(c.Reconcile(ctx, main, client.Reconciling{Revision: 3, KitID: id, Pairs: true,
		Scope: kit.ParseScope("all")}))(t, "Reconcile")
	doc, err := c.Kit(ctx, id, 0)
	if err != nil {
		t.Fatal(err)
	}
	r.got(c.Reconcile(ctx, sum, client.Reconciling{Variant: build, Kit: doc.Value}))(t, "Reconcile a document")
	r.got(c.ReconcileList(ctx, sum, "text/plain", []byte("4x 47uF 16V\n1x blue thing\n"),
		client.ListHeld{Variant: build, Revision: 1, Scope: "all", Pairs: true}))(t, "ReconcileList")

	r.got(c.Events(ctx, client.EventFilter{Proposal: 1, After: 1, What: []string{"released", "reviewed"},
		Order: "newest", Page: page}))(t, "Events")
	events, err := c.Events(ctx, client.EventFilter{Page: page})
	if err != nil || events.Value.Next == "" {
		t.Fatalf("%+v, %v", events.Value, err)
	}
	r.got(c.Events(ctx, client.EventFilter{Page: nextOf(t, events.Value.Next)}))(t, "Events, the next page")
	r.got(c.BoardEvents(ctx, main, client.EventFilter{After: 1, What: []string{"released"}, Order: "oldest",
		Page: client.Page{Limit: 1}}))(t, "BoardEvents")
	own, err := c.BoardEvents(ctx, main, client.EventFilter{Page: page})
	if err != nil {
		t.Fatal(err)
	}
	r.got(c.BoardEvents(ctx, main, client.EventFilter{Page: nextOf(t, own.Value.Next)}))(t,
		"BoardEvents, the next page")
	r.got(c.Feed(ctx, []string{"released"}, ""))(t, "Feed")
	if _, err := c.Feed(ctx, nil, "!"); client.Refused(err) == nil || client.Refused(err).Code != "cursor-malformed" {
		t.Errorf("a feed's page of no cursor: %v", err)
	}
	if _, err := c.BoardFeed(ctx, main, nil, "!"); client.Refused(err) == nil ||
		client.Refused(err).Code != "cursor-malformed" {
		t.Errorf("a feed's page of no cursor: %v", err)
	}
	r.got(c.BoardFeed(ctx, main, []string{"released"}, ""))(t, "BoardFeed")

	r.got(c.ReadPart(ctx, "4u7 16V", quantity.Context{Class: "capacitor"}))(t, "ReadPart")
	r.got(c.ExplainPart(ctx, "100n X7R", quantity.Context{Class: "capacitor", Found: "list", Language: "en"}))(t,
		"ExplainPart")
	r.got(c.ReadQuantity(ctx, "4u7 10%", "capacitance", quantity.Context{}))(t, "ReadQuantity")
	r.got(c.FromPlacements(ctx, placement.Request{Board: "new-board", Equipment: board.Equipment{Maker: "Tarn",
		Model: "N1"}, Name: "New",
		Placements: "Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,10,5,90,top,10uF\n"}))(t, "FromPlacements")
	r.got(c.FromPhotograph(ctx, marked()))(t, "FromPhotograph")
	whole, err := seeds.Document("okeby-fm6-sum.1.json")
	if err != nil {
		t.Fatal(err)
	}
	r.got(c.CheckMap(ctx, whole))(t, "CheckMap")

	signed, _, err := c.Checkpoint(ctx)
	if err != nil || len(signed) == 0 {
		t.Fatalf("%s, %v", signed, err)
	}
	if _, err := c.Tile(ctx, tlog.Tile{H: 8, L: 0, N: 0, W: 1}); err != nil {
		t.Error(err)
	}
	lines := 0
	for x, err := range c.Export(ctx, client.ExportFilter{What: "log", From: 1, Boards: []string{main}}) {
		if err != nil || x.Board != main || x.Index == 0 {
			t.Errorf("%+v, %v", x, err)
		}
		lines++
	}
	if lines != 2 {
		t.Errorf("%d lines exported", lines)
	}
	last := int64(0)
	for x, err := range c.Export(ctx, client.ExportFilter{What: "beside", AfterEvent: 1}) {
		if err != nil || x.Event <= last || x.Document == nil && x.Act != "record-withdrawal" {
			t.Errorf("%+v, %v", x, err)
		}
		last = x.Event
	}
}

// marked is a board with two parts marked on its photograph.
func marked() placement.PhotographRequest {
	p := placement.PhotographRequest{Board: "new-board", Equipment: board.Equipment{Maker: "Tarn", Model: "N1"},
		Name: "New"}
	p.Frame.Width, p.Frame.Height = 100, 80
	m := placement.Marked{Width: 1000, Height: 800, Side: board.Top, Marks: []placement.Mark{
		{Designator: "C1", Text: "10uF 16V", Leads: [][2]float64{{100, 100}, {150, 100}}, Negative: &[2]float64{150,
			100}},
		{Designator: "R1", Centre: &[2]float64{300, 300}}}}
	for _, at := range [][2]float64{{0, 0}, {1000, 0}, {1000, 800}, {0, 800}, {500, 400}} {
		m.Points = append(m.Points, board.PhotographPoint{Pixel: at, MM: [2]float64{at[0] / 10, 80 - at[1]/10}})
	}
	p.Photographs = []placement.Marked{m}
	return p
}

func contributeRoutes(t *testing.T, r *registry) {
	ctx := t.Context()
	ada, rob, roy := r.client(t, "bench-one", client.Options{}), r.client(t, "reader-one", client.Options{}),
		r.client(t, "reader-two", client.Options{})
	keeper := r.client(t, "keeper", client.Options{})
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 400, 300)), nil); err != nil {
		t.Fatal(err)
	}
	photo, err := ada.KeepPhotograph(ctx, "image/jpeg", picture.Bytes())
	r.got(photo, err)(t, "KeepPhotograph")

	whole, err := ada.Map(ctx, sum, "")
	if err != nil {
		t.Fatal(err)
	}
	m := whole.Value
	photographed := board.Photograph{SHA256: photo.SHA256, Side: board.Top}
	for _, at := range [][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		photographed.Points = append(photographed.Points, board.PhotographPoint{
			Pixel: [2]float64{at[0] * 400, (1 - at[1]) * 300}, MM: [2]float64{at[0] * m.Frame.Width,
				at[1] * m.Frame.Height}})
	}
	m.Photographs = append(m.Photographs, photographed)
	propose := func(summary string) client.Receipt {
		t.Helper()
		doc, err := json.Marshal(m, json.Deterministic(true))
		if err != nil {
			t.Fatal(err)
		}
		base := 1
		p, err := ada.Propose(ctx, client.Submission{Board: sum, Base: &base, Map: doc, Summary: summary,
			Evidence: []review.Evidence{
				{Text: "Photographed.", Designators: []string{m.Positions[0].Designator}, Photograph: photo.SHA256}}})
		r.got(p, err)(t, "Propose")
		return p
	}
	p := propose("A photograph of the top side.")
	m.Positions[0].Notes = "Marked on the photograph."
	amended, err := json.Marshal(m, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	r.got(ada.Amend(ctx, p.ID, client.Of(p.Digest), amended))(t, "Amend")
	r.got(rob.ProposalMap(ctx, p.ID, 1))(t, "ProposalMap")
	r.got(rob.Proposals(ctx, client.ProposalFilter{State: "open", Board: sum, Author: "bench-one",
		Page: client.Page{Limit: 1}}))(t, "Proposals")
	some, err := rob.Proposals(ctx, client.ProposalFilter{Page: client.Page{Limit: 1}})
	if err != nil {
		t.Fatal(err)
	}
	r.got(rob.Proposals(ctx, client.ProposalFilter{Page: nextOf(t, some.Value.Next)}))(t, "Proposals, the next page")
	r.got(rob.Checklist(ctx, p.ID))(t, "Checklist")
	read, err := rob.Proposal(ctx, p.ID)
	r.got(read, err)(t, "Proposal")
	objection, err := rob.Review(ctx, p.ID, read.Tag, client.Verdict{Verdict: review.Object, Summary: "Blurred.",
		Remarks: []review.Remark{{Designator: m.Positions[0].Designator, Text: "Which one?"}},
		Seen:    []review.Seen{{Designator: m.Positions[0].Designator, On: "photograph"}}})
	r.got(objection, err)(t, "Review")
	r.got(ada.AnswerReview(ctx, p.ID, objection.Review, "The left one."))(t, "AnswerReview")
	r.got(keeper.SetAside(ctx, p.ID, objection.Review, "Sharp enough."))(t, "SetAside")
	r.got(rob.Reviews(ctx, p.ID))(t, "Reviews")
	r.got(rob.ReviewOf(ctx, p.ID, objection.Review))(t, "ReviewOf")
	for _, endorsing := range []*client.Client{roy, rob} { // a hazardous difference needs two
		r.got(endorsing.Review(ctx, p.ID, read.Tag, client.Verdict{Verdict: review.Endorse}))(t, "Review")
	}
	r.got(roy.Release(ctx, p.ID, read.Tag, "Seen."))(t, "Release")
	r.got(ada.FlatPhotograph(ctx, sum, client.Laid{Side: board.Top, Revision: 2, Width: 300}))(t, "FlatPhotograph")
	if data, err := ada.Photograph(ctx, photo.SHA256); err != nil || len(data) == 0 {
		t.Errorf("%d bytes, %v", len(data), err)
	}
	m.Positions[0].Notes = "Another word."
	r.got(rob.Decline(ctx, propose("Words.").ID, "", "Says nothing."))(t, "Decline")
	r.got(ada.WithdrawProposal(ctx, propose("Other words.").ID, "", "Mine."))(t, "WithdrawProposal")

	doubt, err := ada.RaiseDoubt(ctx, sum, client.NewDoubt{Designator: m.Positions[0].Designator, Revision: 1,
		Text: "It looks larger here.", Photographs: []string{photo.SHA256}})
	r.got(doubt, err)(t, "RaiseDoubt")
	r.got(rob.AnswerDoubt(ctx, sum, doubt.ID, "It was measured.", p.ID))(t, "AnswerDoubt")
	if _, err := ada.RaiseDoubt(ctx, sum, client.NewDoubt{Revision: 1, Text: "Too green."}); err != nil {
		t.Fatal(err)
	}
	r.got(ada.Doubts(ctx, sum, client.DoubtFilter{State: "all", Page: client.Page{Limit: 1}}))(t, "Doubts")
	doubts, err := ada.Doubts(ctx, sum, client.DoubtFilter{Page: client.Page{Limit: 1}})
	if err != nil {
		t.Fatal(err)
	}
	r.got(ada.Doubts(ctx, sum, client.DoubtFilter{Page: nextOf(t, doubts.Value.Next)}))(t, "Doubts, the next page")
	r.got(ada.Revisions(ctx, sum, nextPage(t, r, sum)))(t, "Revisions, the next page")

	kept, err := ada.KeepKit(ctx, "", &kit.Kit{ID: "own-kit", Title: "Own",
		Lines: []kit.Line{{Number: 1, Quantity: 2, Text: "47uF 16V"}}})
	r.got(kept, err)(t, "KeepKit")
	r.got(ada.KeepList(ctx, "own-kit", client.Of(kept.Digest), "text/csv", []byte("Qty;Part\n3;47uF 16V\n"),
		client.ListOf{Title: "Own", For: []string{sum}}))(t, "KeepList")
	r.got(ada.KitVersions(ctx, "own-kit", client.Page{Limit: 1}))(t, "KitVersions")
	versions, err := ada.KitVersions(ctx, "own-kit", client.Page{Limit: 1})
	if err != nil {
		t.Fatal(err)
	}
	r.got(ada.KitVersions(ctx, "own-kit", nextOf(t, versions.Value.Next)))(t, "KitVersions, the next page")

	serviced, err := ada.KeepRecord(ctx, &record.Record{Board: sum, Revision: 1, Unit: "no. 4",
		ServicedOn: "2020-02-03", Outcome: "working", Positions: []record.Entry{
			{Designator: m.Positions[0].Designator, Found: "good", Done: "left",
				Measured: []record.Measured{{Of: "voltage", Value: "5 V"}}}}})
	r.got(serviced, err)(t, "KeepRecord")
	if serviced.Unit != "no. 4" {
		t.Errorf("unit %q told to its author", serviced.Unit)
	}
	r.got(ada.OwnRecords(ctx, client.Page{Limit: 1}))(t, "OwnRecords")
	mine, err := ada.OwnRecords(ctx, client.Page{Limit: 1})
	if err != nil {
		t.Fatal(err)
	}
	r.got(ada.OwnRecords(ctx, nextOf(t, mine.Value.Next)))(t, "OwnRecords, the next page")
	r.got(ada.WithdrawRecord(ctx, serviced.ID, client.Withdrawing{Reason: "Another board.", Kind: "mistaken"}))(t,
		"WithdrawRecord")

	r.got(ada.SaveDraft(ctx, "one", "", []byte(`{"name":"Draft"}`)))(t, "SaveDraft")
	saved, err := ada.Draft(ctx, "one", 1)
	r.got(saved, err)(t, "Draft")
	r.got(ada.SaveDraft(ctx, "one", saved.Tag, []byte(`{"name":"Draft two"}`)))(t, "SaveDraft again")
	r.got(ada.Drafts(ctx))(t, "Drafts")
	r.got(ada.DraftVersions(ctx, "one"))(t, "DraftVersions")
	link, err := ada.ShareDraft(ctx, "one")
	r.got(link, err)(t, "ShareDraft")
	_, secret, _ := strings.Cut(link.Link, "link=")
	r.got(r.client(t, "", client.Options{}).SharedDraft(ctx, cmp.Or(secret, link.Link)))(t, "SharedDraft")
	if err := ada.UnshareDraft(ctx, "one"); err != nil {
		t.Error(err)
	}
	if err := ada.DeleteDraft(ctx, "one"); err != nil {
		t.Error(err)
	}

	r.got(keeper.WithdrawPhotograph(ctx, photo.SHA256, client.Withdrawing{Reason: "A face.", Kind: "illegal"}))(t,
		"WithdrawPhotograph")
	r.got(keeper.ErasePhotograph(ctx, photo.SHA256, "The person asked."))(t, "ErasePhotograph")
	r.got(keeper.WithdrawRevision(ctx, main, 1, client.Withdrawing{Reason: "Reversed.", Kind: "dangerous"}))(t,
		"WithdrawRevision")
	r.got(keeper.MoveBoard(ctx, sum, mains, "One board."))(t, "MoveBoard")
	r.got(keeper.RevisionMap(ctx, mains, 1, client.RevisionOf{Of: sum}))(t, "RevisionMap of an old ID")
}

func accountRoutes(t *testing.T, r *registry) {
	ctx := t.Context()
	ada, keeper := r.client(t, "bench-one", client.Options{}), r.client(t, "keeper", client.Options{})
	r.got(ada.Account(ctx))(t, "Account")
	token, err := ada.MakeToken(ctx, client.NewToken{Name: "tool", Scope: "read", Days: 3})
	r.got(token, err)(t, "MakeToken")
	r.got(ada.Tokens(ctx))(t, "Tokens")
	if err := ada.EndToken(ctx, token.ID); err != nil {
		t.Error(err)
	}
	watchRoutes(t, r, ada)
	if err := signIn(ctx, r); err != nil {
		t.Fatal(err)
	}
	sessions, err := ada.Sessions(ctx)
	r.got(sessions, err)(t, "Sessions")
	if len(sessions.Value.Sessions) != 1 {
		t.Fatalf("%+v", sessions.Value)
	}
	if err := ada.EndSession(ctx, sessions.Value.Sessions[0].ID); err != nil {
		t.Error(err)
	}
	invitation, err := keeper.Invite(ctx, client.NewInvitation{Role: review.Contributor, Uses: 2, Days: 2,
		Reason: "A club."})
	r.got(invitation, err)(t, "Invite")
	r.got(keeper.Invitations(ctx))(t, "Invitations")
	r.got(ada.SignUp(ctx))(t, "SignUp")
	_, secret, _ := strings.Cut(invitation.Link, "invitation=")
	joined, err := r.client(t, "", client.Options{}).Join(ctx, client.Joining{Invitation: secret, Name: "newcomer",
		AcceptTerms: true})
	r.got(joined, err)(t, "Join")
	if err := keeper.EndInvitation(ctx, invitation.ID); err != nil {
		t.Error(err)
	}
	r.got(keeper.SetSignUp(ctx, true, "Open days."))(t, "SetSignUp")
	r.got(keeper.Accounts(ctx))(t, "Accounts")
	r.got(keeper.SetRole(ctx, joined.Account, review.Reviewer, "Knows boards."))(t, "SetRole")
	r.got(keeper.SignInLink(ctx, joined.Account, "Lost the token."))(t, "SignInLink")
	r.got(keeper.DisableAccount(ctx, joined.Account, "Gone."))(t, "DisableAccount")
	enabled, err := keeper.EnableAccount(ctx, joined.Account, "Back.")
	r.got(enabled, err)(t, "EnableAccount")
	r.got(keeper.EraseReason(ctx, enabled.Event, "Private."))(t, "EraseReason")
	r.got(keeper.EraseAccount(ctx, joined.Account, "Asked for it."))(t, "EraseAccount")
	r.got(keeper.Acts(ctx, client.ActFilter{Order: "newest", Page: client.Page{Limit: 1}}))(t, "Acts")
	acts, err := keeper.Acts(ctx, client.ActFilter{Page: client.Page{Limit: 1}})
	if err != nil {
		t.Fatal(err)
	}
	r.got(keeper.Acts(ctx, client.ActFilter{Page: nextOf(t, acts.Value.Next)}))(t, "Acts, the next page")
}

func watchRoutes(t *testing.T, r *registry, ada *client.Client) {
	ctx := t.Context()
	w, err := ada.AddWatch(ctx, client.NewWatch{Board: main})
	r.got(w, err)(t, "AddWatch")
	r.got(ada.AddWatch(ctx, client.NewWatch{Maker: "Okeby"}))(t, "AddWatch of a maker")
	feed, err := ada.MakeFeed(ctx)
	r.got(feed, err)(t, "MakeFeed")
	r.got(ada.Watches(ctx))(t, "Watches")
	_, secret, _ := strings.Cut(feed.Address, "feed=")
	anyone := r.client(t, "", client.Options{})
	r.got(anyone.WatchedFeed(ctx, secret, []string{"released"}, ""))(t, "WatchedFeed")
	all, err := anyone.WatchedFeed(ctx, secret, nil, "")
	next := regexp.MustCompile(`rel="next"[^>]*cursor=([^"&]+)`).FindSubmatch(all.Value)
	if err != nil || next == nil {
		t.Fatalf("no next page of the feed: %v\n%s", err, all.Value)
	}
	r.got(anyone.WatchedFeed(ctx, secret, nil, string(next[1])))(t, "WatchedFeed, the next page")
	if err := errors.Join(ada.Unwatch(ctx, w.ID), ada.EndFeed(ctx)); err != nil {
		t.Error(err)
	}
	h, err := ada.MakeHook(ctx, client.NewHook{Address: "https://tools.example.org/told", Board: main})
	r.got(h, err)(t, "MakeHook")
	r.got(ada.Hooks(ctx))(t, "Hooks")
	r.got(ada.Deliveries(ctx, h.ID))(t, "Deliveries")
	if err := ada.EndHook(ctx, h.ID); err != nil {
		t.Error(err)
	}
}

// signIn has bench-one signed in in some browser.
func signIn(ctx context.Context, r *registry) error {
	who, err := r.store.Authenticate(ctx, r.tokens["bench-one"])
	if err != nil {
		return err
	}
	_, err = r.store.NewSession(ctx, who, "a browser")
	return err
}

// nextOf is the page that an address of a next page asks for.
func nextOf(t *testing.T, next string) client.Page {
	t.Helper()
	req, err := http.NewRequest(http.MethodGet, next, nil)
	if err != nil || req.URL.Query().Get("cursor") == "" {
		t.Fatalf("%q is no next page", next)
	}
	return client.Page{Limit: 1, Cursor: req.URL.Query().Get("cursor")}
}

func nextPage(t *testing.T, r *registry, id string) client.Page {
	t.Helper()
	a, err := r.client(t, "", client.Options{}).Revisions(t.Context(), id, client.Page{Limit: 1})
	if err != nil {
		t.Fatal(err)
	}
	return nextOf(t, a.Value.Next)
}
