package api

import (
	"boardlore/domain/message"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/list"
	"boardlore/domain/record"
	"boardlore/store"
)

// recordAnswer is a record as it is kept. The mark of its unit is told to its
// author alone.
type recordAnswer struct {
	ID     int64     `json:"id"`
	Author string    `json:"author"`
	KeptAt time.Time `json:"kept_at"`
	Links  links     `json:"links"`
	record.Record
}

func recordOf(r *store.Record, who store.Actor) recordAnswer {
	a := recordAnswer{ID: r.ID, Author: r.Author, KeptAt: r.KeptAt, Links: recordLinks(r), Record: *r.Record}
	if who.ID == 0 || who.ID != r.AuthorID {
		a.Unit = ""
	}
	return a
}

func recordLinks(r *store.Record) links {
	under := pathOf("boards", r.Board)
	return links{"self": pathOf("records", itoa(r.ID)), "board": under, "revision": pathOf("boards", r.Board, "revisions",
		strconv.Itoa(r.Revision)),
		"records": under + "/records", "experience": under + "/experience"}
}

// keepRecord files a record of a serviced unit.
func (s *server) keepRecord(c echo.Context) error {
	body, _, err := readBody(c, "application/json")
	if err != nil {
		return err
	}
	who := actor(c)
	r, err := s.store.KeepRecord(c.Request().Context(), who, c.Param("board"), body, time.Now(), once(c, body))
	if err != nil {
		return err
	}
	c.Response().Header().Set("Location", pathOf("records", itoa(r.ID)))
	return reply(c, http.StatusCreated, recordOf(r, who))
}

// record answers one record.
func (s *server) record(c echo.Context) error {
	r, err := s.store.KeptRecord(c.Request().Context(), id(c, "id"))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "private, no-cache") // its author's copy says more than another's
	h.Add("Vary", "Authorization")
	return reply(c, http.StatusOK, recordOf(r, actor(c)))
}

type recordsAnswer struct {
	Records []recordBrief `json:"records"`
	Next    string        `json:"next,omitzero"`
}

// recordBrief is a record in a list.
type recordBrief struct {
	ID         int64     `json:"id"`
	Board      string    `json:"board"`
	Revision   int       `json:"revision"`
	Variant    string    `json:"variant,omitzero"`
	Author     string    `json:"author"`
	Unit       string    `json:"unit,omitzero"` // in one's own list alone
	ServicedOn string    `json:"serviced_on"`
	Outcome    string    `json:"outcome"`
	Positions  int       `json:"positions"`
	Failed     int       `json:"failed"`
	KeptAt     time.Time `json:"kept_at"`
	Links      links     `json:"links"`
}

func briefRecord(r *store.Record) recordBrief {
	b := recordBrief{ID: r.ID, Board: r.Board, Revision: r.Revision, Author: r.Author,
		ServicedOn: r.ServicedOn.Format(time.DateOnly),
		Outcome:    r.Outcome, Positions: r.Positions, Failed: r.Failed, KeptAt: r.KeptAt, Links: recordLinks(r)}
	if r.Build != record.Base {
		b.Variant = r.Build
	}
	return b
}

// recordMedia are the forms of a list of records.
var recordMedia = []string{"application/json", "text/csv"}

// records lists the records of a board, as JSON or with a row for each position.
func (s *server) records(c echo.Context) error {
	form := accepted(c.Request().Header.Get("Accept"), recordMedia...)
	if as := c.QueryParam("as"); as != "" {
		form = map[string]string{"json": recordMedia[0], "csv": recordMedia[1]}[as]
	}
	if form == "" {
		return refuse("not-acceptable", "api.records-come-as", message.Or(recordMedia))
	}
	list, err := s.store.Records(c.Request().Context(), store.RecordFilter{Board: c.Param("board"),
		Build: c.QueryParam("variant"), Whole: form == recordMedia[1], Page: page(c)})
	if err != nil {
		return err
	}
	c.Response().Header().Add("Vary", "Accept")
	if form == recordMedia[1] {
		nextLink(c, list.Next)
		return send(c, http.StatusOK, "text/csv; charset=utf-8; header=present", recordsCSV(list.Items))
	}
	return reply(c, http.StatusOK, recordList(c, list, false))
}

func recordList(c echo.Context, list store.List[store.Record], own bool) recordsAnswer {
	a := recordsAnswer{Records: make([]recordBrief, len(list.Items)), Next: nextLink(c, list.Next)}
	for i := range list.Items {
		a.Records[i] = briefRecord(&list.Items[i])
		if own {
			a.Records[i].Unit = list.Items[i].Unit
		}
	}
	return a
}

// ownRecords lists the records that the asker filed, with the units' marks.
func (s *server) ownRecords(c echo.Context) error {
	list, err := s.store.Records(c.Request().Context(), store.RecordFilter{Author: actor(c).ID, Page: page(c)})
	if err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	return reply(c, http.StatusOK, recordList(c, list, true))
}

var recordColumns = []string{"record", "board", "revision", "variant", "author", "serviced_on", "outcome", "designator",
	"found", "measured", "done", "fitted", "text"}

// recordsCSV writes a row for each position of each record, and one for a
// record that tells of none.
func recordsCSV(found []store.Record) []byte {
	rows := [][]string{recordColumns}
	for i := range found {
		r := briefRecord(&found[i])
		head := []string{itoa(r.ID), r.Board, strconv.Itoa(r.Revision), r.Variant, r.Author, r.ServicedOn, r.Outcome}
		if len(found[i].Record.Positions) == 0 {
			rows = append(rows, append(head, "", "", "", "", "", ""))
		}
		for k := range found[i].Record.Positions {
			rows = append(rows, append(head[:len(head):len(head)], entryCells(&found[i].Record.Positions[k])...))
		}
	}
	return list.CSV(rows)
}

func entryCells(e *record.Entry) []string {
	var measured []string
	for _, m := range e.Measured {
		measured = append(measured, m.Of+" "+m.Value)
	}
	fitted := ""
	if e.Fitted != nil {
		fitted = e.Fitted.Part.String()
	}
	return []string{e.Designator, e.Found, strings.Join(measured, "; "), e.Done, fitted, e.Text}
}

// withdrawRecord takes a record out of use.
func (s *server) withdrawRecord(c echo.Context) error {
	var in withdrawal
	body, err := readJSON(c, "record-withdrawal", &in)
	if err != nil {
		return err
	}
	r, err := s.store.WithdrawRecord(c.Request().Context(), actor(c), id(c, "id"), store.Withdrawal{Kind: in.Kind,
		Reason: in.Reason}, once(c, body))
	if err != nil {
		return err
	}
	a := withdrawnOf(r, in)
	a.Record = r.Record
	if a.Kind == "" {
		a.Kind = store.Mistaken
	}
	a.Links["records"] = pathOf("boards", r.Board, "records")
	return reply(c, http.StatusOK, a)
}
