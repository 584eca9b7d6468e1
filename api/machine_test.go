package api

import (
	"strings"
	"testing"
	"time"

	"boardlore/store"
	"boardlore/store/storetest"
)

// failing has the database do something whenever a proposal comes: within the act,
// or at its commit.
func failing(t *testing.T, dsn, does string, atCommit bool) {
	t.Helper()
	trigger := `CREATE TRIGGER machine BEFORE INSERT ON proposals`
	if atCommit {
		trigger = `CREATE CONSTRAINT TRIGGER machine AFTER INSERT ON proposals DEFERRABLE INITIALLY DEFERRED`
	}
	sql(t, dsn, `CREATE FUNCTION machine() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN `+does+`; RETURN NEW; END $$; `+
		trigger+` FOR EACH ROW EXECUTE FUNCTION machine()`)
}

const (
	noRoom   = `RAISE EXCEPTION 'no room' USING ERRCODE = '53100'`
	readOnly = `RAISE EXCEPTION 'read only' USING ERRCODE = '25006'`
	endsLine = `PERFORM pg_terminate_backend(pg_backend_pid())`
	tooLong1 = `PERFORM pg_sleep(60)`
	aWhile   = `PERFORM pg_sleep(3)`
)

// TestMachineProblems: each way in which the machine fails an act has a type of
// problem of its own, none is internal, and each that says that nothing was changed
// is right. What reached its commit in time is done, however late the caller's
// deadline finds that.
func TestMachineProblems(t *testing.T) {
	for _, test := range []struct {
		name, does string
		atCommit   bool
		code       string // "" where the act is done
	}{
		{"a full disk", noRoom, false, "disk-full"},
		{"a full disk at the commit", noRoom, true, "disk-full"},
		{"a database that is only read", readOnly, false, "database-read-only"},
		{"a connection lost", endsLine, false, "database-unavailable"},
		{"a connection lost at the commit", endsLine, true, "database-unavailable"},
		{"a deadline", tooLong1, false, "deadline-cut"},
		{"a deadline at the commit", aWhile, true, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			dsn := storetest.DSN(t, migrate)
			f := serveWith(t, Config{Store: openOn(t, dsn, store.Options{}), Timeout: 2 * time.Second})
			failing(t, dsn, test.does, test.atCommit)
			a := f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"), "Idempotency-Key", "k")
			there := 0
			if test.code == "" {
				a.want(t, 201, "")
				there = 1
			} else {
				a.want(t, 503, test.code)
				detail, _ := a.doc["detail"].(string)
				if a.doc["type"] != "/problems/"+test.code || !strings.Contains(detail, "Nothing was changed.") ||
					a.header.Get("Retry-After") == "" {
					t.Errorf("%v %s", a.header, a.body)
				}
			}
			sql(t, dsn, `DROP TRIGGER machine ON proposals`)
			list := f.ask(t, "", "GET", "/v1/proposals", "").want(t, 200, "").doc["proposals"].([]any)
			if len(list) != there {
				t.Errorf("%d proposals stand, want %d", len(list), there)
			}
			f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"), "Idempotency-Key",
				"k").want(t, 201, "")
		})
	}
}

// TestStuckDatabase: while no connection to the database moves, what needs none is
// answered, and all else says so and does not hang; then all goes on.
func TestStuckDatabase(t *testing.T) {
	t.Parallel()
	line, through := storetest.Through(t, storetest.DSN(t, migrate))
	f := serveWith(t, Config{Store: openOn(t, through, store.Options{}), Timeout: 4 * time.Second})
	f.release1(t)
	line.Freeze()
	for _, path := range []string{"/healthz", "/v1/schemas", "/v1/openapi.json", "/v1/rules"} {
		f.ask(t, "", "GET", path, "").want(t, 200, "")
	}
	f.ask(t, "", "GET", "/readyz", "").want(t, 503, "database-unavailable")
	for _, path := range []string{"/v1/boards", "/v1/boards/fen-rx2-main/map", "/v1/proposals/1", "/v1/events"} {
		if a := f.ask(t, "", "GET", path, ""); a.status != 503 {
			t.Errorf("%s is %d: %s", path, a.status, a.body)
		}
	}
	if a := f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", sampleMap, "s")); a.status != 503 {
		t.Errorf("an act is %d: %s", a.status, a.body)
	}
	line.Thaw()
	for deadline := time.Now().Add(time.Minute); f.ask(t, "", "GET", "/readyz", "").status != 200; {
		if time.Now().After(deadline) {
			t.Fatal("not ready again")
		}
		time.Sleep(100 * time.Millisecond)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
}

