package api

import (
	"strconv"
	"testing"
	"time"

	"boardlore/store"
	"boardlore/store/storetest"
)

// TestAgeOfReplica: what is read from a replica bears its age, which is bounded;
// who shows a token reads what they wrote; what the primary must say bears none.
func TestAgeOfReplica(t *testing.T) {
	t.Parallel()
	p := storetest.NewPair(t)
	if err := store.Migrate(t.Context(), p.Primary(), nil); err != nil {
		t.Fatal(err)
	}
	st := openOn(t, p.Primary(), store.Options{Replica: p.Replica()})
	f := serveWith(t, Config{Store: st})
	f.release1(t)
	await := func(state string) {
		t.Helper()
		for deadline := time.Now().Add(time.Minute); st.Stats().Replica != state; time.Sleep(20 * time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("the replica is %q, want %q", st.Stats().Replica, state)
			}
		}
	}
	await("follows")
	sql(t, p.Replica(), `SELECT pg_wal_replay_pause()`)
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit).want(t, 201, "")
	a := f.ask(t, "", "GET", "/v1/kits", "").want(t, 200, "")
	age, err := strconv.Atoi(a.header.Get("Age"))
	if err != nil || age < 1 || age > 15 || len(a.doc["kits"].([]any)) != 0 {
		t.Errorf("a replica that stands still: Age %q, %s", a.header.Get("Age"), a.body)
	}
	for path, who := range map[string]string{"/v1/kits": "ada", "/v1/boards/fen-rx2-main/map": "",
		"/v1/proposals/1": ""} {
		a := f.ask(t, who, "GET", path, "").want(t, 200, "")
		if a.header.Get("Age") != "" {
			t.Errorf("%s as %q bears the age %q", path, who, a.header.Get("Age"))
		}
	}
	await("away") // past the bound
	a = f.ask(t, "", "GET", "/v1/kits", "").want(t, 200, "")
	if a.header.Get("Age") != "" || len(a.doc["kits"].([]any)) != 1 {
		t.Errorf("past the bound: Age %q, %s", a.header.Get("Age"), a.body)
	}
	if r := f.ask(t, "", "GET", "/readyz", "").want(t, 200, ""); r.doc["replica"] != "away" {
		t.Errorf("readiness says %s", r.body)
	}
}