// TestAheadDatabase: a server beside a newer one is not ready and takes no acts,
// and goes on to be read.
func TestAheadDatabase(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, migrate)
	f := serveWith(t, Config{Store: openOn(t, dsn, store.Options{})})
	f.release1(t)
	sql(t, dsn, `INSERT INTO migrations (version_id, is_applied) VALUES (99999, true)`)
	f.ask(t, "", "GET", "/readyz", "").want(t, 503, "database-ahead")
	a := f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", sampleMap, "s")).want(t, 503, "database-ahead")
	if a.doc["type"] != "/problems/database-ahead" {
		t.Errorf("%s", a.body)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
}

// TestDiskBudget: uploads and submissions are refused before the disk is full, and
// what makes room or keeps somebody safe is not.
func TestDiskBudget(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, migrate)
	roomy := serveWith(t, Config{Store: openOn(t, dsn, store.Options{Budget: 10 << 30})})
	roomy.release1(t)
	roomy.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, "47 µF", "68 µF", 1),
		"s")).want(t, 201, "")
	tight, err := New(Config{Store: openOn(t, dsn, store.Options{Budget: 1 << 20})}) // less than an empty database has
	if err != nil {
		t.Fatal(err)
	}
	f := &fixture{roomy.Server, roomy.token}
	f.Config.Handler = tight
	for _, up := range [][3]string{
		{"POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, "47 µF", "82 µF", 1), "s")},
		{"PUT", "/v1/kits/rx2-caps", sampleKit},
		{"PUT", "/v1/drafts/mine", `{"map":{}}`},
		{"POST", "/v1/boards/fen-rx2-main/records",
			`{"board":"fen-rx2-main","revision":1,"unit":"1","serviced_on":"2024-03-01","outcome":"working"}`},
	} {
		f.ask(t, "ada", up[0], up[1], up[2]).want(t, 503, "disk-full")
	}
	f.ask(t, "ada", "POST", "/v1/photographs", halves(t, 300), "Content-Type", "image/png").want(t, 503, "disk-full")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"object","summary":"Wrong."}`).want(t, 201, "")
	f.ask(t, "ada", "POST", "/v1/proposals/2/withdraw", `{"reason":"r"}`).want(t, 200, "")
	f.ask(t, "eve", "POST", "/v1/boards/fen-rx2-main/doubts", `{"revision":1,"text":"The stripe is wrong."}`).want(t,
		201, "")
	f.ask(t, "sue", "POST", "/v1/boards/fen-rx2-main/revisions/1/withdrawal",
		`{"kind":"dangerous","reason":"Burns."}`).want(t, 200, "")
}

// TestQuotas: what an account keeps of kits and records in a day has an end, and so
// have the people who join without an invitation; another account, and who comes by
// a link, is not held to it.
func TestQuotas(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, migrate)
	f := serveWith(t, Config{Store: openOn(t, dsn, store.Options{})})
	f.releaseWork(t)
	another := strings.NewReplacer("rx2-caps", "rx2-more")
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit).want(t, 201, "")
	sql(t, dsn, `UPDATE spent SET bytes = 16 << 20 WHERE what = 'kits'`)
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-more", another.Replace(sampleKit)).want(t, 409, "kit-quota")
	f.ask(t, "eve", "PUT", "/v1/kits/rx2-more", another.Replace(sampleKit)).want(t, 201, "")

	f.ask(t, "ada", "POST", recordsPath, sampleRecord("shelf 4")).want(t, 201, "")
	sql(t, dsn, `UPDATE spent SET bytes = 16 << 20 WHERE what = 'records'`)
	f.ask(t, "ada", "POST", recordsPath, sampleRecord("shelf 5")).want(t, 409, "record-quota")
	f.ask(t, "eve", "POST", recordsPath, sampleRecord("shelf 5")).want(t, 201, "")

	f.ask(t, "sue", "PUT", "/v1/join", `{"open":true,"reason":"we are ready"}`).want(t, 200, "")
	f.ask(t, "", "POST", "/v1/join", `{"name":"wren","accept_terms":true}`).want(t, 201, "")
	sql(t, dsn, `INSERT INTO accounts (name, role, created_at, invitation)
		SELECT 'joiner ' || n, role, now(), invitation FROM accounts, generate_series(1, 99) AS n WHERE name = 'wren'`)
	f.ask(t, "", "POST", "/v1/join", `{"name":"owl","accept_terms":true}`).want(t, 409, "sign-up-quota")
	link := f.ask(t, "sue", "POST", "/v1/invitations", `{"uses":1,"days":1,"reason":"the club"}`).want(t, 201,
		"").doc["link"].(string)
	_, secret, _ := strings.Cut(link, "/join?invitation=")
	f.ask(t, "", "POST", "/v1/join", `{"name":"owl","accept_terms":true,"invitation":"`+secret+`"}`).want(t, 201, "")
}
